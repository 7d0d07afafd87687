"""The luminous opening: the part of a luminaire that shines, by shape and size."""

import math
from dataclasses import dataclass
from typing import Final

SHAPES: Final = (
    "point",
    "line",
    "rectangle",
    "box",
    "disc",
    "ellipse",
    "vertical cylinder",
    "vertical elliptical cylinder",
    "sphere",
    "ellipsoid",
    "cylinder along C0",
    "cylinder along C90",
    "vertical disc",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LuminousOpening:
    """Shape and size of what shines.

    Parameters
    ----------
    shape : one of `SHAPES`
    along_c0_m, along_c90_m, height_m : size along C0-C180, along C90-C270 and upright [m], 0 or
        more

    Raises
    ------
    ValueError : an unknown shape, a negative size, or one that is no number

    >>> LuminousOpening(shape="disc", along_c0_m=0.1, along_c90_m=0.1).area_m2  # doctest: +ELLIPSIS
    0.00785...
    """

    shape: str = "point"
    along_c0_m: float = 0.0
    along_c90_m: float = 0.0
    height_m: float = 0.0

    def __post_init__(self) -> None:
        if self.shape not in SHAPES:
            raise ValueError(f"shape must be one of {', '.join(SHAPES)}, got {self.shape!r}")
        for name in ("along_c0_m", "along_c90_m", "height_m"):
            size = getattr(self, name)
            if not 0 <= size < math.inf:
                raise ValueError(f"{name} must be 0 or more, got {size!r}")

    @property
    def is_round(self) -> bool:
        """Whether the outline seen from below is a circle or an ellipse."""
        return self.shape in {
            "disc",
            "ellipse",
            "vertical cylinder",
            "vertical elliptical cylinder",
            "sphere",
            "ellipsoid",
        }

    @property
    def area_m2(self) -> float:
        """Area seen from straight below [m²]; 0 for a point or a line."""
        box = self.along_c0_m * self.along_c90_m
        return box * math.pi / 4 if self.is_round else box


def _sign(value: float) -> str:
    return "-" if value < 0 else "+" if value > 0 else "0"


# Signs of width, length, height. Where two sizes decide (a disc has equal ones, an ellipse not)
# the round name stands here and `_spread` widens it.
# Source: the output of the free ies2rad program (Radiance 6) for each combination; the paid text
# of LM-63 was not read.
_BEFORE_2002 = {
    "000": "point",
    "++0": "rectangle",
    "+++": "box",
    "-00": "disc",
    "-0+": "vertical cylinder",
    "-+0": "ellipse",
    "-+-": "ellipsoid",
    "+--": "ellipsoid",
    "0+-": "cylinder along C0",
    "+0-": "cylinder along C90",
}
_FROM_2002 = {
    "000": "point",
    "++0": "rectangle",
    "+++": "box",
    "-00": "disc",
    "--0": "disc",
    "--+": "vertical cylinder",
    "---": "sphere",
    "-+-": "cylinder along C0",
    "+--": "cylinder along C90",
    "0--": "vertical disc",
}
_ANY_EDITION = {"+00": "line", "0+0": "line"}
_SPREAD = {
    "disc": "ellipse",
    "vertical cylinder": "vertical elliptical cylinder",
    "sphere": "ellipsoid",
}


def ies_opening(
    *, width_m: float, length_m: float, height_m: float, edition: int
) -> LuminousOpening | None:
    """Read the opening from the signed sizes of an IES file.

    The length runs along C0-C180 and the width along C90-C270; a negative size is round.

    Parameters
    ----------
    width_m, length_m, height_m : as in the file, in metres, with their signs
    edition : year of the edition; the meaning of the signs changed in 2002

    Returns
    -------
    LuminousOpening, or None when the signs name no shape

    >>> ies_opening(width_m=-0.1, length_m=-0.1, height_m=0.0, edition=2002).shape
    'disc'
    """
    signs = _sign(width_m) + _sign(length_m) + _sign(height_m)
    own, other = (_FROM_2002, _BEFORE_2002) if edition >= 2002 else (_BEFORE_2002, _FROM_2002)
    shape = own.get(signs) or other.get(signs) or _ANY_EDITION.get(signs)
    if shape is None:
        return None
    width, length, height = abs(width_m), abs(length_m), abs(height_m)
    if signs in {"-00", "-0+"}:
        length = width
    if shape == "cylinder along C0" and not width:
        width = height
    if shape == "cylinder along C90" and not length:
        length = height
    is_even = math.isclose(width, length) and (shape != "sphere" or math.isclose(width, height))
    return LuminousOpening(
        shape=shape if is_even else _SPREAD.get(shape, shape),
        along_c0_m=length,
        along_c90_m=width,
        height_m=height,
    )
