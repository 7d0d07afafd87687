"""Throw mutated photometric files at both readers: they refuse or read, and never crash or hang.

    python tests/bench/fuzz_photometry.py [COUNT] [SEED]

prints how many files were read and refused, how long the slowest took and how much memory the
run needed. Without a count, 100 000 files are made. A short run of the same is in the test suite.
"""

import random
import sys
import time
import tracemalloc
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from engineering.photometry import Luminaire, PhotometryError, read_file, read_ies, read_ldt

FOLDER = Path(__file__).parent.parent / "checks" / "data" / "photometry"
WORDS = (
    b"0", b"-1", b"1", b"1.5", b"1801", b"1802", b"999999999", b"1e9", b"1e99", b"-0", b"nan",
    b"inf", b"-inf", b"1_0", b"0x10", b"1,5", b",", b"TILT=NONE", b"TILT=INCLUDE", b"TILT=",
    b"[MORE]", b"IESNA91", b"\xff\xfe", b"\xfe\xff", b"\xef\xbb\xbf", b"\x00", b"\x1a", b"\r",
    b"\n", b"\r\r\n", b"\x85", b"90", b"180", b"360", b"2 3", b"9" * 400, b"\xd9\xa3",
)  # fmt: skip
SLOW_SECONDS = 2.0


@dataclass(slots=True)
class Tally:
    """What came of the files."""

    files: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    slowest_s: float = 0.0
    peak_bytes: int = 0


def seeds() -> list[bytes]:
    """Return the sample files to start from."""
    found = [path.read_bytes() for path in sorted(FOLDER.iterdir()) if path.suffix != ".json"]
    wide = found[0].replace(b" 1 1 ", b" 1 2 ")
    return [*found, wide, found[0].replace(b"TILT=NONE", b"TILT=INCLUDE\n1 2\n0 90\n1 .9")]


def mutate(content: bytes, chance: random.Random) -> bytes:
    """Return a damaged copy."""
    damaged = bytearray(content)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        _damage(damaged, chance)
    return bytes(damaged)


def _damage(content: bytearray, chance: random.Random) -> None:
    at = chance.randrange(len(content) + 1)
    upto = min(len(content), at + chance.choice((1, 1, 2, 5, 40, 400)))
    kind = chance.randrange(6)
    if kind == 0:
        del content[at:upto]
    elif kind == 1:
        content[at:at] = bytes(content[at:upto])
    elif kind == 2:
        content[at:at] = chance.choice(WORDS)
    elif kind == 3 and at < len(content):
        content[at] = chance.randrange(256)
    elif kind == 4:
        del content[at:]
    else:
        _replace_word(content, at, chance)


def _replace_word(content: bytearray, at: int, chance: random.Random) -> None:
    """Put another word in the place of one, which reaches deeper than damaged bytes."""
    start = max(content.rfind(b" ", 0, at), content.rfind(b"\n", 0, at)) + 1
    ends = [found for end in b" \r\n" if (found := content.find(end, start)) >= 0]
    content[start : min(ends, default=len(content))] = chance.choice(WORDS)


def check(lamp: Luminaire) -> None:
    """Hold what was read to what every luminaire must be."""
    flux = lamp.flux_lm()
    if not 0 <= flux < 1e21 or lamp.intensity_cd.size > 4 * 1801 * 1801:
        raise AssertionError(f"flux {flux}, {lamp.intensity_cd.shape}")
    if not 0 <= lamp.beam_angle_deg() <= 360 or not lamp.intensity(33.0, 44.0) >= 0:
        raise AssertionError("a beam or an intensity that cannot be")


def run(count: int, seed: int) -> Tally:
    """Read `count` damaged files; any other error than a refusal comes through."""
    chance = random.Random(seed)
    tally = Tally()
    for content in _damaged(count, chance):
        reader = chance.choice((read_ies, read_ldt, read_file))
        start = time.perf_counter()
        try:
            check(reader(content))
            tally.outcomes["read"] += 1
        except PhotometryError as error:
            if error.line < 1 or not error.reason:
                raise AssertionError(f"a refusal without line or reason: {error!r}") from error
            tally.outcomes[error.code] += 1
        spent = time.perf_counter() - start
        tally.files += 1
        tally.slowest_s = max(tally.slowest_s, spent)
        if spent > SLOW_SECONDS:
            raise AssertionError(f"{spent:.1f} s for {content[:200]!r}")
    return tally


def _damaged(count: int, chance: random.Random) -> Iterator[bytes]:
    start = seeds()
    for _ in range(count):
        # Short files first in chance: more of the run then goes into the heads.
        yield mutate(min(chance.sample(start, 2), key=len), chance)


def main() -> None:
    """Run and print the counts."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20260101
    start = time.perf_counter()
    tally = run(count, seed)
    seconds = time.perf_counter() - start
    tracemalloc.start()
    run(min(count, 2000), seed + 1)
    tally.peak_bytes = tracemalloc.get_traced_memory()[1]
    print(f"{tally.files} files in {seconds:.0f} s, slowest {tally.slowest_s * 1000:.0f} ms")
    print(f"peak memory of 2000 more {tally.peak_bytes / 1e6:.1f} MB")
    for outcome, number in tally.outcomes.most_common():
        print(f"{number:8d} {outcome}")


if __name__ == "__main__":
    main()
