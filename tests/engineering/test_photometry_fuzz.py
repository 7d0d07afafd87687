"""A short run of tests/bench/fuzz_photometry.py, and files made to be heavy."""

import importlib.util
import random
import time
from pathlib import Path
from types import ModuleType

import pytest

from engineering.photometry import PhotometryError, read_ies, read_ldt


def load() -> ModuleType:
    path = Path(__file__).parent.parent / "bench" / "fuzz_photometry.py"
    spec = importlib.util.spec_from_file_location("fuzz_photometry", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    # A dataclass looks its module up by name.
    import sys

    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_damaged_files_are_read_or_refused() -> None:
    fuzz = load()
    tally = fuzz.run(3000, 7)
    assert tally.files == 3000
    assert 100 < tally.outcomes["read"] < 2500
    assert len(tally.outcomes) > 10


def test_noise_is_refused() -> None:
    chance = random.Random(3)
    for _ in range(300):
        noise = chance.randbytes(chance.randrange(1, 400))
        for reader in (read_ies, read_ldt):
            with pytest.raises(PhotometryError):
                reader(noise)


@pytest.mark.parametrize(
    "content",
    [
        b"IESNA91\nTILT=NONE\n1 1 1 1801 1801 1 2 0 0 0 1 1 1\n" + b"1 " * 900_000,
        b"[A] " + b"x" * 1_900_000 + b"\nTILT=NONE\n",
        b"\n" * 1_900_000 + b"TILT=NONE\n",
        b"TILT=" * 380_000,
        b"TILT=NONE\n" + b"9" * 1_900_000,
        b"TILT=NONE\n1 " + b"," * 1_900_000,
        b"[MORE] x\n" * 200_000 + b"TILT=NONE\n1",
        b"TILT" + b" " * 1_900_000 + b"\n",
        b"TILT=a" + b" " * 1_900_000 + b"x\n",
    ],
    ids=["numbers", "keyword", "blank", "tilts", "digits", "commas", "more", "spaces", "file name"],
)
def test_heavy_files_are_refused_in_time(content: bytes) -> None:
    start = time.perf_counter()
    with pytest.raises(PhotometryError):
        read_ies(content)
    with pytest.raises(PhotometryError):
        read_ldt(content)
    assert time.perf_counter() - start < 10
