"""Recipe: read our sample files with independent programs and store what they find.

The programs are general ones for photometric files and light, none of them a dependency of this
project. Run it in an environment of its own, from the root of the repository:

    python -m venv somewhere
    somewhere/bin/pip install numpy==2.3.5 luxpy==1.12.5 matplotlib eulumdat-py==1.0.0 \
        pyradiance==1.3.1
    somewhere/bin/python tests/checks/recipes/photometry_cross_read.py

Nothing of the project is imported here. Only numbers are stored, in
tests/checks/data/photometry/cross_read.json: intensities [cd] in named directions.
"""

import json
import math
import os
import subprocess
import tempfile
import warnings
from pathlib import Path

import numpy as np
import pyldt
import pyradiance

warnings.filterwarnings("ignore")
from luxpy.toolboxes import iolidfiles  # noqa: E402 (it warns on import)

FOLDER = Path(__file__).parent.parent / "data" / "photometry"
PACKAGE = Path(pyradiance.__file__).parent
# Nodes of every sample, in all quarters, below and above the horizontal.
DIRECTIONS = [
    (c, gamma) for c in (0, 45, 90, 120, 180, 225, 270, 315) for gamma in (0, 20, 45, 70, 110, 160)
]
# Between the nodes, where only a linear interpolation gives the same.
BETWEEN = [(c, gamma) for c in (7.5, 100.0, 200.0, 352.5) for gamma in (12.5, 47.0, 66.0)]
DISTANCE_M = 20.0
# ies2rad turns a file from C90 to C270 by half a turn: its first plane, plainly at 90 degrees,
# comes out at 270.
LEFT_OUT = {("washer-sideways-1995.ies", "radiance")}


def by_luxpy(path: Path) -> dict[str, float]:
    """Read with luxpy, whose map is relative to its value straight down.

    For IES files it scales by the lumens as if they were per thousand, and leaves the ballast
    factors out; both are made good here.
    """
    read = iolidfiles.read_lamp_data(str(path), normalize="I0")
    polar = read["map"]
    down = float(np.ravel(read["Iv0"])[0])
    if path.suffix == ".ies":
        down *= 1000.0 / read["lumens_per_lamp"] * read["ballast_factor"]
        down *= read["future_use"] if "1986" in path.name else 1.0
    found = {}
    for c, gamma in DIRECTIONS:
        row = int(np.argmin(np.abs(np.asarray(polar["phis"]) - c)))
        column = int(np.argmin(np.abs(np.asarray(polar["thetas"]) - gamma)))
        found[f"{c},{gamma}"] = round(float(polar["values"][row, column]) * down, 4)
    return found


def by_pyldt(path: Path) -> dict[str, float]:
    """Read with eulumdat-py, whose matrix is per thousand lumens."""
    read = pyldt.LdtReader.read(path)
    head = read.header
    found = {}
    for c, gamma in DIRECTIONS:
        if gamma not in head.g_angles:
            continue
        value = read.intensities[head.c_angles.index(c)][head.g_angles.index(gamma)]
        found[f"{c},{gamma}"] = round(value * head.lamp_flux[0] / 1000.0, 4)
    return found


def by_radiance(path: Path) -> dict[str, float]:
    """Light a small far target with Radiance: intensity = illuminance × distance²."""
    bins = PACKAGE / "bin"
    environment = dict(os.environ, RAYPATH=f".:{PACKAGE / 'lib'}")
    rays = []
    for c, gamma in DIRECTIONS + BETWEEN:
        turn, tilt = math.radians(c), math.radians(gamma)
        way = [math.sin(tilt) * math.cos(turn), math.sin(tilt) * math.sin(turn), -math.cos(tilt)]
        rays.append(" ".join(f"{v * DISTANCE_M:.9f}" for v in way))
        rays[-1] += " " + " ".join(f"{-v:.9f}" for v in way)
    with tempfile.TemporaryDirectory() as folder:

        def run(*words: str, text: str = "") -> bytes:
            return subprocess.run(
                [str(bins / words[0]), *words[1:]],
                cwd=folder,
                env=environment,
                input=text.encode(),
                capture_output=True,
                check=True,
            ).stdout

        run("ies2rad", "-o", "lamp", "-dm", str(path.resolve()))
        Path(folder, "scene.oct").write_bytes(run("oconv", "lamp.rad"))
        told = run(
            "rtrace",
            "-h",
            "-I",
            "-ab",
            "0",
            "-dc",
            "1",
            "-dj",
            "0",
            "-ds",
            "0",
            "-faa",
            "scene.oct",
            text="\n".join(rays) + "\n",
        )
    rows = [[float(word) for word in line.split()] for line in told.decode().split("\n") if line]
    lux = np.array(rows) @ np.array([0.265, 0.670, 0.065]) * 179.0
    return {
        f"{c:g},{gamma:g}": round(float(value) * DISTANCE_M**2, 4)
        for (c, gamma), value in zip(DIRECTIONS + BETWEEN, lux, strict=True)
        # Beyond the last vertical angle Radiance goes on with the last value.
        if gamma <= 90 or path.name.startswith(("linear", "lopsided"))
    }


def main() -> None:
    """Read every sample with every program that can."""
    found: dict[str, dict[str, dict[str, float]]] = {}
    for path in sorted(FOLDER.iterdir()):
        readers = {".ies": [by_luxpy, by_radiance], ".ldt": [by_luxpy, by_pyldt]}
        for reader in readers.get(path.suffix, []):
            name = reader.__name__.removeprefix("by_")
            if (path.name, name) in LEFT_OUT:
                continue
            try:
                found.setdefault(path.name, {})[name] = reader(path)
            except Exception as error:
                print(f"{path.name}: {name} cannot: {error!r}"[:160])
    content = {
        "programs": "luxpy 1.12.5, eulumdat-py 1.0.0, Radiance by pyradiance 1.3.1",
        "unit": "cd, by 'C,gamma' in degrees",
        "intensities": found,
    }
    (FOLDER / "cross_read.json").write_text(json.dumps(content, indent=1) + "\n")


if __name__ == "__main__":
    main()
