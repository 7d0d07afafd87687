"""On what a discount may be given in a draft: its rooms, its kinds of product, its suppliers."""

from django.utils.translation import gettext as _

from catalogue.kinds import Kind
from quoting.draft import Draft


def discount_places(draft: Draft) -> list[tuple[str, list[tuple[str, str]]]]:
    """Grouped choices, each `scope|about`."""
    kinds = dict(Kind.choices)
    lines = [line.bill for line in draft.lines if line.bill]
    rooms = [r for r in draft.house.design.rooms if any(x.room == r.id for x in lines)]
    named = sorted({line.kind or line.source for line in lines})
    suppliers = sorted({line.supplier for line in lines if line.supplier})
    return [
        (_("Rooms"), [(f"room|{room.id}", room.name) for room in rooms]),
        (
            _("Kinds"),
            [(f"kind|{kind}", _("Labour") if kind == "labour" else str(kinds.get(kind, kind))) for kind in named],
        ),
        (_("Suppliers"), [(f"supplier|{name}", name) for name in suppliers]),
    ]  # fmt: skip


def discount_names(draft: Draft) -> dict[str, str]:
    """The name of each place by `scope|about`."""
    return {key: name for _group, members in discount_places(draft) for key, name in members}
