"""The control plan: what it is, why, what is fixed, its diagram; its cost only where opened."""

import uuid
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.models import Business
from consult import diagram as drawing
from consult.derived import planned, read_house
from consult.forms.plan import FixedForm
from consult.found import findings_of
from consult.kinds import FixedKind
from consult.models import FixedChoice, Project
from consult.plan_cost import free_cost
from consult.plan_cost import plan_cost as cost_of
from consult.plan_rows import plan_page
from consult.services import fixed as services
from consult.views.shared import deed_page, press, project_of, row_of


def _context(project: Project) -> dict[str, Any]:
    house = read_house(project)
    plan = planned(house)
    return {
        "project": project,
        "plan": plan_page(house, plan),
        "findings": findings_of(project, house, plan),
        "kinds": FixedKind.choices,
    }


@require_safe
def plan(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    return render(request, "consult/plan.html", _context(project_of(request, project_id)))


@require_safe
def plan_closed(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """The region of costs, closed again."""
    project = project_of(request, project_id)
    context = {
        "project": project,
        "has_fixed": FixedChoice.objects.filter(project=project).exists(),
    }
    return render(request, "consult/plan_money.html", context)


@require_POST
def plan_cost(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """What the plan costs us: only on a press, and never in the page before it."""
    project = project_of(request, project_id)
    house = read_house(project)
    cost = cost_of(house, planned(house), Business.objects.current())
    return _opened(request, project, cost=cost, has_fixed=bool(house.design.fixed))


@require_POST
def plan_free(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """What the fixed choices cost over the free plan: worked out only on a press."""
    project = project_of(request, project_id)
    house = read_house(project)
    free = free_cost(house, Business.objects.current())
    return _opened(request, project, free=free, has_fixed=bool(house.design.fixed))


def _opened(request: HttpRequest, project: Project, **opened: Any) -> HttpResponse:
    if request.htmx:
        return render(request, "consult/plan_money.html", {"project": project, **opened})
    return render(request, "consult/plan.html", {**_context(project), **opened})


@require_safe
def diagram(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    house = read_house(project)
    made = planned(house)
    sheets = [
        (sheet.title, mark_safe(sheet.svg))  # noqa: S308  drawn here, every text in it escaped
        for enclosure in house.design.enclosures
        for sheet in drawing.diagram(house, made, enclosure.id, diagram_words())
    ]
    return render(request, "consult/plan_diagram.html", {"project": project, "sheets": sheets})


def diagram_words() -> drawing.Words:
    return drawing.Words(
        title=_("%(place)s, wiring as a one-line diagram, sheet %(sheet)s of %(sheets)s"),
        feed=_("Permanent feed"),
        spare=_("spare"),
        load=_("%(pieces)s pcs, %(watts)s W"),
        legend={
            "board": _("Board"),
            "breaker": _("Circuit breaker"),
            "receiver": _("Receiver (U)"),
            "driver": _("Driver"),
            "luminaire": _("Luminaire"),
            "tape": _("LED tape"),
            "socket": _("Lamp socket"),
            "motor": _("Motor"),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
def fixed_add(request: HttpRequest, project_id: uuid.UUID, kind: str) -> HttpResponse:
    project = project_of(request, project_id)
    if kind not in FixedKind.values:
        raise Http404
    back = reverse("consult:plan", args=[project.pk])
    return deed_page(
        request,
        form=FixedForm(request.POST or None, project=project, kind=kind),
        deed=services.fixed_add,
        onward=lambda _done: back,
        template="consult/house_form.html",
        context={
            "project": project,
            "title": _("Fix %(what)s") % {"what": FixedKind(kind).label},
            "back": back,
        },
        said=_("Fixed. The plan was worked out anew."),
        project=project,
        kind=kind,
    )


@require_POST
def fixed_remove(request: HttpRequest, fixed_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, FixedChoice, fixed_id)
    onward = reverse("consult:plan", args=[row.project_id])
    said = _("Freed. It can be taken back.")
    return press(request, deed=services.fixed_remove, onward=onward, row=row, said=said)
