"""Which keypad hangs at a position.

A choice answers with codes and values; sentences are worded elsewhere.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from engineering import refusal
from engineering.control_plan import Reason, Value


@dataclass(frozen=True, slots=True, kw_only=True)
class KeypadOption:
    """A keypad that can be bought.

    `buttons` for scenes, 1 or more; `off_is_extra` whether off has a button of its own beside them;
    `box_gangs` and `box_depth_mm` [mm] of the back box it needs, 0 for none; `characters` that one
    button takes when engraved, None where it cannot be engraved; `cost_minor` in whole minor units,
    `engraving_minor` more when engraved; `is_battery` where it needs no supply at the wall.
    """

    reference: str
    series: str
    finish: str
    buttons: int
    cost_minor: int
    off_is_extra: bool = False
    box_gangs: int = 1
    box_depth_mm: float = 0
    characters: int | None = None
    engraving_minor: int = 0
    is_battery: bool = False

    def __post_init__(self) -> None:
        refusal.text("reference", self.reference)
        refusal.count("buttons", self.buttons)
        refusal.count("cost_minor", self.cost_minor, at_least=0)
        refusal.count("engraving_minor", self.engraving_minor, at_least=0)
        refusal.count("box_gangs", self.box_gangs)
        refusal.not_negative("box_depth_mm", self.box_depth_mm)
        if self.characters is not None:
            refusal.count("characters", self.characters)

    def scenes(self, *, needs_off: bool) -> int:
        """Return how many scenes fit beside off, where off is needed."""
        return self.buttons - (1 if needs_off and not self.off_is_extra else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeypadNeed:
    """What a position asks of its keypad.

    `scenes` offered there, 0 or more; `needs_off`; `engraving` the texts of its buttons, none where
    buttons are plain and numbered; `box_depth_mm` [mm] and `box_gangs` of the box that is or can be
    there, None where not fixed; `has_supply` false where only a battery keypad can hang; `series`,
    `finish` and `reference` where somebody has fixed them.
    """

    code: str
    scenes: int
    needs_off: bool
    engraving: tuple[str, ...] = ()
    box_depth_mm: float | None = None
    box_gangs: int | None = None
    has_supply: bool = True
    series: str | None = None
    finish: str | None = None
    reference: str | None = None

    def __post_init__(self) -> None:
        refusal.text("code", self.code)
        refusal.count("scenes", self.scenes, at_least=0)
        if self.box_depth_mm is not None:
            refusal.not_negative("box_depth_mm", self.box_depth_mm)
        if self.box_gangs is not None:
            refusal.count("box_gangs", self.box_gangs)
        if self.scenes + int(self.needs_off) == 0:
            raise ValueError(f"{self.code} needs a scene or off")

    @property
    def longest_text(self) -> int:
        """Characters of the longest engraving, 0 where none is engraved."""
        return max(map(len, self.engraving), default=0)

    @property
    def is_engraved(self) -> bool:
        """Whether any button carries a text."""
        return self.longest_text > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class KeypadChoice:
    """The keypad of a position, or what could be done where none fits.

    `reference` None where none fits; `buttons_needed` and `spare` of the one chosen; `labels` the
    buttons as they read, numbered where plain; `cost_minor` with engraving; `why` the reasons for the
    choice or against it; `offers` codes 'two-keypads', 'larger-one', 'fewer-scenes' with values.
    """

    code: str
    reference: str | None
    buttons_needed: int
    spare: int
    labels: tuple[str, ...]
    cost_minor: int
    why: tuple[Reason, ...]
    offers: tuple[Reason, ...] = ()


_Refusal = Callable[[KeypadOption, KeypadNeed], bool]

_AGAINST: Mapping[str, _Refusal] = MappingProxyType(
    {
        "too-few-buttons": lambda option, need: (
            option.scenes(needs_off=need.needs_off) < need.scenes
        ),
        "other-series": lambda option, need: need.series not in (None, option.series),
        "other-finish": lambda option, need: need.finish not in (None, option.finish),
        "box-too-shallow": lambda option, need: (
            need.box_depth_mm is not None and option.box_depth_mm > need.box_depth_mm
        ),
        "box-too-narrow": lambda option, need: (
            need.box_gangs is not None and option.box_gangs > need.box_gangs
        ),
        "no-supply": lambda option, need: not need.has_supply and not option.is_battery,
        "not-engravable": lambda option, need: need.is_engraved and option.characters is None,
        "engraving-too-long": lambda option, need: (
            option.characters is not None and need.longest_text > option.characters
        ),
    }
)
"""Every reason that can stand against a keypad at a position."""


def reasons_against(*, option: KeypadOption, need: KeypadNeed) -> tuple[str, ...]:
    """Return the codes of what stands against a keypad at a position; none where it fits.

    >>> option = KeypadOption(reference="K1", series="S", finish="brass", buttons=3, cost_minor=1)
    >>> reasons_against(option=option, need=KeypadNeed(code="P1", scenes=3, needs_off=True))
    ('too-few-buttons',)
    """
    return tuple(code for code, stands in _AGAINST.items() if stands(option, need))


def choose_keypad(
    *,
    scenes: int,
    needs_off: bool,
    options: Sequence[KeypadOption],
    series: str | None = None,
    finish: str | None = None,
    engraving: Sequence[str] = (),
    box_depth_mm: float | None = None,
    box_gangs: int | None = None,
    has_supply: bool = True,
    reference: str | None = None,
    code: str = "position",
) -> KeypadChoice:
    """Return the cheapest keypad that fits a position, or what could be done where none does.

    Parameters: as the fields of `KeypadNeed`; options, keypads that can be bought, in any order.
    Notes: buttons needed are the scenes and off where off has no button of its own. Among equally
    cheap ones the fewest spare buttons, then the reference, so that the order never matters.
    Raises: ValueError for anything outside those, or references that come twice.

    >>> pair = [KeypadOption(reference=f"K{n}", series="S", finish="brass", buttons=n,
    ...                      cost_minor=1000 * n) for n in (2, 4)]
    >>> choose_keypad(scenes=3, needs_off=True, options=pair).reference
    'K4'
    """
    need = KeypadNeed(
        code=code,
        scenes=scenes,
        needs_off=needs_off,
        engraving=tuple(engraving),
        box_depth_mm=box_depth_mm,
        box_gangs=box_gangs,
        has_supply=has_supply,
        series=series,
        finish=finish,
        reference=reference,
    )
    return choose_for(need=need, options=options)


def check_options(*, options: Sequence[KeypadOption]) -> None:
    """Refuse keypads whose references come twice."""
    references = [option.reference for option in options]
    if len(set(references)) != len(references):
        raise ValueError(f"references must differ, got {sorted(references)!r}")


def _cost(option: KeypadOption, need: KeypadNeed) -> int:
    return option.cost_minor + (option.engraving_minor if need.is_engraved else 0)


def _order(option: KeypadOption, need: KeypadNeed) -> tuple[int, int, str]:
    return _cost(option, need), option.buttons, option.reference


def choose_for(*, need: KeypadNeed, options: Sequence[KeypadOption]) -> KeypadChoice:
    """Return the keypad of a position, as `choose_keypad` does, from a need that is already made."""
    check_options(options=options)
    if need.reference is not None:
        return _choose_fixed(need, options)
    fitting = [each for each in options if not reasons_against(option=each, need=need)]
    if not fitting:
        return _unserved(need, options)
    best = min(fitting, key=lambda option: _order(option, need))
    code = "cheapest-that-fits" if len(fitting) > 1 else "only-one-that-fits"
    return _chosen(need, best, code=code, fitting=len(fitting))


def _choose_fixed(need: KeypadNeed, options: Sequence[KeypadOption]) -> KeypadChoice:
    found = [each for each in options if each.reference == need.reference]
    if not found:
        return _unserved(need, options, code="fixed-not-offered")
    against = reasons_against(option=found[0], need=need)
    if against:
        return _unserved(need, options, code="fixed-does-not-fit", against=against)
    return _chosen(need, found[0], code="fixed")


def _chosen(need: KeypadNeed, option: KeypadOption, *, code: str, fitting: int = 1) -> KeypadChoice:
    needed = need.scenes + int(need.needs_off and not option.off_is_extra)
    values: dict[str, Value] = {
        "scenes": need.scenes,
        "buttons": option.buttons,
        "buttons_needed": needed,
        "fitting": fitting,
    }
    return KeypadChoice(
        code=need.code,
        reference=option.reference,
        buttons_needed=needed,
        spare=option.buttons - needed,
        labels=_labels(need, option),
        cost_minor=_cost(option, need),
        why=(Reason(code=code, values=values),),
    )


def _labels(need: KeypadNeed, option: KeypadOption) -> tuple[str, ...]:
    needed = need.scenes + int(need.needs_off and not option.off_is_extra)
    texts = dict(enumerate(need.engraving))
    places = range(max(needed, len(texts)))
    return tuple(texts.get(place) or str(place + 1) for place in places)


def _unserved(
    need: KeypadNeed,
    options: Sequence[KeypadOption],
    *,
    code: str = "none-fits",
    against: tuple[str, ...] = (),
) -> KeypadChoice:
    values: dict[str, Value] = {"scenes": need.scenes, "tried": len(options)}
    if against:
        values["against"] = " ".join(against)
    offers = (*_two_keypads(need, options), *_larger(need, options), *_fewer(need, options))
    return KeypadChoice(
        code=need.code,
        reference=None,
        buttons_needed=need.scenes + int(need.needs_off),
        spare=0,
        labels=(),
        cost_minor=0,
        why=(Reason(code=code, values=values),),
        offers=offers,
    )


def _fits_but_for_buttons(need: KeypadNeed, options: Iterable[KeypadOption]) -> list[KeypadOption]:
    return [
        each
        for each in options
        if set(reasons_against(option=each, need=need)) <= {"too-few-buttons"}
    ]


def _two_keypads(need: KeypadNeed, options: Sequence[KeypadOption]) -> tuple[Reason, ...]:
    """Offer the cheapest pair side by side; off stands on one of them."""
    fitting = _fits_but_for_buttons(need, options)
    pairs = [
        (first, second)
        for first in fitting
        for second in fitting
        if first.scenes(needs_off=need.needs_off) + second.buttons >= need.scenes
    ]
    if not pairs or need.scenes + int(need.needs_off) < 2:
        return ()
    first, second = min(
        pairs, key=lambda pair: (sum(_cost(each, need) for each in pair), _names(pair))
    )
    values: dict[str, Value] = {
        "first": first.reference,
        "second": second.reference,
        "cost_minor": _cost(first, need) + _cost(second, need),
    }
    return (Reason(code="two-keypads", values=values),)


def _names(pair: tuple[KeypadOption, KeypadOption]) -> tuple[str, str]:
    return pair[0].reference, pair[1].reference


def _larger(need: KeypadNeed, options: Sequence[KeypadOption]) -> tuple[Reason, ...]:
    """Offer the keypad with buttons enough that asks the fewest other things to give way."""
    enough = [each for each in options if each.scenes(needs_off=need.needs_off) >= need.scenes]
    if not enough:
        return ()

    def order(option: KeypadOption) -> tuple[int, int, int, str]:
        return len(reasons_against(option=option, need=need)), *_order(option, need)

    best = min(enough, key=order)
    values: dict[str, Value] = {
        "reference": best.reference,
        "gives_way": " ".join(reasons_against(option=best, need=need)),
        "cost_minor": _cost(best, need),
    }
    return (Reason(code="larger-one", values=values),)


def _fewer(need: KeypadNeed, options: Sequence[KeypadOption]) -> tuple[Reason, ...]:
    """Offer the most scenes that a keypad within all other limits takes."""
    fitting = _fits_but_for_buttons(need, options)
    most = max((each.scenes(needs_off=need.needs_off) for each in fitting), default=0)
    if not 0 < most < need.scenes:
        return ()
    taking = [each for each in fitting if each.scenes(needs_off=need.needs_off) == most]
    best = min(taking, key=lambda option: _order(option, need))
    values: dict[str, Value] = {
        "scenes": most,
        "reference": best.reference,
        "cost_minor": _cost(best, need),
    }
    return (Reason(code="fewer-scenes", values=values),)
