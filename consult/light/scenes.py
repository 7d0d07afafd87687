"""Levels of a scene as weights of the basis: white that is tuned, white that warms, colour."""

from dataclasses import dataclass, replace

from consult.design import Design, RoomPart
from consult.light.problem import Control
from engineering.colour import mired
from engineering.dimming_curve import light_share

ALL_ON, ALL_OFF = "all-on", "all-off"
DEFAULT_K = 2900.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """The level of a circuit, 0 to 1, with its colour where the scene gives one.

    Of light it is the share that the circuit's dimming curve makes of it.
    """

    share: float
    cct_k: int | None = None
    colour: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomScene:
    """A scene as it plays in one room: levels by circuit; a circuit that is not named is off."""

    key: str
    name: str
    words: str
    levels: dict[str, Level]

    @property
    def is_lit(self) -> bool:
        """Whether anything of the room is lit in it."""
        return any(level.share > 0 for level in self.levels.values())


def scenes_of(
    design: Design, room: RoomPart, controls: tuple[Control, ...], *, all_on: str, all_off: str
) -> tuple[RoomScene, ...]:
    """The scenes of a room: those of its group, then everything on, then everything off."""
    here = {control.circuit for control in controls}
    found = [
        RoomScene(
            key=scene.id,
            name=scene.name,
            words=scene.words,
            levels={
                level.circuit: Level(
                    share=level.level / 100, cct_k=level.cct_k, colour=level.colour
                )
                for level in scene.levels
                if level.circuit in here
            },
        )
        for scene in design.scenes_of(room.group)
    ]
    full = {control.circuit: Level(share=1.0) for control in controls}
    found.append(RoomScene(key=ALL_ON, name=all_on, words="", levels=full))
    found.append(RoomScene(key=ALL_OFF, name=all_off, words="", levels={}))
    return tuple(found)


def cool_share(from_k: float, to_k: float, wanted_k: float) -> float:
    """The share of the cooler of two whites that gives a colour temperature, 0 to 1.

    The mixture's mired lies between theirs nearly in a straight line.

    >>> cool_share(2200, 5000, 2200), cool_share(2200, 5000, 9000)
    (0.0, 1.0)
    """
    warm, cool, wanted = mired(from_k), mired(to_k), mired(wanted_k)
    return min(1.0, max(0.0, (warm - wanted) / (warm - cool)))


def weights(controls: tuple[Control, ...], levels: dict[str, Level]) -> dict[str, float]:
    """The weight of every channel that is lit, 0 to 1."""
    found: dict[str, float] = {}
    for control in controls:
        level = levels.get(control.circuit)
        if level is not None and level.share > 0:
            lit = light_share(level.share, control.curve)
            found |= _of(control, replace(level, share=lit))
    return found


def _of(control: Control, level: Level) -> dict[str, float]:
    if control.kind == "plain":
        return {control.keys[0]: level.share}
    if control.kind == "colour":
        return _coloured(control, level)
    if control.kind == "tunable":
        wanted = float(level.cct_k or DEFAULT_K)
    else:  # warms as it dims, in a straight line from the low end to the high one
        wanted = control.from_k + (control.to_k - control.from_k) * level.share
    cool = cool_share(control.from_k, control.to_k, wanted)
    warm_key, cool_key = control.keys
    return {warm_key: level.share * (1 - cool), cool_key: level.share * cool}


def _coloured(control: Control, level: Level) -> dict[str, float]:
    """Red, green, blue from six digits; without a colour the white channel, or all three."""
    has_white = len(control.keys) == 4
    if not level.colour:
        lit = control.keys[3:] if has_white else control.keys
        return dict.fromkeys(lit, level.share)
    parts = [int(level.colour[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return {
        key: level.share * part for key, part in zip(control.keys, linear, strict=False) if part > 0
    }
