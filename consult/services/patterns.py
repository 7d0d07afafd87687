"""Patterns: rooms of the library, put into rooms of a job with quantities that follow the size."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import apply, create
from consult.kinds import ScalesBy
from consult.models import CircuitFitting, Floor, Project, Room, Scene
from consult.room_size import area_m2, perimeter_m
from consult.services import copying

CENTIMETRE = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewRow:
    """One row of fittings before and after: pieces and length [m]."""

    circuit: str
    name: str
    pieces: int
    pieces_after: int
    length_m: Decimal | None
    length_after_m: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What a pattern would make of a room. `scales` says whether both sizes are known."""

    rows: tuple[PreviewRow, ...]
    scenes_filled: tuple[str, ...]
    scenes_made: tuple[str, ...]
    scales: bool


@deed()
def library(*, by: Person) -> Project:
    """The library of patterns: made with its one floor when there is none."""
    found = Project.objects.filter(is_library=True).first()
    if found is not None:
        return found
    project = Project(name=_("Patterns"), is_library=True)
    apply(project=None, by=by, title="library_start", changes=[create(project)])
    floor = Floor(project=project, name=_("Patterns"), code="P", position=1)
    apply(project=project, by=by, title="library_start", changes=[create(floor)])
    return project


def patterns() -> Any:
    """The rooms of the library."""
    rooms = Room.objects.filter(project__is_library=True)
    return rooms.select_related("floor", "group", "project").order_by("name")


@deed()
def save_as_pattern(*, by: Person, room: Room, name: str = "") -> Room:
    """A room as it stands, kept for other jobs."""
    project = library(by=by)
    floor = Floor.objects.filter(project=project).order_by("position").first()
    if floor is None:
        raise Refusal(_("The library has no floor to keep patterns on. Add one first."))
    made: Room = copying.room_copy(by=by, floor=floor, room=room, name=name, title="pattern_save")
    return made


def factor(by: str, source: Room, target: Room) -> Decimal | None:
    """By how much a quantity grows from one room to another. None where a size is not known."""
    size_of = area_m2 if by == ScalesBy.AREA else perimeter_m
    before, after = size_of(source), size_of(target)
    return after / before if before and after else None


def scaled(fitting: CircuitFitting, source: Room, target: Room) -> dict[str, Any]:
    """Pieces, or for what is sold by the metre the length, at the size of the target.

    At least one piece; halves are rounded up.
    """
    grown = factor(fitting.scales_by, source, target) if fitting.scales_by else None
    if grown is None:
        return {}
    if fitting.length_m is not None:
        length = (fitting.length_m * grown).quantize(CENTIMETRE, rounding=ROUND_HALF_UP)
        return {"length_m": max(length, CENTIMETRE)}
    pieces = (fitting.pieces * grown).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return {"pieces": min(max(int(pieces), 1), 9999)}


def preview(pattern: Room, target: Room) -> Preview:
    """What would hang in the target, before anything is written."""
    fittings = _fittings(pattern)
    there = set(Scene.objects.filter(group=target.group_id).values_list("name", flat=True))
    names = list(Scene.objects.filter(group=pattern.group_id).values_list("name", flat=True))
    folded = {name.casefold() for name in there}
    return Preview(
        rows=tuple(_row(each, scaled(each, pattern, target)) for each in fittings),
        scenes_filled=tuple(name for name in names if name.casefold() in folded),
        scenes_made=tuple(name for name in names if name.casefold() not in folded),
        scales=factor(ScalesBy.AREA, pattern, target) is not None,
    )


def _fittings(pattern: Room) -> Sequence[CircuitFitting]:
    rows = CircuitFitting.objects.filter(circuit__room=pattern)
    rows = rows.select_related("circuit", "product")
    return list(rows.order_by("circuit__position", "position"))


def _row(fitting: CircuitFitting, after: dict[str, Any]) -> PreviewRow:
    return PreviewRow(
        circuit=fitting.circuit.name,
        name=fitting.product.shown_name if fitting.product else fitting.placeholder,
        pieces=fitting.pieces,
        pieces_after=after.get("pieces", fitting.pieces),
        length_m=fitting.length_m,
        length_after_m=after.get("length_m", fitting.length_m),
    )


@deed(locks="room")
def pattern_apply(*, by: Person, room: Room, pattern: Room) -> Room:
    """Hang what a pattern holds in a room, beside what hangs there already."""
    if not pattern.project.is_library:
        raise Refusal(_("That room is not a pattern."))
    copy = copying.Copy(
        target=room,
        group=room.group,
        scaled=lambda fitting: scaled(fitting, pattern, room),
        number=copying.last_number(room),
    )
    copying.fill(copy, pattern)
    apply(
        project=room.project,
        by=by,
        title="pattern_apply",
        about=f"{pattern.name}: {room.name}"[:200],
        changes=copy.changes,
    )
    Room.objects.filter(pk=room.pk).update(last_circuit_number=copy.number)
    return room
