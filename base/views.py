"""Pages of the ground: the business, its people, stored files, the look of this device."""

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csp import csp_override
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base import services
from base.context import LOOKS
from base.deeds import Refusal, Stale
from base.forms_business import BusinessForm, MarkForm, differences, typed
from base.forms_people import PersonForm
from base.links import password_link
from base.models import Business, Person, StoredFile
from base.requests import deed_key, seen_version

YEAR_S = 365 * 24 * 60 * 60
# A stored file can do nothing but be looked at, even where a browser takes it for a page.
FILE_CSP = {"default-src": ["'none'"], "sandbox": True}


def _must_manage(request: HttpRequest) -> None:
    if not request.user.is_manager:
        raise PermissionDenied


# --- the business -------------------------------------------------------------------------------
@require_http_methods(["GET", "HEAD", "POST"])
def business(request: HttpRequest) -> HttpResponse:
    """The profile: a form for a manager, facts for everybody else."""
    profile = Business.objects.current()
    if request.method != "POST":
        form = BusinessForm(initial=typed(profile))
        return _profile_page(request, form=form, profile=profile)
    _must_manage(request)
    form = BusinessForm(request.POST)
    theirs: list[tuple[str, object]] = []
    if form.is_valid():
        try:
            services.change_business(
                by=request.user,
                business=profile,
                key=deed_key(request),
                seen=seen_version(request),
                **form.values(),
            )
        except Stale as stale:
            profile = stale.row
            theirs = differences(form, profile)
            form.add_error(None, str(stale))
        else:
            messages.success(request, _("The business's profile is saved."))
            return redirect("base:business")
    return _profile_page(request, form=form, profile=profile, theirs=theirs)


def _profile_page(
    request: HttpRequest,
    *,
    form: BusinessForm,
    profile: Business,
    theirs: list[tuple[str, object]] | None = None,
    mark_form: MarkForm | None = None,
) -> HttpResponse:
    context = {
        "form": form,
        "profile": profile,
        "theirs": theirs or [],
        "mark_form": mark_form or MarkForm(),
        "facts": [(field.label, field.value()) for field in form if field.value()],
    }
    return render(request, "base/business.html", context)


@require_POST
def mark_change(request: HttpRequest) -> HttpResponse:
    """Put up another mark, or take it away."""
    _must_manage(request)
    profile = Business.objects.current()
    content = None
    form = MarkForm(request.POST, request.FILES)
    if "remove" not in request.POST:
        if not form.is_valid():
            return _profile_page(
                request, form=BusinessForm(initial=typed(profile)), profile=profile, mark_form=form
            )
        content = form.cleaned_data["mark"].read(max(services.LIMITS_B.values()) + 1)
    try:
        services.change_mark(by=request.user, business=profile, content=content)
    except Refusal as refusal:
        form.add_error("mark", str(refusal))
        return _profile_page(
            request, form=BusinessForm(initial=typed(profile)), profile=profile, mark_form=form
        )
    messages.success(request, _("The mark is changed.") if content else _("The mark is gone."))
    return redirect("base:business")


# --- people -------------------------------------------------------------------------------------
@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who works here, and who did."""
    everybody = Person.objects.order_by("-is_active", "name")
    return render(request, "base/people.html", {"everybody": everybody})


@require_http_methods(["GET", "HEAD", "POST"])
def person_add(request: HttpRequest) -> HttpResponse:
    _must_manage(request)
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = services.add_person(by=request.user, key=deed_key(request), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error("email", str(refusal))
        else:
            messages.success(request, _("%(name)s is added.") % {"name": added})
            return redirect("base:person", added.pk)
    return render(request, "base/person_add.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    _must_manage(request)
    somebody = get_object_or_404(Person, pk=person_id)
    typed_before = {"name": somebody.name, "email": somebody.email, "role": somebody.role}
    form = PersonForm(request.POST or None, initial=typed_before)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_person(
                by=request.user, person=somebody, key=deed_key(request), **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("Saved."))
            return redirect("base:people")
    return render(request, "base/person.html", {"form": form, "person": somebody})


@never_cache
@require_POST
def person_link(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    """Shows, once, a link by which the person chooses their password."""
    _must_manage(request)
    somebody = get_object_or_404(Person, pk=person_id, is_active=True)
    context = {"person": somebody, "link": password_link(request, somebody)}
    return render(request, "base/person_link.html", context)


@require_POST
def person_leave(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    return _come_or_go(request, person_id, services.let_go, _("%(name)s can no longer log in."))


@require_POST
def person_return(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    return _come_or_go(request, person_id, services.take_back, _("%(name)s can log in again."))


def _come_or_go(
    request: HttpRequest, person_id: uuid.UUID, deed: object, sentence: str
) -> HttpResponse:
    _must_manage(request)
    somebody = get_object_or_404(Person, pk=person_id)
    try:
        deed(by=request.user, person=somebody, key=deed_key(request))  # type: ignore[operator]
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect("base:person", somebody.pk)
    messages.success(request, sentence % {"name": somebody})
    return redirect("base:people")


# --- files --------------------------------------------------------------------------------------
@csp_override(FILE_CSP)
@require_safe
def stored_file(request: HttpRequest, file_id: uuid.UUID) -> HttpResponseBase:
    """A stored file, for people who work here."""
    return _sent(get_object_or_404(StoredFile, pk=file_id), keep="private")


@login_not_required
@csp_override(FILE_CSP)
@require_safe
def mark(request: HttpRequest, sha256: str) -> HttpResponseBase:
    """The business's mark, open to all: log-in, proposals and packs show it. No other file is."""
    current = Business.objects.current().mark
    if current is None or current.sha256 != sha256:
        raise Http404
    return _sent(current, keep="public")


def _sent(kept: StoredFile, *, keep: str) -> HttpResponseBase:
    shown = kept.media_type in services.PICTURES or kept.media_type == "application/pdf"
    response = FileResponse(
        kept.file.open("rb"),
        content_type=kept.media_type,
        as_attachment=not shown,
        filename=kept.sha256[:12],
    )
    response["Cache-Control"] = f"{keep}, max-age={YEAR_S}, immutable"
    return response


# --- the look of this device --------------------------------------------------------------------
@login_not_required
@require_POST
def look(request: HttpRequest) -> HttpResponse:
    """Light, dark, or as the device has it; kept on this device."""
    onward = request.POST.get("next", "/")
    if not url_has_allowed_host_and_scheme(onward, allowed_hosts={request.get_host()}):
        onward = "/"
    response = redirect(onward)
    chosen = request.POST.get("look", "")
    if chosen in LOOKS:
        response.set_cookie("look", chosen, max_age=YEAR_S, samesite="Lax", httponly=True)
    else:
        response.delete_cookie("look", samesite="Lax")
    return response
