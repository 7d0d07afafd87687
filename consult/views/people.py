"""Pages of clients and projects."""

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.acts import acts
from consult.brief_models import Appointment
from consult.forms.people import ClientForm, ClientPersonForm, ProjectBeginForm, ProjectForm
from consult.kinds import Stage
from consult.models import Client, ClientPerson, JournalEntry, Project
from consult.overview import overview
from consult.services import people as services
from consult.services import turns
from consult.views.shared import deed_page, press, project_of, typed

PAGE = 50


def _client(request: HttpRequest, client_id: uuid.UUID) -> Client:
    return get_object_or_404(Client.objects.for_user(request.user).with_projects(), pk=client_id)


@require_safe
def clients(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("q", "").strip()
    found = Client.objects.for_user(request.user).with_projects()
    for word in words.split():
        found = found.filter(
            Q(name__icontains=word)
            | Q(email__icontains=word)
            | Q(phone__icontains=word)
            | Q(address__icontains=word)
            | Q(people__name__icontains=word)
        ).distinct()
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    return render(request, "consult/clients.html", {"page": page, "words": words})


@require_safe
def client(request: HttpRequest, client_id: uuid.UUID) -> HttpResponse:
    context = {"client": _client(request, client_id), "person_form": ClientPersonForm()}
    return render(request, "consult/client.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def client_add(request: HttpRequest) -> HttpResponse:
    return deed_page(
        request,
        form=ClientForm(request.POST or None),
        deed=services.client_add,
        onward=Client.get_absolute_url,
        template="consult/client_form.html",
        context={"client": None},
    )


@require_http_methods(["GET", "HEAD", "POST"])
def client_change(request: HttpRequest, client_id: uuid.UUID) -> HttpResponse:
    row = _client(request, client_id)
    return deed_page(
        request,
        form=ClientForm(request.POST or None, initial=typed(row, ClientForm)),
        deed=services.client_change,
        onward=Client.get_absolute_url,
        template="consult/client_form.html",
        context={"client": row, "version": row.version},
        said=_("Saved."),
        versioned=True,
        client=row,
    )


@require_POST
def client_remove(request: HttpRequest, client_id: uuid.UUID) -> HttpResponse:
    row = _client(request, client_id)
    try:
        services.client_remove(by=request.user, client=row, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(row)
    messages.success(request, _("%(client)s is removed.") % {"client": row})
    return redirect("consult:clients")


@require_POST
def person_add(request: HttpRequest, client_id: uuid.UUID) -> HttpResponse:
    row = _client(request, client_id)
    form = ClientPersonForm(request.POST)
    if form.is_valid():
        services.client_person_add(
            by=request.user, client=row, key=deed_key(request), **form.cleaned_data
        )
        return redirect(row)
    return render(request, "consult/client.html", {"client": row, "person_form": form})


@require_POST
def person_remove(request: HttpRequest, person_id: uuid.UUID) -> HttpResponse:
    person = get_object_or_404(
        ClientPerson.objects.select_related("client"),
        pk=person_id,
        client__in=Client.objects.for_user(request.user),
    )
    onward = person.client.get_absolute_url()
    return press(request, deed=services.client_person_remove, onward=onward, person=person)


@require_safe
def projects(request: HttpRequest) -> HttpResponse:
    words, stage = request.GET.get("q", "").strip(), request.GET.get("stage", "")
    found = Project.objects.for_user(request.user).jobs().with_people()
    for word in words.split():
        found = found.filter(
            Q(name__icontains=word)
            | Q(client__name__icontains=word)
            | Q(site_address__icontains=word)
            | Q(designer__name__icontains=word)
        )
    if stage in Stage.values:
        found = found.filter(stage=stage)
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "words": words, "stage": stage, "stages": Stage.choices}
    return render(request, "consult/projects.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def project_begin(request: HttpRequest) -> HttpResponse:
    """A project for a client who is there, or for one named in the same form."""
    form = ProjectBeginForm(request.POST or None, initial={"designer": request.user})
    if request.method == "POST" and form.is_valid():
        values = dict(form.cleaned_data)
        client, name = values.pop("client"), values.pop("new_client")
        begun = services.project_begin(
            by=request.user, key=deed_key(request), client=client, new_client=name, **values
        )
        return redirect(begun)
    return render(request, "consult/project_form.html", {"form": form, "project": None})


@require_http_methods(["GET", "HEAD", "POST"])
def project_add(request: HttpRequest, client_id: uuid.UUID) -> HttpResponse:
    row = _client(request, client_id)
    return deed_page(
        request,
        form=ProjectForm(
            request.POST or None,
            initial={"designer": request.user, "site_address": row.address},
        ),
        deed=services.project_add,
        onward=Project.get_absolute_url,
        template="consult/project_form.html",
        context={"project": None, "client": row},
        client=row,
    )


@require_safe
def project(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    row = project_of(request, project_id)
    agreed = Appointment.objects.for_user(request.user).filter(project=row)
    coming = agreed.coming(at=timezone.now()).select_related("colleague")
    context = {"project": row, "overview": overview(row), "coming": coming}
    return render(request, "consult/project.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def project_change(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    row = project_of(request, project_id)
    return deed_page(
        request,
        form=ProjectForm(request.POST or None, initial=typed(row, ProjectForm)),
        deed=services.project_change,
        onward=Project.get_absolute_url,
        template="consult/project_form.html",
        context={"project": row, "client": row.client, "version": row.version},
        said=_("Saved."),
        versioned=True,
        project=row,
    )


@require_POST
def undo(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    return _turn(request, project_id, turns.undo, _("There is nothing to take back."))


@require_POST
def redo(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    return _turn(request, project_id, turns.redo, _("There is nothing to do again."))


def _turn(request: HttpRequest, project_id: uuid.UUID, turn: object, nothing: str) -> HttpResponse:
    row = project_of(request, project_id)
    try:
        entry = turn(by=request.user, project=row, key=deed_key(request))  # type: ignore[operator]
    except Refusal as refusal:
        messages.error(request, str(refusal))
    else:
        if entry is None:
            messages.info(request, nothing)
        else:
            messages.success(request, f"{entry.get_kind_display().capitalize()}: {entry.about}")
    onward = request.POST.get("next", "")
    return redirect(
        onward if onward.startswith(("/projects/", "/rooms/")) else row.get_absolute_url()
    )


@require_safe
def history(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    row = project_of(request, project_id)
    entries = JournalEntry.objects.filter(project=row).select_related("person").order_by("-number")
    page = Paginator(entries, PAGE).get_page(request.GET.get("page"))
    context = {"project": row, "page": page, "acts": acts(list(page), row)}
    return render(request, "consult/history.html", context)
