"""Recipe: rooms simulated by Radiance, the independent reference of test_light_simulated.py.

Radiance follows rays at random through the room; it shares nothing with our patches. Run it in an
environment of its own (it is no dependency of this project):

    python -m venv somewhere; somewhere/bin/pip install pyradiance numpy
    somewhere/bin/python tests/checks/recipes/radiance_rooms.py tests/checks/data/radiance_rooms.json

Names of rooms after the file simulate those alone.

Nothing of the project is imported here: the luminous intensities are written out anew.
"""

import json
import math
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pyradiance

PACKAGE = Path(pyradiance.__file__).parent
# Radiance's own weights of the channels; all surfaces and lights are grey here.
LUX = 179 * np.array([0.265, 0.670, 0.065])
SAMPLING = ["-ad", "3000", "-as", "0", "-aa", "0"]
SAMPLING += ["-dj", "0", "-dc", "1", "-ds", "0.02", "-dt", "0"]
DEPTH = ["-ab", "14", "-lr", "-20", "-lw", "1e-7"]
# The light of a white room dies away slowly, and DEPTH loses some: in a closed box of reflectance
# 0.83 it gave 0.983 of the closed form's indirect light. Rays ended by chance alone lose nothing.
DEPTH_WHITE = ["-ab", "200", "-lr", "0", "-lw", "1e-4"]


def cosine(position, flux, power, aim="down"):
    return {"kind": "cosine", "position_m": position, "flux_lm": flux, "power": power, "aim": aim}


ROOMS = {
    "square centre, one cosine lamp": {
        "size_m": [4, 3, 2.5],
        "reflectances": [0.2, 0.5, 0.7],
        "plane_height_m": 0.8,
        "sources": [cosine([2, 1.5, 2.4], 1000, 1)],
    },
    "long corridor, four downlights": {
        "size_m": [8, 1.2, 2.4],
        "reflectances": [0.3, 0.6, 0.8],
        "plane_height_m": 0.1,
        "sources": [cosine([x, 0.6, 2.38], 450, 5) for x in (1, 3, 5, 7)],
    },
    "bright small bathroom, opal globe": {
        "size_m": [2.6, 1.9, 2.4],
        "reflectances": [0.4, 0.8, 0.85],
        "plane_height_m": 0.85,
        "sources": [
            {"kind": "even", "position_m": [1.3, 0.95, 2.1], "flux_lm": 1200, "aim": "down"}
        ],
    },
    "tall hall, narrow beams on the walls": {
        "size_m": [7.2, 5.4, 4.1],
        "reflectances": [0.15, 0.45, 0.7],
        "plane_height_m": 0.75,
        "sources": [
            *(cosine([x, 0.6, 4.0], 700, 20, "tilt-y") for x in (1.2, 3.6, 6.0)),
            *(cosine([x, 3.2, 4.0], 900, 12) for x in (1.8, 5.4)),
        ],
    },
    "dining room, up and down wall lights": {
        "size_m": [3.6, 3.1, 2.5],
        "reflectances": [0.2, 0.5, 0.7],
        "plane_height_m": 0.75,
        "sources": [
            *(cosine([0.12, y, 1.87], 400, 2, "up") for y in (0.8, 2.3)),
            *(cosine([0.12, y, 1.73], 250, 2, "down") for y in (0.8, 2.3)),
        ],
    },
    "dark room, bare pendants": {
        "size_m": [5, 4, 2.6],
        "reflectances": [0.05, 0.1, 0.1],
        "plane_height_m": 0.5,
        "sources": [
            {"kind": "even", "position_m": [x, 2, 1.9], "flux_lm": 600, "aim": "down"}
            for x in (1.5, 3.5)
        ],
    },
    "kitchen, two-lobed luminaires": {
        "size_m": [4.4, 3.1, 2.5],
        "reflectances": [0.25, 0.6, 0.75],
        "plane_height_m": 0.9,
        "sources": [
            {"kind": "lobes", "position_m": [x, 1.55, 2.4], "flux_lm": 1500, "aim": "down"}
            for x in (1.1, 3.3)
        ],
    },
    "kitchen, tape as a glowing strip": {
        "size_m": [4.4, 3.1, 2.5],
        "reflectances": [0.25, 0.6, 0.75],
        "plane_height_m": 0.9,
        "sources": [
            {"kind": "strip", "from_m": [0.7, 0.5, 2.2], "to_m": [3.7, 0.5, 2.2], "flux_lm": 2400}
        ],
    },
    "white cupboard, very bright": {
        "size_m": [1.2, 0.9, 2.2],
        "reflectances": [0.7, 0.85, 0.85],
        "plane_height_m": 1.0,
        "sources": [cosine([0.4, 0.45, 2.1], 300, 1)],
    },
    "bright living room, open to two others": {
        "size_m": [5.0, 3.6, 2.5],
        "reflectances": [0.3, 0.7, 0.8],
        "plane_height_m": 0.75,
        "openings": [
            {"wall": "back", "from_m": 1.2, "width_m": 2.6, "low_m": 0, "height_m": 2.2},
            {"wall": "left", "from_m": 0.4, "width_m": 0.9, "low_m": 0, "height_m": 2.05},
        ],
        "sources": [
            *(cosine([x, 1.8, 2.45], 800, 1) for x in (1.25, 3.75)),
            {"kind": "even", "position_m": [3.9, 0.6, 1.5], "flux_lm": 500, "aim": "down"},
        ],
    },
    "galley, one long side open above its units": {
        "size_m": [4.4, 2.2, 2.5],
        "reflectances": [0.25, 0.6, 0.75],
        "plane_height_m": 0.9,
        "openings": [{"wall": "right", "from_m": 0, "width_m": 2.2, "low_m": 1.1, "height_m": 1.4}],
        "sources": [
            {"kind": "even", "position_m": [x, 1.1, 2.1], "flux_lm": 700, "aim": "down"}
            for x in (1.4, 3.4)
        ],
    },
}
AIMS = {
    "down": [],
    "up": ["-rx", "180"],
    "tilt-y": ["-rx", "-30"],  # 30° from straight down towards the wall at y = 0
}
AIM_VECTORS = {
    "down": [0, 0, -1],
    "up": [0, 0, 1],
    "tilt-y": [0, -math.sin(math.radians(30)), -math.cos(math.radians(30))],
}
GRID = (12, 9)


def intensity(source, c_deg, gamma_deg):
    """Luminous intensity [cd] of a source, straight from its definition."""
    cos_gamma = max(0.0, math.cos(math.radians(gamma_deg)))
    if source["kind"] == "cosine":
        n = source["power"]
        return source["flux_lm"] * (n + 1) / (2 * math.pi) * cos_gamma**n
    if source["kind"] == "lobes":  # ∫ over the half sphere of cos γ (1 + ½ cos 2C) is π
        lobe = 1 + 0.5 * math.cos(2 * math.radians(c_deg))
        return source["flux_lm"] / math.pi * cos_gamma * lobe
    return source["flux_lm"] / (4 * math.pi)


def ies_file(source):
    """The source as a photometric file that Radiance reads (absolute candela)."""
    gammas = list(range(181))
    planes = list(range(0, 361, 5)) if source["kind"] == "lobes" else [0]
    lines = ["IESNA:LM-63-1995", "[TEST] recipe", "TILT=NONE"]
    lines.append(f"1 {source['flux_lm']} 1 {len(gammas)} {len(planes)} 1 2 0 0 0")
    lines.append("1 1 10")
    lines.append(" ".join(map(str, gammas)))
    lines.append(" ".join(map(str, planes)))
    for plane in planes:
        lines.append(" ".join(f"{intensity(source, plane, gamma):.6f}" for gamma in gammas))
    return "\n".join(lines) + "\n"


def run(command, folder, text=None):
    environment = dict(os.environ, RAYPATH=f".:{PACKAGE / 'lib'}")
    environment["PATH"] = f"{PACKAGE / 'bin'}:{environment['PATH']}"
    done = subprocess.run(
        command, cwd=folder, env=environment, input=text, capture_output=True, check=True
    )
    return done.stdout


def polygon(material, name, corners):
    flat = " ".join(f"{value:.9g}" for corner in corners for value in corner)
    return f"{material} polygon {name}\n0\n0\n{3 * len(corners)} {flat}\n\n"


def box_text(size, reflectances):
    x, y, z = size
    floor, walls, ceiling = reflectances
    text = ""
    for name, share in (("floor", floor), ("wall", walls), ("ceiling", ceiling)):
        text += f"void plastic {name}\n0\n0\n5 {share} {share} {share} 0 0\n\n"
    text += polygon("floor", "f", [(0, 0, 0), (x, 0, 0), (x, y, 0), (0, y, 0)])
    text += polygon("ceiling", "c", [(0, 0, z), (0, y, z), (x, y, z), (x, 0, z)])
    text += polygon("wall", "w1", [(0, 0, 0), (0, 0, z), (x, 0, z), (x, 0, 0)])
    text += polygon("wall", "w2", [(x, 0, 0), (x, 0, z), (x, y, z), (x, y, 0)])
    text += polygon("wall", "w3", [(x, y, 0), (x, y, z), (0, y, z), (0, y, 0)])
    return text + polygon("wall", "w4", [(0, y, 0), (0, y, z), (0, 0, z), (0, 0, 0)])


def openings_text(size, openings):
    """Black rectangles a millimetre before their walls: what meets them is gone."""
    length, width, _ = size
    places = {"front": 0.001, "back": width - 0.001, "left": 0.001, "right": length - 0.001}
    text = "void plastic gone\n0\n0\n5 0 0 0 0 0\n\n"
    for number, each in enumerate(openings):
        place, start, end = places[each["wall"]], each["from_m"], each["from_m"] + each["width_m"]
        low, high = each["low_m"], each["low_m"] + each["height_m"]
        corners = [(start, low), (start, high), (end, high), (end, low)]
        is_across = each["wall"] in ("front", "back")
        placed = [(a, place, z) if is_across else (place, a, z) for a, z in corners]
        text += polygon("gone", f"opening{number}", placed)
    return text


def strip_text(source):
    """A strip 10 mm wide that glows evenly downwards."""
    (x1, y, z), (x2, _, _) = source["from_m"], source["to_m"]
    area = (x2 - x1) * 0.01
    radiance = source["flux_lm"] / 179 / (math.pi * area)
    text = f"void light glow\n0\n0\n3 {radiance} {radiance} {radiance}\n\n"
    corners = [(x1, y - 0.005, z), (x1, y + 0.005, z), (x2, y + 0.005, z), (x2, y - 0.005, z)]
    return text + polygon("glow", "strip", corners)


def sources_text(room, folder):
    text = ""
    for number, source in enumerate(room["sources"]):
        if source["kind"] == "strip":
            text += strip_text(source)
            continue
        name = f"lamp{number}"
        (folder / f"{name}.ies").write_text(ies_file(source))
        run(["ies2rad", "-dm", "-t", "default", "-o", name, f"{name}.ies"], folder)
        place = [f"{value:g}" for value in source["position_m"]]
        turned = ["xform", "-n", name, *AIMS[source["aim"]], "-t", *place, f"{name}.rad"]
        text += run(turned, folder).decode() + "\n"
    return text


def simulate(room):
    """Illuminances [lx] at the grid's cell centres, rows of growing y."""
    size, (columns, rows) = room["size_m"], GRID
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        scene = box_text(size, room["reflectances"]) + sources_text(room, folder)
        scene += openings_text(size, room.get("openings", []))
        (folder / "scene.rad").write_text(scene)
        (folder / "scene.oct").write_bytes(run(["oconv", "scene.rad"], folder))
        points = "".join(
            f"{(i + 0.5) * size[0] / columns} {(j + 0.5) * size[1] / rows} "
            f"{room['plane_height_m']} 0 0 1\n"
            for j in range(rows)
            for i in range(columns)
        )
        depth = DEPTH_WHITE if min(room["reflectances"]) >= 0.4 else DEPTH
        command = ["rtrace", "-I", "-h", *depth, *SAMPLING, "scene.oct"]
        answer = run(command, folder, points.encode())
        values = np.array(answer.split(), dtype=float).reshape(-1, 3)
        return values @ LUX


def main():
    """Simulate the rooms named after the file, or all; others in the file stay as they are."""
    path, names = Path(sys.argv[1]), sys.argv[2:] or list(ROOMS)
    made = {"made_by": "tests/checks/recipes/radiance_rooms.py", "program": "Radiance"}
    made["package"] = "pyradiance 1.3.1"
    kept = json.loads(path.read_text())["rooms"] if path.exists() else {}
    for name in names:
        room = ROOMS[name]
        started = time.perf_counter()
        lux = simulate(room)
        for source in room["sources"]:
            if "aim" in source:
                source["aim"] = AIM_VECTORS[source["aim"]]
        kept[name] = room | {
            "grid": GRID,
            "average_lx": round(float(lux.mean()), 3),
            "minimum_lx": round(float(lux.min()), 3),
            "maximum_lx": round(float(lux.max()), 3),
            "seconds": round(time.perf_counter() - started, 2),
        }
        made["rooms"] = {known: kept[known] for known in ROOMS if known in kept}
        path.write_text(json.dumps(made, indent=1, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
