"""What the client may choose, under a project: groups, options, what comes with them."""

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.models import (
    Circuit,
    CircuitFitting,
    KeypadPosition,
    Option,
    OptionGroup,
    Project,
    Room,
)
from consult.views.shared import press, project_of, row_of
from quoting import switching
from quoting.choosing import Choices, choices_of, compared_ways, gap_of, option_groups
from quoting.forms_rules import GroupForm
from quoting.models import Quote
from quoting.problems import problem_sentence
from quoting.services import options as services


def url_of(project: Project) -> str:
    return reverse("quoting:options", args=[project.pk])


@require_safe
def options(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return render(request, "quoting/options.html", _page(project, GroupForm()))


def _page(project: Project, form: GroupForm) -> dict[str, Any]:
    parts = _parts(project)
    with_option: dict[Any, list[tuple[str, Any, str]]] = {}
    for kind, row, name in parts:
        if row.option_id:
            with_option.setdefault(row.option_id, []).append((kind, row.pk, name))
    groups = OptionGroup.objects.filter(project=project).prefetch_related("options")
    shown = [
        (group, [(option, with_option.get(option.pk, [])) for option in group.options.all()])
        for group in groups
    ]
    free = [(f"{kind}:{row.pk}", name) for kind, row, name in parts if not row.option_id]
    return {
        "project": project,
        "groups": shown,
        "free": free,
        "form": form,
        "offers_switches": any(option.is_by_switches for _g, rows in shown for option, _p in rows),
    }


def _parts(project: Project) -> list[tuple[str, Any, str]]:
    """All that may come with an option, named so that it is found. Four queries."""
    rooms = Room.objects.filter(project=project).select_related("floor")
    circuits = Circuit.objects.filter(project=project).select_related("room")
    fittings = CircuitFitting.objects.filter(project=project).select_related("circuit", "product")
    positions = KeypadPosition.objects.filter(project=project).select_related("room")
    return [
        *(("room", row, _("Room %(name)s") % {"name": row.name}) for row in rooms),
        *(("circuit", row, f"{row.code} {row.name}, {row.room.name}") for row in circuits),
        *(
            ("fitting", row, f"{row.circuit.code}: {row.pieces} × {row.product or row.placeholder}")
            for row in fittings
        ),
        *(("position", row, f"{row.code} {row.name}, {row.room.name}") for row in positions),
    ]


@require_safe
def option_prices(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """What each option changes today, and how far sums can be from the real price."""
    project = project_of(request, project_id)
    choices = choices_of(Quote(project=project), day=timezone.localdate())
    groups, problems = (), list(choices.base.problems)
    gap = None
    if not any(problem.code == "one_of_several" for problem in problems):
        groups = option_groups(choices)
        gap = gap_of(choices, groups)
        problems = list(choices.problems)
    names = {option.key: option.name for group in groups for option in group.options}
    context = {
        "groups": groups,
        "gap": gap,
        "off_by": gap.gap.copy_abs() if gap else None,
        "gap_names": [names[key] for key in sorted(gap.chosen)] if gap else [],
        "project": project,
        "problems": [problem_sentence(each) for each in problems],
        "to_look_at": _to_look_at(choices),
    }
    is_region = "HX-Request" in request.headers
    template = "quoting/_option_prices.html" if is_region else "quoting/option_prices.html"
    return render(request, template, context)


def _to_look_at(choices: Choices) -> tuple[str, ...]:
    if not any(each.is_by_switches for each in choices.base.house.design.options):
        return ()
    return switching.to_look_at(compared_ways(choices))


@require_POST
def switches_offer(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """One press: ordinary switches as an alternative to scene control, from the comparison."""
    project = project_of(request, project_id)
    return press(
        request,
        deed=services.switches_offer,
        onward=url_of(project),
        said=_("The client may now choose between scene control and ordinary switches."),
        project=project,
    )


@require_POST
def group_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    form = GroupForm(request.POST)
    if form.is_valid():
        try:
            services.group_add(
                by=request.user, project=project, key=deed_key(request), **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(url_of(project))
    return render(request, "quoting/options.html", _page(project, form))


def _option_of(request: HttpRequest, option_id: uuid.UUID) -> Option:
    option: Option = row_of(request, Option, option_id, "group")
    return option


@require_POST
def option_take(request: HttpRequest, option_id: uuid.UUID) -> HttpResponse:
    option = _option_of(request, option_id)
    is_in = request.POST.get("is_in") == "1"
    onward = url_of(option.project)
    return press(request, deed=services.option_take, onward=onward, option=option, is_in=is_in)


@require_POST
def option_remove(request: HttpRequest, option_id: uuid.UUID) -> HttpResponse:
    option = _option_of(request, option_id)
    return press(request, deed=services.option_remove, onward=url_of(option.project), option=option)


@require_POST
def part_put(request: HttpRequest, option_id: uuid.UUID) -> HttpResponse:
    return _part(request, option_id, services.part_put)


@require_POST
def part_take_out(request: HttpRequest, option_id: uuid.UUID) -> HttpResponse:
    return _part(request, option_id, services.part_take_out)


def _part(request: HttpRequest, option_id: uuid.UUID, deed: Any) -> HttpResponse:
    option = _option_of(request, option_id)
    kind, _colon, key = request.POST.get("part", "").partition(":")
    try:
        part = uuid.UUID(key)
    except ValueError:
        part = uuid.UUID(int=0)
    onward = url_of(option.project)
    return press(request, deed=deed, onward=onward, option=option, kind=kind, part=part)
