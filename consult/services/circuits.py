"""Deeds on circuits and the fittings on them."""

import uuid
from collections.abc import Collection
from decimal import Decimal
from typing import Any

from django.db.models import F
from django.utils.translation import gettext as _

from base.asked import Asked, changed
from base.deeds import Gone, Refusal, deed
from base.models import Person
from catalogue.kinds import Unit
from catalogue.models import Feed, Product
from consult.journal import Change, apply, create, delete, removed_with, update
from consult.models import Circuit, CircuitFitting, Room, RoomObject
from consult.numbering import numbered
from consult.services.house import hanging_on, moved, next_position, removal_in_order


def circuit_code(room: Room, number: int) -> str:
    """Floor, room and number of the circuit: given once, never reused."""
    return f"{room.floor.code}{room.number:02d}.{number}"


@deed(makes="consult.circuit")
def circuit_add(
    *,
    by: Person,
    room: Room,
    name: str,
    new: uuid.UUID,
    fitting: dict[str, Any] | None = None,
    **values: Any,
) -> Circuit:
    """A circuit with its code, and its first fitting where one is given, in one act.

    It stands last: no circuit of a room has a place above the room's last number.
    """
    room = _counting_one_more(room)
    number = room.last_circuit_number
    circuit = Circuit(
        pk=new,
        project_id=room.project_id,
        room=room,
        number=number,
        code=circuit_code(room, number),
        name=name,
        position=number,
        **values,
    )
    changes = [create(circuit)]
    if fitting:
        hangs = {"room": room, "position": 1, **fitting}
        changes.append(create(_fitting(circuit, **hangs)))
    apply(project=room.project, by=by, title="circuit_add", about=str(circuit), changes=changes)
    return circuit


def _counting_one_more(room: Room) -> Room:
    """The room as it is now with one more circuit counted: read, locked and counted at once.

    Its project is locked before it, as by every deed on a design. Raises `Gone`.
    """
    project = numbered(room.project)
    fresh: Room | None = changed(
        Room.objects.filter(pk=room.pk), last_circuit_number=F("last_circuit_number") + 1
    )
    if project is None or fresh is None:
        raise Gone
    fresh.project = project
    if fresh.floor_id == room.floor_id:
        fresh.floor = room.floor
    return fresh


@deed(locks="circuit", holds=numbered)
def circuit_change(*, by: Person, circuit: Circuit, **values: Any) -> Circuit:
    apply(
        project=circuit.project,
        by=by,
        title="circuit_change",
        about=str(circuit),
        changes=[update(circuit, **values)],
    )
    return circuit


@deed(removes=True)
def circuit_remove(*, by: Person, circuit: Circuit) -> None:
    """Remove a circuit with all that hangs on it, in its room and in others."""
    project = numbered(circuit.project)
    fixed, levels, fittings, rows = removed_with(*hanging_on([circuit.pk]))
    if project is None or not rows:
        raise Gone
    apply(
        project=project,
        by=by,
        title="circuit_remove",
        about=str(rows[0]),
        changes=[*removal_in_order(fixed, levels, fittings), delete(rows[0])],
        is_free=True,
    )


@deed(locks="circuit", holds=numbered)
def circuit_move(*, by: Person, circuit: Circuit, step: int) -> Circuit:
    """Move a circuit up (-1) or down (1) among the circuits of its layer. Its code stays."""
    rows = list(Circuit.objects.filter(room=circuit.room_id).order_by("position", "number"))
    layer = [place for place, row in enumerate(rows) if row.layer == circuit.layer]
    here = next(at for at, place in enumerate(layer) if rows[place].pk == circuit.pk)
    step = layer[min(max(here + step, 0), len(layer) - 1)] - layer[here]
    apply(
        project=circuit.project,
        by=by,
        title="circuit_move",
        about=str(circuit),
        changes=moved(rows, circuit, step),
    )
    return circuit


@deed(locks="circuit", holds=numbered, makes="consult.circuitfitting")
def fitting_add(
    *, by: Person, circuit: Circuit, new: uuid.UUID, room: Room | None = None, **values: Any
) -> CircuitFitting:
    """Pieces of a product, or a placeholder, on a circuit; in the circuit's room unless said."""
    position = next_position(CircuitFitting.objects.filter(circuit=circuit))
    row = _fitting(circuit, room or circuit.room, pk=new, position=position, **values)
    apply(
        project=circuit.project,
        by=by,
        title="fitting_add",
        about=_about(row),
        changes=[create(row)],
    )
    return row


@deed(locks="fitting", holds=numbered)
def fitting_change(*, by: Person, fitting: CircuitFitting, **values: Any) -> CircuitFitting:
    values = _settled({**_given(fitting, but=values), **values})
    if "over" not in values:  # read only where it is needed
        values["over"] = fitting.over
    hangs_in = values["room"].pk if values.get("room") else fitting.room_id
    values["over"] = over_in(hangs_in, values["over"])
    change = update(fitting, **values)
    apply(
        project=fitting.project,
        by=by,
        title="fitting_change",
        about=_about(fitting),
        changes=[change, *_followers(fitting)],
    )
    return fitting


@deed(locks="fitting", holds=numbered, removes=True)
def fitting_remove(*, by: Person, fitting: CircuitFitting) -> None:
    apply(
        project=fitting.project,
        by=by,
        title="fitting_remove",
        about=_about(fitting),
        changes=[delete(fitting)],
    )


@deed(locks="fitting", holds=numbered)
def fitting_move(*, by: Person, fitting: CircuitFitting, step: int) -> CircuitFitting:
    rows = list(
        CircuitFitting.objects.filter(circuit=fitting.circuit_id).order_by("position", "pk")
    )
    apply(
        project=fitting.project,
        by=by,
        title="fitting_move",
        about=_about(fitting),
        changes=moved(rows, fitting, step),
    )
    return fitting


@deed(locks="fitting", holds=numbered)
def fitting_to_circuit(*, by: Person, fitting: CircuitFitting, circuit: Circuit) -> CircuitFitting:
    """Hang the fitting on another circuit of the same project."""
    if circuit.project_id != fitting.project_id:
        raise Refusal(_("That circuit belongs to another project."))
    position = next_position(CircuitFitting.objects.filter(circuit=circuit))
    apply(
        project=fitting.project,
        by=by,
        title="fitting_to_circuit",
        about=_about(fitting),
        changes=[update(fitting, circuit=circuit, position=position)],
    )
    return fitting


def _fitting(circuit: Circuit, room: Room, **values: Any) -> CircuitFitting:
    if room.project_id != circuit.project_id:
        raise Refusal(_("That room belongs to another project."))
    values["over"] = over_in(room.pk, values.get("over"))
    return CircuitFitting(
        project_id=circuit.project_id, circuit=circuit, room=room, **_settled(values)
    )


def over_in(room_id: uuid.UUID, over: RoomObject | None) -> RoomObject | None:
    """What a fitting hangs over, as long as that stands in the room where the fitting hangs."""
    return over if over is not None and over.room_id == room_id else None


def _given(row: CircuitFitting, *, but: Collection[str] = ()) -> dict[str, Any]:
    names = ("product", "feed", "same_pieces_as", "placeholder", "pieces", "length_m", "lamp")
    return {name: getattr(row, name) for name in names if name not in but}


def _settled(values: dict[str, Any]) -> dict[str, Any]:
    """The values with what follows from them: the feed, the length of what is sold by the metre."""
    product: Product | None = values.get("product")
    same: CircuitFitting | None = values.get("same_pieces_as")
    if same is not None:
        product = values["product"] = same.product
        values["pieces"], values["length_m"] = same.pieces, same.length_m
    if product is None:
        if not values.get("placeholder"):
            raise Refusal(_("Choose a product, or name a placeholder with its allowance."))
        return {**values, "feed": None, "lamp": None}
    values["placeholder"] = ""
    values["feed"] = _feed_of(product, values.get("feed"))
    values["length_m"] = _length_of(product, values.get("length_m"))
    return values


def _feed_of(product: Product, feed: Feed | None) -> Feed | None:
    if feed is not None and feed.product_id == product.pk:
        return feed
    return product.feeds.order_by("number").first()


def _length_of(product: Product, length_m: Decimal | None) -> Decimal | None:
    if product.unit != Unit.METRE:
        return None
    if not length_m:
        raise Refusal(
            _("%(product)s is sold by the metre: give the length in metres.") % {"product": product}
        )
    return length_m


_OTHER_FEEDS = Asked(lambda key: CircuitFitting.objects.filter(same_pieces_as=key))


def _followers(row: CircuitFitting) -> list[Change]:
    """Rows that show other feeds of the same pieces follow their number and length."""
    return [
        update(other, pieces=row.pieces, length_m=row.length_m, product=row.product)
        for other in _OTHER_FEEDS.all(row.pk)
    ]


def _about(row: CircuitFitting) -> str:
    return f"{row.pieces} × {row.placeholder or row.product}"
