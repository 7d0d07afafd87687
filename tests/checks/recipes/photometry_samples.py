"""Write the photometric sample files of the checks: made by formula, no maker's data.

Run from the root of the repository:

    python tests/checks/recipes/photometry_samples.py

Each file comes from a closed formula, in angles coarse enough to be read by eye.
"""

import math
from collections.abc import Callable
from pathlib import Path

FOLDER = Path(__file__).parent.parent / "data" / "photometry"
LAMP_FLUX_LM = 2400.0

type Distribution = Callable[[float, float], float]


def downlight(_c: float, gamma: float) -> float:
    """Narrow downward beam, alike all round."""
    return 1200.0 * max(0.0, math.cos(math.radians(gamma))) ** 8


def linear(c: float, gamma: float) -> float:
    """Long luminaire, wider across than along, with some light upwards."""
    cosine = math.cos(math.radians(gamma))
    if cosine < 0:
        return 40.0 * -cosine
    spread = math.sin(math.radians(gamma)) ** 2 * math.cos(math.radians(c)) ** 2
    return 40.0 + 300.0 * cosine * (1.0 + 1.6 * spread)


def washer(c: float, gamma: float) -> float:
    """Beam leaning to C0."""
    lean = math.radians(35.0)
    turn, tilt = math.radians(c), math.radians(gamma)
    towards = math.cos(tilt) * math.cos(lean) + math.sin(tilt) * math.cos(turn) * math.sin(lean)
    return 500.0 * max(0.0, towards) ** 3


def washer_sideways(c: float, gamma: float) -> float:
    """The same beam leaning to C90."""
    return washer(c - 90.0, gamma)


def lopsided(c: float, gamma: float) -> float:
    """Nothing alike on any side."""
    turn, tilt = math.radians(c), math.radians(gamma)
    side = math.sin(tilt) * (0.5 * math.cos(turn - 0.7) + 0.3 * math.cos(2.0 * turn - 0.2))
    return 200.0 * (1.0 + side) * (0.3 + 0.7 * math.cos(tilt / 2.0) ** 2)


def steps(first: float, last: float, step: float) -> list[float]:
    """Return angles from the first to the last."""
    return [first + step * n for n in range(round((last - first) / step) + 1)]


def wrapped(values: list[float], per_line: int, digits: int = 3) -> str:
    """Return numbers in lines of so many."""
    texts = [
        f"{round(value, digits):g}" if digits < 2 else f"{value:.{digits}f}" for value in values
    ]
    rows = [texts[n : n + per_line] for n in range(0, len(texts), per_line)]
    return "\r\n".join(" ".join(row) for row in rows)


def ies(
    shape: Distribution,
    planes: list[float],
    gammas: list[float],
    *,
    first_line: str,
    factors: tuple[float, float, float] = (1.0, 1.0, 1.0),
    lumens: float = LAMP_FLUX_LM,
    per_line: int = 9,
    units: str = "2 0 0 0",
) -> str:
    """Return an IES file whose scaled intensities are those of the shape."""
    multiplier, ballast, reserved = factors
    table = [shape(c, gamma) / multiplier / ballast for c in planes for gamma in gammas]
    head = [first_line, "[TEST] none, made by formula", "[MANUFAC] none", "[LUMINAIRE] Sample"]
    head += ["TILT=NONE", f"1 {lumens:g} {multiplier:g} {len(gammas)} {len(planes)} 1 {units}"]
    head += [f"{ballast:g} {reserved:g} 24"]
    body = [wrapped(gammas, per_line, 1), wrapped(planes, per_line, 1), wrapped(table, per_line)]
    return "\r\n".join([line for line in head if line] + body) + "\r\n"


def ldt(
    shape: Distribution,
    indicator: int,
    stored: list[float],
    planes: list[float],
    gammas: list[float],
    *,
    pieces: int = 1,
    comma: bool = False,
) -> str:
    """Return a EULUMDAT file whose absolute intensities are those of the shape."""
    per_thousand = 1000.0 / LAMP_FLUX_LM
    fields = ["made by formula", "1" if indicator == 1 else "2", str(indicator), str(len(planes))]
    fields += [f"{planes[1] - planes[0]:g}", str(len(gammas)), f"{gammas[1] - gammas[0]:g}"]
    fields += ["", "Sample", "", "", "", "1200", "80", "60", "1180", "60", "0", "0", "0", "0"]
    fields += ["100", "0", "1", "0", "1", str(pieces), "LED", f"{LAMP_FLUX_LM:g}", "3000", "1B"]
    fields += ["24", *["0.5"] * 10]
    fields += [f"{angle:g}" for angle in [*planes, *gammas]]
    fields += [f"{shape(c, gamma) * per_thousand:.4f}" for c in stored for gamma in gammas]
    if comma:
        fields = [field.replace(".", ",") for field in fields]
    return "\r\n".join(fields) + "\r\n"


def samples() -> dict[str, str]:
    """Return the files by name."""
    half, whole = steps(0, 90, 5), steps(0, 180, 5)
    turn = steps(0, 345, 15)
    new, old = "IESNA:LM-63-2002", "IESNA:LM-63-1995"
    return {
        "downlight-1995.ies": ies(downlight, [0.0], half, first_line=old, units="1 -0.5 0 0"),
        "downlight-1986.ies": ies(
            downlight, [0.0], half, first_line="A label", factors=(1.25, 0.9, 0.8)
        ),
        "linear-2002.ies": ies(
            linear,
            steps(0, 90, 15),
            whole,
            first_line=new,
            factors=(2.0, 0.9, 1.0),
            per_line=7,
            units="2 0.06 1.18 0",
        ),
        "washer-2002.ies": ies(washer, steps(0, 180, 15), half, first_line=new),
        "washer-sideways-1995.ies": ies(washer_sideways, steps(90, 270, 15), half, first_line=old),
        "lopsided-2019.ies": ies(
            lopsided, steps(0, 360, 15), whole, first_line="IES:LM-63-2019", lumens=-1
        ),
        "downlight.ldt": ldt(downlight, 1, [0.0], turn, half),
        "linear.ldt": ldt(linear, 4, steps(0, 90, 15), turn, whole, comma=True),
        "washer.ldt": ldt(washer, 2, steps(0, 180, 15), turn, half),
        "washer-sideways.ldt": ldt(washer_sideways, 3, steps(270, 450, 15), turn, half, pieces=-1),
        "lopsided.ldt": ldt(lopsided, 0, turn, turn, whole),
    }


def main() -> None:
    """Write every file."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in samples().items():
        (FOLDER / name).write_bytes(text.encode("ascii"))
        print(name, len(text))


if __name__ == "__main__":
    main()
