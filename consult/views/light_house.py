"""The light of every room of a project on one page, and the work that it takes."""

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from consult.derived import read_house
from consult.light import for_client, whole_house
from consult.light.house_energy import house_energy
from consult.models import Project
from consult.tasks import work_out_light
from consult.views.shared import project_of


def _context(project: Project) -> dict[str, Any]:
    found = read_house(project)
    rows = whole_house.rows(found)
    return {
        "project": project,
        "rows": rows,
        "run": whole_house.run_of(project.pk),
        "energy": house_energy(found),
        "open_count": sum(row.figures is None and not row.lack for row in rows),
    }


@require_safe
def house(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """The rooms with their figures, and what is still to be worked out."""
    project = project_of(request, project_id)
    return render(request, "consult/light_house.html", _context(project))


@require_safe
def pictures_ready(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """A region for those who issue: how many pictures for the client are drawn."""
    project = project_of(request, project_id)
    context = {
        "project": project,
        "ready": for_client.ready(read_house(project)),
        "patience_s": round(for_client.PATIENCE_S),
    }
    return render(request, "consult/_pictures_ready.html", context)


@require_safe
def house_rows(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """The region that follows the work."""
    project = project_of(request, project_id)
    return render(request, "consult/_light_house.html", _context(project))


@require_POST
def house_work(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """Begin to work out every room. A second press joins the run that is under way."""
    project = project_of(request, project_id)
    whole_house.begin(project.pk, enqueue=work_out_light.enqueue)
    return redirect("consult:light_house", project.pk)


@require_POST
def house_stop(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """Stop after the room that is under way. What is worked out is kept."""
    project = project_of(request, project_id)
    whole_house.stop(project.pk)
    return redirect("consult:light_house", project.pk)
