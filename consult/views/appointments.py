"""Pages of appointments, and their calendar files."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.models import Business, Person
from consult.brief_models import Appointment
from consult.forms.brief import AppointmentForm
from consult.invitations import CALENDAR_NAME, file_of
from consult.models import Project
from consult.services import appointments as services
from consult.views.shared import deed_page, press, project_of, typed

FORM_PAGE = require_http_methods(["GET", "HEAD", "POST"])


def _appointment(request: HttpRequest, appointment_id: uuid.UUID) -> Appointment:
    rows = Appointment.objects.for_user(request.user).with_people()
    return get_object_or_404(rows, pk=appointment_id)


@require_safe
def appointments(request: HttpRequest) -> HttpResponse:
    """All that are to come, the next one first."""
    rows = Appointment.objects.for_user(request.user).coming(at=timezone.now()).with_people()
    return render(request, "consult/appointments.html", {"appointments": rows})


@require_safe
def appointment(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    row = _appointment(request, appointment_id)
    mails = row.mails_now()
    context = {
        "appointment": row,
        "project": row.project,
        "mails": mails,
        "is_all_sent": all(mail.letter and mail.letter.state == "sent" for mail in mails),
    }
    return render(request, "consult/appointment.html", context)


def _first_values(project: Project, by: Person) -> dict[str, object]:
    """What most appointments are: at our place, the household with the designer."""
    business = Business.objects.current()
    place = ", ".join([business.name, *business.address.splitlines()])
    return {
        "guest": project.client.name,
        "guest_email": project.client.email,
        "colleague": project.designer or by,
        "place": place[:300],
    }


@FORM_PAGE
def appointment_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return deed_page(
        request,
        form=AppointmentForm(request.POST or None, initial=_first_values(project, request.user)),
        deed=services.appointment_make,
        onward=Appointment.get_absolute_url,
        template="consult/appointment_form.html",
        context={
            "project": project,
            "appointment": None,
            "back": reverse("consult:brief", args=[project.pk]),
        },
        said=_("Agreed. The invitation goes to both sides."),
        project=project,
    )


@FORM_PAGE
def appointment_change(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    row = _appointment(request, appointment_id)
    begins = timezone.localtime(row.starts_at)
    initial = {**typed(row, AppointmentForm), "day": begins.date(), "hour": begins.time()}
    return deed_page(
        request,
        form=AppointmentForm(request.POST or None, initial=initial),
        deed=services.appointment_change,
        onward=Appointment.get_absolute_url,
        template="consult/appointment_form.html",
        context={
            "project": row.project,
            "appointment": row,
            "back": row.get_absolute_url(),
            "version": row.version,
        },
        said=_("Saved. Whoever is concerned is invited afresh."),
        versioned=True,
        appointment=row,
    )


@require_POST
def appointment_cancel(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    row = _appointment(request, appointment_id)
    return press(
        request,
        deed=services.appointment_cancel,
        onward=row.get_absolute_url(),
        said=_("Called off. Both sides are told."),
        appointment=row,
    )


@require_POST
def appointment_mail_again(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    row = _appointment(request, appointment_id)
    return press(
        request,
        deed=services.appointment_mail_again,
        onward=row.get_absolute_url(),
        said=_("Being sent again."),
        appointment=row,
    )


@require_safe
def appointment_file(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    """The appointment for a calendar."""
    return calendar_answer(_appointment(request, appointment_id))


def calendar_answer(appointment: Appointment) -> HttpResponse:
    content = file_of(appointment, Business.objects.current())
    method = "CANCEL" if appointment.is_cancelled else "REQUEST"
    response = HttpResponse(content, content_type=f"text/calendar; charset=utf-8; method={method}")
    response["Content-Disposition"] = f'attachment; filename="{CALENDAR_NAME}"'
    return response
