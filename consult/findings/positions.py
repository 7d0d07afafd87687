"""Keypads: whether one fits, whether its engraving fits, how high it hangs."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.findings.registry import Case, Found, found, published, rule
from engineering.mounting import SWITCH_HEIGHT_SOURCE, switch_height_codes


@rule(
    "position-without-keypad",
    title=_("A position that no keypad fits"),
    severity="stop",
    why=_(
        "%(position)s needs %(buttons)s buttons (%(scenes)s scenes): no keypad of the catalogue fits."
    ),
    mend=_("Two keypads, a larger one, or fewer scenes: the control plan says which would do."),
    place="position",
)
def position_without_keypad(case: Case) -> Iterator[Found]:
    choices = {choice.code: choice for choice in case.plan.keypads.choices}
    for position in case.house.design.positions:
        choice = choices.get(position.code)
        if choice is not None and choice.reference is None:
            scenes = choice.why[0].values.get("scenes", 0)
            yield found(
                "position-without-keypad",
                about=position.id,
                room=position.room,
                position=f"{position.code} {position.name}",
                buttons=choice.buttons_needed,
                scenes=scenes,
            )


@rule(
    "engraving-too-long",
    title=_("An engraving that does not fit its button"),
    severity="stop",
    why=_("“%(text)s” at %(position)s has %(long)s characters; a button takes %(most)s."),
    mend=_("Shorten the text, or choose a keypad with larger buttons."),
    source="the keypad's data in the catalogue",
    place="position",
)
def engraving_too_long(case: Case) -> Iterator[Found]:
    chosen = {choice.code: choice.reference for choice in case.plan.keypads.choices}
    sold = [p.keypad.engraving_chars for p in case.house.stock.products if p.keypad]
    for position in case.house.design.positions:
        if not position.is_engraved:
            continue
        product = case.house.by_reference.get(chosen.get(position.code) or "")
        most = (
            product.keypad.engraving_chars if product and product.keypad else max(sold, default=0)
        )
        texts = [b.engraving for b in position.buttons if len(b.engraving) > most]
        if texts and most:
            longest = max(texts, key=len)
            yield found(
                "engraving-too-long",
                about=position.id,
                room=position.room,
                position=position.code,
                text=longest,
                long=len(longest),
                most=most,
            )


@rule(
    "switch-height",
    title=_("A keypad higher or lower than a new home allows"),
    severity="look",
    why=_("%(position)s hangs at %(height)s mm; in a new home controls hang from 450 to 1200 mm."),
    mend=_("Move it, or check the rule of the nation the house stands in."),
    source=published(SWITCH_HEIGHT_SOURCE),
    place="position",
)
def switch_height(case: Case) -> Iterator[Found]:
    is_new = case.house.design.project.kind_of_work == "new-build"
    for position in case.house.design.positions:
        if position.height_mm <= 0:
            continue
        codes = switch_height_codes(height_m=position.height_mm / 1000, is_new_dwelling=is_new)
        if codes:
            yield found(
                "switch-height",
                about=position.id,
                room=position.room,
                position=position.code,
                height=position.height_mm,
            )
