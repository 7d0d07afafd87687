"""Runs the measurements of tests/bench and prints them as a table.

Each module `tests/bench/bench_NAME.py` has a `main()` that gives rows `(what, value, unit, limit)`;
the limit may be None. One that prints a table of its own gives nothing, and raises where it fails.
A `main(is_long)` is told of `--long`: then it may take hours.
Django is set up, and the demo is loaded, in a database that is gone afterwards; on PostgreSQL with
BENCH_DATABASE_URL.
"""

import argparse
import importlib
import inspect
import os
import sys
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "tests" / "bench"

Row = tuple[str, float, str, float | None]


def names() -> list[str]:
    return sorted(path.stem.removeprefix("bench_") for path in FOLDER.glob("bench_*.py"))


def set_up(folder: str) -> None:
    """Django on a new database with the demo in it; everything that it stores goes into `folder`."""
    for name in ("DATABASE_URL", "DATABASE_PATH", "MEDIA_ROOT", "STATIC_ROOT", "SECURE", "DEBUG"):
        os.environ.pop(name, None)
    # The test client calls itself by this name.
    os.environ.update(VAR_DIR=folder, ALLOWED_HOSTS="testserver,127.0.0.1", NO_DEMO_PICTURES="1")
    if url := os.environ.get("BENCH_DATABASE_URL"):
        os.environ["DATABASE_URL"] = url
    sys.path.insert(0, str(ROOT))
    from prepare import main as prepare

    prepare(with_demo=True)


def line(row: Row) -> str:
    what, value, unit, limit = row
    verdict = "" if limit is None else f"{'ok' if within(row) else 'OVER'} (limit {limit:g} {unit})"
    return f"  {what:<58} {value:>10.2f} {unit:<8} {verdict}"


def within(row: Row) -> bool:
    """Whether the value keeps its limit; a value that is no number keeps none."""
    return row[3] is None or row[1] <= row[3]


def run(name: str, *, is_long: bool) -> list[Row]:
    started = time.perf_counter()
    print(f"{name}")
    measure = importlib.import_module(f"tests.bench.bench_{name}").main
    told = {"is_long": is_long} if "is_long" in inspect.signature(measure).parameters else {}
    rows: Iterable[Row] | None = measure(**told)
    done = []
    for row in rows or ():
        print(line(row), flush=True)
        done.append(row)
    print(f"  ({time.perf_counter() - started:.1f} s)")
    return done


def main() -> int:
    parser = argparse.ArgumentParser(
        prog="script/bench", description="Measure what people wait for."
    )
    parser.add_argument("name", nargs="*", help=f"one of: {', '.join(names())} (default: all)")
    parser.add_argument("--long", action="store_true", help="as many as it takes to be sure")
    asked = parser.parse_args()
    chosen = asked.name or names()
    unknown = set(chosen) - set(names())
    if unknown or not chosen:
        print(
            f"No such measurement: {', '.join(sorted(unknown)) or 'there is none'}.",
            file=sys.stderr,
        )
        return 2
    with tempfile.TemporaryDirectory(prefix="gloaming-bench-") as folder:
        set_up(folder)
        rows = [row for name in chosen for row in run(name, is_long=asked.long)]
    return 0 if all(map(within, rows)) else 1


if __name__ == "__main__":
    sys.exit(main())
