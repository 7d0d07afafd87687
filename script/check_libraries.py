"""Says which of the libraries that PDFs are made with cannot be loaded: one Debian package a line.

Each is really loaded, by itself. One of them being there says nothing of the others: a desktop brings Pango without the
font subsetter, and a browser brings the subsetter without Pango.
"""

import ctypes
import sys

# Debian package: the names under which the library goes on Linux, macOS and Windows, as WeasyPrint tries them.
LIBRARIES = {
    "libpango-1.0-0": ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0-0.dll"),
    "libpangoft2-1.0-0": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "libpangoft2-1.0-0.dll"),
    "libharfbuzz-subset0": (
        "libharfbuzz-subset.so.0",
        "libharfbuzz-subset.dylib",
        "libharfbuzz-subset-0.dll",
    ),
}


def loads(name: str) -> bool:
    """Whether the system can load the library of this file name."""
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def missing() -> list[str]:
    """The packages of which no library can be loaded."""
    return [package for package, names in LIBRARIES.items() if not any(map(loads, names))]


if __name__ == "__main__":
    absent = missing()
    print("\n".join(absent))
    sys.exit(1 if absent else 0)
