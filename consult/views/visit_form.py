"""Pages that a link opens before the visit, without a log-in and without JavaScript.

A wrong address, a revoked one, one that is over: each answers in plain words that tell nothing.
"""

import uuid
from collections.abc import Callable
from functools import wraps
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from base.services import MEGABYTE
from consult.brief_models import Appointment, VisitLink
from consult.forms.visit import VisitFilesForm, VisitRoomForm, WishesForm
from consult.services import visits as services
from consult.views.appointments import calendar_answer

MOST_BODY_B = 100 * MEGABYTE


def by_visit_link(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Open a view by the secret of a link instead of a log-in, and keep it out of every index.

    No token is asked for beside the secret: whoever could make a browser send one of these forms
    must know the address already, and nothing here follows from a cookie. (Where a page gives no
    referrer, browsers send its forms with the origin "null", which the token's check refuses.)
    """

    @csrf_exempt
    @never_cache
    @login_not_required
    @wraps(view)
    def opened(request: HttpRequest, secret: str, **more: Any) -> HttpResponseBase:
        link = services.find_visit(secret)
        if link is None:
            response: HttpResponseBase = _told(
                request,
                404,
                _("There is nothing here"),
                _("Look whether the whole address is there."),
            )
        elif not link.works(at=timezone.now()):
            words = _("This address works no more. Ask us for another.")
            response = _told(request, 410, _("This is over"), words)
        elif _is_too_long(request):
            words = _("All files together are larger than %(most)d MB. Send fewer at once.")
            most = {"most": MOST_BODY_B // MEGABYTE}
            response = _told(request, 413, _("Too much at once"), words % most)
        else:
            response = view(request, link=link, secret=secret, **more)
        response["Referrer-Policy"] = "no-referrer"
        response["X-Robots-Tag"] = "noindex, nofollow"
        return response

    return opened


def _told(request: HttpRequest, status: int, title: str, words: str) -> HttpResponse:
    context = {"title": title, "words": words}
    return render(request, "public/visit_told.html", context, status=status)


def _is_too_long(request: HttpRequest) -> bool:
    """Told before the body is read: what is too long is never taken in."""
    given = request.META.get("CONTENT_LENGTH") or "0"
    return not given.isdigit() or int(given) > MOST_BODY_B


def _coming(link: VisitLink) -> Appointment | None:
    rows = Appointment.objects.filter(project=link.project_id).coming(at=timezone.now())
    return rows.select_related("colleague").first()


def _page(request: HttpRequest, link: VisitLink, secret: str, **more: Any) -> HttpResponse:
    context = {
        "link": link,
        "secret": secret,
        "appointment": _coming(link),
        "rooms": link.rooms.all(),
        "files": link.files.select_related("file"),
        "wishes_form": WishesForm(initial={"wishes": link.wishes}),
        "room_form": VisitRoomForm(),
        "files_form": VisitFilesForm(),
        **more,
    }
    return render(request, "public/visit_form.html", context)


@by_visit_link
@require_safe
def visit_form(request: HttpRequest, *, link: VisitLink, secret: str) -> HttpResponse:
    services.note_opening(link)
    return _page(request, link, secret)


def _filled(
    request: HttpRequest,
    *,
    link: VisitLink,
    secret: str,
    form: forms.Form,
    shown_as: str,
    deed: Callable[..., Any],
    said: str,
) -> HttpResponse:
    """One of the page's forms: kept and back to the page, or shown again with what was typed."""
    if form.is_valid():
        try:
            deed(link=link, key=deed_key(request), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, said)
            return redirect("consult:visit_form", secret)
    return _page(request, link, secret, **{shown_as: form})


@by_visit_link
@require_POST
def visit_wishes(request: HttpRequest, *, link: VisitLink, secret: str) -> HttpResponse:
    return _filled(
        request,
        link=link,
        secret=secret,
        form=WishesForm(request.POST),
        shown_as="wishes_form",
        deed=services.visit_wishes_write,
        said=_("Your wishes are kept."),
    )


@by_visit_link
@require_POST
def visit_room_add(request: HttpRequest, *, link: VisitLink, secret: str) -> HttpResponse:
    return _filled(
        request,
        link=link,
        secret=secret,
        form=VisitRoomForm(request.POST),
        shown_as="room_form",
        deed=services.visit_room_add,
        said=_("The room is kept."),
    )


@by_visit_link
@require_POST
def visit_files_add(request: HttpRequest, *, link: VisitLink, secret: str) -> HttpResponse:
    return _filled(
        request,
        link=link,
        secret=secret,
        form=VisitFilesForm(request.POST, request.FILES),
        shown_as="files_form",
        deed=services.visit_files_add,
        said=_("The files are kept."),
    )


@by_visit_link
@require_POST
def visit_room_remove(
    request: HttpRequest, *, link: VisitLink, secret: str, room_id: uuid.UUID
) -> HttpResponse:
    room = get_object_or_404(link.rooms, pk=room_id)
    services.visit_room_remove(link=link, room=room, key=deed_key(request))
    return redirect("consult:visit_form", secret)


@by_visit_link
@require_POST
def visit_file_remove(
    request: HttpRequest, *, link: VisitLink, secret: str, file_id: uuid.UUID
) -> HttpResponse:
    file = get_object_or_404(link.files, pk=file_id)
    services.visit_file_remove(link=link, file=file, key=deed_key(request))
    return redirect("consult:visit_form", secret)


@by_visit_link
@require_POST
def visit_send(request: HttpRequest, *, link: VisitLink, secret: str) -> HttpResponse:
    try:
        services.visit_send(link=link, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("Thank you. We have it, and read it before you come."))
    return redirect("consult:visit_form", secret)


@by_visit_link
@require_safe
def visit_calendar(request: HttpRequest, *, link: VisitLink, secret: str) -> HttpResponse:
    coming = _coming(link)
    if coming is None:
        raise Http404
    return calendar_answer(coming)
