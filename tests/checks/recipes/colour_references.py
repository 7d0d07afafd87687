"""Recipe: points of the black body's locus, and reference lights, by a general colour library.

Run it in an environment of its own, from the root of the repository:

    python -m venv somewhere
    somewhere/bin/pip install colour-science==0.4.7
    somewhere/bin/python tests/checks/recipes/colour_references.py

Writes tests/checks/data/colour_references.json: the locus every 10 mired (CIE 1931 2° observer,
c₂ = 1.4388e-2 m K as in CIE 15), from which the table in engineering/colour_locus.py was taken, and
for standard illuminants their xy and correlated colour temperature by the library's own method.
"""

import json
import warnings
from pathlib import Path

import numpy as np

warnings.filterwarnings("ignore")
import colour  # noqa: E402 (it warns on import)

OUT = Path(__file__).parent.parent / "data" / "colour_references.json"
OBSERVER = "CIE 1931 2 Degree Standard Observer"
LIGHTS = ["A", "D50", "D55", "D65", "D75", "E", "FL1", "FL2", "FL4", "FL7", "FL11"]
LIGHTS += ["LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5"]


def uv_of_black_body(kelvin: float) -> tuple[float, float]:
    """Return CIE 1960 u, v of a black body."""
    observer = colour.MSDS_CMFS[OBSERVER]
    metres = observer.wavelengths * 1e-9
    power = metres**-5.0 / (np.exp(1.4388e-2 / (metres * kelvin)) - 1.0)
    x, y, z = (observer.values * power[:, np.newaxis]).sum(axis=0)
    below = x + 15.0 * y + 3.0 * z
    return 4.0 * x / below, 6.0 * y / below


def light(name: str) -> dict[str, float]:
    """Return xy and colour temperature of an illuminant."""
    spectrum = colour.SDS_ILLUMINANTS[name]
    observer = colour.MSDS_CMFS[OBSERVER].copy().align(spectrum.shape)
    xyz = (observer.values * spectrum.values[:, np.newaxis]).sum(axis=0)
    x, y = xyz[:2] / xyz.sum()
    kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013(
        np.array([4 * x, 6 * y]) / (-2 * x + 12 * y + 3)
    )
    mccamy = colour.temperature.xy_to_CCT_McCamy1992(np.array([x, y]))
    return {
        "x": round(float(x), 6),
        "y": round(float(y), 6),
        "cct_k": round(float(kelvin), 1),
        "duv": round(float(duv), 5),
        "mccamy_k": round(float(mccamy), 1),
    }


def main() -> None:
    """Write the file."""
    mireds = range(40, 1001, 10)
    locus = [[m, *(round(v, 6) for v in uv_of_black_body(1e6 / m))] for m in mireds]
    between = [[m, *(round(v, 6) for v in uv_of_black_body(1e6 / m))] for m in (45, 155, 333, 617)]
    content = {
        "library": "colour-science 0.4.7",
        "locus_mired_u_v": locus,
        "between_mired_u_v": between,
        "lights": {name: light(name) for name in LIGHTS},
    }
    OUT.write_text(json.dumps(content, indent=1) + "\n")


if __name__ == "__main__":
    main()
