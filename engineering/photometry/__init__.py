"""Photometric files (IES LM-63 and EULUMDAT) and the light they describe.

>>> from engineering.photometry import read_ies
>>> read_ies(b"")
Traceback (most recent call last):
...
engineering.photometry.errors.PhotometryError: line 1: the file is empty
"""

from engineering.photometry.errors import PhotometryError, Remark
from engineering.photometry.eulumdat import read_ldt
from engineering.photometry.ies import read_ies
from engineering.photometry.luminaire import LampSet, Luminaire, TiltTable
from engineering.photometry.opening import LuminousOpening
from engineering.photometry.text import MAX_BYTES

__all__ = [
    "MAX_BYTES",
    "LampSet",
    "Luminaire",
    "LuminousOpening",
    "PhotometryError",
    "Remark",
    "TiltTable",
    "read_file",
    "read_ies",
    "read_ldt",
]


def read_file(content: bytes, *, max_bytes: int = MAX_BYTES) -> Luminaire:
    """Read a photometric file of either kind, told apart by its content.

    Only IES files hold a line that starts with `TILT=`.

    Parameters
    ----------
    content : the file
    max_bytes : largest file that is read, 2 MB by default

    Raises
    ------
    PhotometryError : the file is wrong, or neither
    """
    compact = bytes(content[:max_bytes]).replace(b"\0", b"").replace(b" ", b"").upper()
    is_ies = b"TILT=" in compact
    return (read_ies if is_ies else read_ldt)(content, max_bytes=max_bytes)
