"""Pages of the brief: what is wanted, who takes part, and notes."""

import uuid

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.models import Business
from consult.brief_kinds import PartyRole
from consult.brief_models import Appointment, Note, Party, VisitLink, brief_of
from consult.forms.brief import BriefForm, NoteChangeForm, NoteForm, PartyForm, VisitLinkForm
from consult.models import Project, Room
from consult.services import brief as services
from consult.views.shared import deed_page, press, project_of, row_of, typed

FORM_PAGE = require_http_methods(["GET", "HEAD", "POST"])


def brief_url(project: Project) -> str:
    return reverse("consult:brief", args=[project.pk])


@require_safe
def brief(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """Who, where, what is wanted, who takes part, what was agreed, what the client told."""
    project = project_of(request, project_id)
    return render(request, "consult/brief.html", brief_context(request, project))


def brief_context(
    request: HttpRequest, project: Project, link_form: forms.Form | None = None
) -> dict[str, object]:
    """All that the page shows, in a constant number of queries."""
    now = timezone.now()
    appointments = Appointment.objects.for_user(request.user).filter(project=project)
    agreed = list(appointments.with_people())
    next_day = next((each.starts_at for each in agreed if each.starts_at > now), None)
    links = VisitLink.objects.for_user(request.user).filter(project=project).with_answers()
    initial = {
        "for_whom": project.client.name,
        "day": timezone.localdate(next_day) if next_day else None,
    }
    return {
        "project": project,
        "brief": brief_of(project),
        "parties": sorted(Party.objects.filter(project=project), key=_in_order_of_roles),
        "appointments": agreed,
        "links": [(link, link.works(at=now)) for link in links],
        "link_form": link_form or VisitLinkForm(initial=initial),
    }


def _in_order_of_roles(party: Party) -> tuple[int, str]:
    return PartyRole.values.index(party.role), party.name


@FORM_PAGE
def brief_change(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    row = brief_of(project)
    is_there = not row._state.adding
    form = BriefForm(
        request.POST or None,
        initial=typed(row, BriefForm),
        currency=Business.objects.current().currency,
    )
    given = {"brief": row} if is_there else {"project": project}
    return deed_page(
        request,
        form=form,
        deed=services.brief_change if is_there else services.brief_begin,
        onward=lambda _done: brief_url(project),
        template="consult/house_form.html",
        context={
            "project": project,
            "title": _("What is wanted"),
            "back": brief_url(project),
            "version": row.version if is_there else None,
            "remove": "",
        },
        said=_("Saved."),
        versioned=is_there,
        **given,
    )


# --- who takes part -----------------------------------------------------------------------------
@FORM_PAGE
def party_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return deed_page(
        request,
        form=PartyForm(request.POST or None),
        deed=services.party_add,
        onward=lambda _done: brief_url(project),
        template="consult/house_form.html",
        context={
            "project": project,
            "title": _("Who takes part"),
            "back": brief_url(project),
            "version": None,
            "remove": "",
        },
        project=project,
    )


@FORM_PAGE
def party_change(request: HttpRequest, party_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, Party, party_id, "project__client")
    return deed_page(
        request,
        form=PartyForm(request.POST or None, initial=typed(row, PartyForm)),
        deed=services.party_change,
        onward=lambda _done: brief_url(row.project),
        template="consult/house_form.html",
        context={
            "project": row.project,
            "title": row.name,
            "back": brief_url(row.project),
            "version": row.version,
            "remove": reverse("consult:party_remove", args=[row.pk]),
        },
        versioned=True,
        party=row,
    )


@require_POST
def party_remove(request: HttpRequest, party_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, Party, party_id)
    onward = brief_url(row.project)
    return press(request, deed=services.party_remove, onward=onward, party=row)


# --- notes --------------------------------------------------------------------------------------
def _notes_page(
    request: HttpRequest, project: Project, room: Room | None, form: NoteForm | None = None
) -> HttpResponse:
    rows = Note.objects.for_user(request.user).filter(project=project)
    if room is not None:
        rows = rows.filter(room=room)
    context = {
        "project": project,
        "room": room,
        "notes": rows.select_related("room", "project", "by").prefetch_related("photos"),
        "form": form or NoteForm(project=project, initial={"room": room}),
        "here_url": _notes_url(project, room),
    }
    return render(request, "consult/notes.html", context)


def _notes_url(project: Project, room: Room | None) -> str:
    if room is not None:
        return reverse("consult:room_notes", args=[room.pk])
    return reverse("consult:notes", args=[project.pk])


@require_safe
def notes(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    return _notes_page(request, project_of(request, project_id), None)


@require_safe
def room_notes(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    return _notes_page(request, project_of(request, room.project_id), room)


@require_POST
def note_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """A note with photos. Comes back to the notes of the room it was written from."""
    project = project_of(request, project_id)
    form = NoteForm(request.POST, request.FILES, project=project)
    if not form.is_valid():
        return _notes_page(request, project, form.cleaned_data.get("room"), form)
    return press(
        request,
        deed=services.note_add,
        onward=_notes_url(project, form.cleaned_data["room"]),
        said=_("Noted."),
        project=project,
        **form.cleaned_data,
    )


@FORM_PAGE
def note_change(request: HttpRequest, note_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(
        Note.objects.for_user(request.user).select_related("project__client", "room"), pk=note_id
    )
    back = _notes_url(row.project, row.room)
    return deed_page(
        request,
        form=NoteChangeForm(request.POST or None, initial={"text": row.text}),
        deed=services.note_change,
        onward=lambda _done: back,
        template="consult/house_form.html",
        context={
            "project": row.project,
            "title": _("Note"),
            "back": back,
            "version": row.version,
            "remove": reverse("consult:note_remove", args=[row.pk]),
        },
        versioned=True,
        note=row,
    )


@require_POST
def note_remove(request: HttpRequest, note_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, Note, note_id, "room")
    onward = _notes_url(row.project, row.room)
    return press(request, deed=services.note_remove, onward=onward, note=row)
