"""Deeds on what the client may choose: groups, options, and what comes with an option.

They write the design, so they go through its journal and can be taken back.
"""

from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.derived import planned, read_house
from consult.journal import Change, apply, create, delete, update
from consult.models import (
    Circuit,
    CircuitFitting,
    KeypadPosition,
    Option,
    OptionGroup,
    Project,
    Room,
)
from quoting.problems import Problem, problem_sentence
from quoting.switching import both_ways, pieces

# What may come with an option. A room brings its circuits, a circuit its fittings.
PARTS: dict[str, type[Any]] = {
    "room": Room,
    "circuit": Circuit,
    "fitting": CircuitFitting,
    "position": KeypadPosition,
}


@deed(locks="project")
def group_add(
    *, by: Person, project: Project, name: str, is_one_of: bool, options: list[str]
) -> OptionGroup:
    """A group with its options; of one-of-several the first is in unless the client says otherwise."""
    names = [each.strip() for each in options if each.strip()]
    if not names:
        raise Refusal(_("Name at least one option."))
    if is_one_of and len(names) < 2:
        raise Refusal(_("One of several needs two options or more."))
    place = OptionGroup.objects.filter(project=project).count() + 1
    group = OptionGroup(project=project, name=name, is_one_of=is_one_of, position=place)
    rows = [
        Option(
            project=project, group=group, name=each, position=order, is_in=is_one_of and order == 1
        )
        for order, each in enumerate(names, start=1)
    ]
    changes = [create(group), *(create(row) for row in rows)]
    apply(project=project, by=by, title="option_group_add", about=name, changes=changes)
    return group


@deed(locks="project")
def switches_offer(*, by: Person, project: Project) -> OptionGroup:
    """Ordinary switches as an alternative to scene control: a group of the two, scene control in.

    Refused where it is offered already, where there is nothing to switch, and where the comparison
    cannot count the switches of a group of rooms.
    """
    if Option.objects.filter(project=project, is_by_switches=True).exists():
        raise Refusal(_("Ordinary switches are offered as an alternative already."))
    house = read_house(project)
    compared = both_ways(house, planned(house), pieces())
    if not compared:
        raise Refusal(_("There is nothing to switch yet: put circuits into the rooms first."))
    for each in compared:
        if each.switches is None:
            raise Refusal(problem_sentence(Problem(code="switches_size", about=each.group.name)))
    place = OptionGroup.objects.filter(project=project).count() + 1
    name = _("How the lights are worked")
    group = OptionGroup(project=project, name=name, is_one_of=True, position=place)
    rows = [
        Option(project=project, group=group, name=_("Scenes on keypads"), position=1, is_in=True),
        Option(
            project=project,
            group=group,
            name=_("Ordinary switches and dimmers"),
            position=2,
            is_by_switches=True,
        ),
    ]
    changes = [create(group), *(create(row) for row in rows)]
    apply(project=project, by=by, title="switches_offer", about=name, changes=changes)
    return group


@deed(locks="group")
def option_add(*, by: Person, group: OptionGroup, name: str) -> Option:
    place = Option.objects.filter(group=group).count() + 1
    row = Option(project=group.project, group=group, name=name, position=place)
    apply(project=group.project, by=by, title="option_add", about=name, changes=[create(row)])
    return row


@deed(locks="option")
def option_take(*, by: Person, option: Option, is_in: bool) -> Option:
    """Say whether an option is taken unless the client says otherwise. Of one-of-several one is."""
    changes: list[Change] = []
    if option.group.is_one_of:
        if not is_in:
            raise Refusal(_("Of these options one is always taken: choose another instead."))
        others = Option.objects.filter(group=option.group_id, is_in=True).exclude(pk=option.pk)
        changes += [update(other, is_in=False) for other in others]
    changes.append(update(option, is_in=is_in))
    apply(project=option.project, by=by, title="option_take", about=option.name, changes=changes)
    return option


@deed(locks="option")
def option_remove(*, by: Person, option: Option) -> None:
    """The option goes; what came with it stays in the design, from now on always."""
    rest = Option.objects.filter(group=option.group_id).exclude(pk=option.pk)
    if option.group.is_one_of and option.is_in and rest.exists():
        raise Refusal(_("This one is taken unless the client says otherwise: take another first."))
    changes = [
        update(row, option=None)
        for model in PARTS.values()
        for row in model.objects.filter(option=option)
    ]
    changes.append(delete(option))
    if not rest.exists():
        changes.append(delete(option.group))
    apply(project=option.project, by=by, title="option_remove", about=option.name, changes=changes)


@deed(locks="option")
def part_put(*, by: Person, option: Option, kind: str, part: Any) -> Option:
    """Let a room, a circuit, a fitting or a keypad position come with the option only."""
    row = _part(kind, part, option)
    changes = [update(row, option=option)]
    apply(project=option.project, by=by, title="option_part", about=option.name, changes=changes)
    return option


@deed(locks="option")
def part_take_out(*, by: Person, option: Option, kind: str, part: Any) -> Option:
    """Let it be part of the design in any case again."""
    row = _part(kind, part, option)
    if row.option_id == option.pk:
        changes = [update(row, option=None)]
        apply(
            project=option.project, by=by, title="option_part", about=option.name, changes=changes
        )
    return option


def _part(kind: str, key: Any, option: Option) -> Any:
    model = PARTS.get(kind)
    rows = model.objects.filter(project=option.project_id, pk=key) if model else None
    row = rows.first() if rows is not None else None
    if row is None:
        raise Refusal(_("This is no longer part of the design. Load the page again."))
    return row
