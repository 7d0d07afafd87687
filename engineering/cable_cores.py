"""How many cores a circuit's cable needs, by how the circuit is driven.

Core counts are common practice without a source; the electrician chooses the cable.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engineering.published import COMMON_PRACTICE, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Cores:
    """The cores of one circuit's cable.

    `power` counts line and neutral, or common and channels. `signal` counts a control pair, which
    may run in the same cable only where its insulation suits the mains voltage. `channels` counts
    the cores that are switched or dimmed. `has_common` says that one core carries the sum of them.
    """

    power: int
    signal: int
    needs_earth: bool
    channels: int
    has_common: bool
    source: Source = COMMON_PRACTICE

    @property
    def conductors(self) -> int:
        """All conductors of the cable: power, signal and earth."""
        return self.power + self.signal + int(self.needs_earth)


def _mains(*, power: int = 2, signal: int = 0, channels: int = 1) -> Cores:
    return Cores(power=power, signal=signal, needs_earth=True, channels=channels, has_common=False)


def _extra_low(*, channels: int) -> Cores:
    return Cores(
        power=channels + 1, signal=0, needs_earth=False, channels=channels, has_common=True
    )


CORES: Mapping[str, Cores] = MappingProxyType(
    {
        "switched": _mains(),
        "phase-dimmed": _mains(),
        "dc-white": _extra_low(channels=1),
        "dc-tunable": _extra_low(channels=2),
        "dc-rgb": _extra_low(channels=3),
        "dc-rgbw": _extra_low(channels=4),
        "dc-rgb-tunable": _extra_low(channels=5),
        "analogue-dimmed": _mains(signal=2),
        "digital-dimmed": _mains(signal=2),
        # A blind or shutter motor: one core winds up, one winds down, and a neutral.
        "motor": _mains(power=3, channels=2),
    }
)


def cores(*, load_kind: str) -> Cores:
    """Return the cores that a circuit of this load kind needs.

    Raises: ValueError for a load kind that is not in CORES.

    >>> cores(load_kind="dc-rgbw").power
    5
    """
    if load_kind not in CORES:
        raise ValueError(f"load_kind must be one of {sorted(CORES)}, got {load_kind!r}")
    return CORES[load_kind]
