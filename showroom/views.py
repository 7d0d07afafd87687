"""What waits, health, and the pages for when something went wrong."""

import datetime
import json

from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from base.models import Person
from quoting.waiting import for_home
from showroom import search, style_page, waiting


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """What waits for the person; in a new showroom, the first steps."""
    today = timezone.localdate()
    steps = waiting.first_steps()
    to_do = [step for step in steps if not step.is_done]
    context = {
        "today": today,
        "steps": steps if to_do else [],
        "next_step": to_do[0] if to_do else None,
        "begin_url": steps[-1].url,
        "projects_url": waiting.page("consult:projects"),
        "jobs": waiting.jobs(user=request.user),
        **_waits(request.user, today),
    }
    return render(request, "showroom/home.html", context)


def _waits(user: Person, today: datetime.date) -> dict[str, object]:
    coming = waiting.coming(user=user, at=timezone.now())
    told, to_do = waiting.came_in(user=user), for_home(user=user, on=today)
    answers = waiting.answers(on=today)
    words = waiting.in_words(coming=coming, told=told, to_do=to_do, answers=answers)
    return {
        "coming": coming,
        "told": told,
        "to_do": to_do,
        "waiting": answers,
        "in_words": words,
    }


@never_cache
@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """One field over clients, projects, rooms, quotes and products: a page, or its region."""
    words = request.GET.get("q", "")
    template = "showroom/search.html#found" if request.htmx else "showroom/search.html"
    context = {"words": words, "found": search.find(words, user=request.user)}
    response = render(request, template, context)
    response["Vary"] = "HX-Request"
    if request.htmx and words.strip():
        said = ngettext("%(n)d found.", "%(n)d found.", context["found"].count)
        response["HX-Trigger"] = json.dumps({"say": said % {"n": context["found"].count}})
    return response


@require_safe
def style(request: HttpRequest) -> HttpResponse:
    """Every piece that pages are made of, with the markup to copy."""
    return render(request, "showroom/style.html", style_page.context())


@never_cache
@require_safe
@login_not_required
def health_live(request: HttpRequest) -> HttpResponse:
    """The process answers."""
    return JsonResponse({"live": True})


@never_cache
@require_safe
@login_not_required
def health_ready(request: HttpRequest) -> HttpResponse:
    """The database answers and has every migration."""
    try:
        executor = MigrationExecutor(connection)
        waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    except Exception:
        return JsonResponse({"ready": False}, status=503)
    return JsonResponse({"ready": not waiting}, status=503 if waiting else 200)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "errors/400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "errors/403.html", status=403)


@login_not_required
def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "errors/404.html", status=404)


def not_here(request: HttpRequest, **_key: str) -> HttpResponse:
    """A place that a package would offer and this house has not."""
    return render(request, "errors/404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    return render(request, "errors/500.html", status=500)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "errors/csrf.html", status=403)
