"""For people who work here: links before the visit, and what came in by them."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.brief_models import VisitLink
from consult.forms.brief import VisitLinkForm
from consult.services import visits as services
from consult.views.brief import brief_context, brief_url
from consult.views.shared import press, project_of, row_of


def _link(request: HttpRequest, link_id: uuid.UUID) -> VisitLink:
    rows = VisitLink.objects.for_user(request.user).select_related("project__client")
    return get_object_or_404(rows.with_answers(), pk=link_id)


def _made(request: HttpRequest, link: VisitLink, secret: str) -> HttpResponse:
    """The address, this once. A repeated press has made no secret, so there is none to show."""
    is_new = link.secrets.filter(digest=services.digest_of(secret)).exists()
    address = request.build_absolute_uri(reverse("consult:visit_form", args=[secret]))
    context = {"link": link, "project": link.project, "address": address if is_new else ""}
    return render(request, "consult/visit_link_made.html", context)


@never_cache
@require_POST
def visit_link_make(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    form, secret = VisitLinkForm(request.POST), services.new_secret()
    if form.is_valid():
        try:
            link = services.visit_link_make(
                by=request.user,
                key=deed_key(request),
                project=project,
                secret=secret,
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return _made(request, link, secret)
    return render(request, "consult/brief.html", brief_context(request, project, form))


@never_cache
@require_POST
def visit_link_remake(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    row, secret = _link(request, link_id), services.new_secret()
    try:
        services.visit_link_remake(by=request.user, key=deed_key(request), link=row, secret=secret)
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(_url(row))
    return _made(request, row, secret)


@require_POST
def visit_link_revoke(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, VisitLink, link_id)
    said = _("Revoked: nobody gets in by this address.")
    onward = brief_url(row.project)
    return press(request, deed=services.visit_link_revoke, onward=onward, said=said, link=row)


@require_safe
def visit(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    """What the client told, and what of it is not in the project yet."""
    row = _link(request, link_id)
    to_take = services.rooms_to_take(row)
    context = {
        "link": row,
        "project": row.project,
        "works": row.works(at=timezone.now()),
        "rooms": [(room, room in to_take) for room in row.rooms.all()],
        "count": len(to_take),
        "pictures": [each for each in row.files.all() if not each.pages],
        "papers": [each for each in row.files.all() if each.pages],
    }
    return render(request, "consult/visit.html", context)


@require_POST
def visit_take_over(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, VisitLink, link_id)
    said = _("Taken over. The rooms stand on the first floor of the project; move them as needed.")
    onward = row.project.get_absolute_url()
    return press(request, deed=services.visit_take_over, onward=onward, said=said, link=row)


@require_POST
def visit_settle(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, VisitLink, link_id)
    return press(request, deed=services.visit_settle, onward=_url(row), link=row)


def _url(link: VisitLink) -> str:
    return reverse("consult:visit_answers", args=[link.pk])
