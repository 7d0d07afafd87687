"""Target levels by use of rooms: what the house starts with, and what the business says instead."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from consult.forms.targets import TargetForm
from consult.kinds import HowSure, RoomUse
from consult.light.targets import read_targets
from consult.services import targets as services
from consult.views.shared import deed_page, press


@require_safe
def targets(request: HttpRequest) -> HttpResponse:
    """All uses with their levels; whoever works here may look, a manager changes."""
    found, sure = read_targets(), dict(HowSure.choices)
    rows = []
    for use, label in RoomUse.choices:
        target = found.of(use)
        rows.append((use, label, target, sure.get(target.certainty, "") if target else ""))
    context = {"rows": rows, "may_change": request.user.is_manager}
    return render(request, "consult/targets.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def target(request: HttpRequest, use: str) -> HttpResponse:
    if not request.user.is_manager:
        raise PermissionDenied
    label = dict(RoomUse.choices).get(use)
    if label is None:
        raise Http404
    known = read_targets().of(use)
    initial = {}
    if known is not None:
        initial = {
            "low_lx": f"{known.low_lx:.0f}",
            "high_lx": f"{known.high_lx:.0f}",
            "plane_m": f"{known.plane_m:g}",
            "source": known.source,
            "certainty": known.certainty,
        }
    return deed_page(
        request,
        form=TargetForm(request.POST or None, initial=initial),
        deed=services.target_set,
        onward=lambda _done: reverse("consult:targets"),
        template="consult/target.html",
        context={"label": label, "known": known, "use": use},
        said=_("Saved."),
        use=use,
    )


@require_POST
def target_reset(request: HttpRequest, use: str) -> HttpResponse:
    if not request.user.is_manager:
        raise PermissionDenied
    said = _("The guide holds again.")
    onward = reverse("consult:targets")
    return press(request, deed=services.target_reset, onward=onward, said=said, use=use)
