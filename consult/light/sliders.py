"""The sliders of a circuit on the page of a room's light, as values: level, white, colour."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from consult.light.problem import Control
from consult.light.scenes import DEFAULT_K, RoomScene

CHANNELS: tuple[tuple[str, Promise], ...] = (
    ("red", _("Red")),
    ("green", _("Green")),
    ("blue", _("Blue")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """One circuit: its level in percent, the white [K] and the six digits of colour it starts with.

    `colour` is empty where the circuit gives white.
    """

    circuit: str
    code: str
    name: str
    kind: str
    percent: int
    from_k: int
    to_k: int
    kelvin: int
    colour: str

    @property
    def channels(self) -> list[tuple[str, Promise, int]]:
        """Red, green and blue in percent; all full where it gives white."""
        digits = self.colour or "ffffff"
        parts = [int(digits[place : place + 2], 16) for place in (0, 2, 4)]
        return [
            (name, label, round(part / 2.55))
            for (name, label), part in zip(CHANNELS, parts, strict=True)
        ]


def sliders(controls: tuple[Control, ...], scene: RoomScene | None) -> list[Slider]:
    """The sliders of a room as a scene sets them; a circuit it leaves alone stands at nothing."""
    found = []
    for control in controls:
        level = scene.levels.get(control.circuit) if scene else None
        low, high = round(control.from_k), round(control.to_k)
        wanted = level.cct_k if level and level.cct_k else round(DEFAULT_K)
        found.append(
            Slider(
                circuit=control.circuit,
                code=control.code,
                name=control.name,
                kind=control.kind,
                percent=round(100 * level.share) if level else 0,
                from_k=low,
                to_k=high,
                kelvin=max(low, min(high, wanted)),
                colour=level.colour if level else "",
            )
        )
    return found
