"""Deeds on appointments. They stand in the journal, yet are not taken back: invitations went out."""

import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.brief_kinds import MailState
from consult.brief_models import Appointment, AppointmentMail
from consult.invitations import addresses
from consult.journal import apply, create, update
from consult.models import Project
from consult.tasks import send_invitation


@deed()
def appointment_make(*, by: Person, project: Project, **values: Any) -> Appointment:
    """Agree a time, and invite both sides."""
    appointment = Appointment(project=project, **values)
    apply(
        project=None,
        by=by,
        title="appointment_make",
        about=project.name,
        changes=[create(appointment)],
    )
    _invite(appointment, also=set())
    return appointment


@deed(locks="appointment")
def appointment_change(*, by: Person, appointment: Appointment, **values: Any) -> Appointment:
    """Change it and invite again, with the next sequence number. Whoever is no more invited is told."""
    _must_stand(appointment)
    before = addresses(appointment)
    same = all(getattr(appointment, name) == value for name, value in values.items())
    if same:
        return appointment
    return _next(
        appointment, by=by, title="appointment_change", values=values, also=before, at=_now()
    )


@deed(locks="appointment")
def appointment_cancel(*, by: Person, appointment: Appointment) -> Appointment:
    """Call it off, and say so to both sides. The row stays."""
    _must_stand(appointment)
    at = _now()
    return _next(
        appointment,
        by=by,
        title="appointment_cancel",
        values={"cancelled_at": at},
        also=set(),
        at=at,
    )


@deed(locks="appointment")
def appointment_mail_again(*, by: Person, appointment: Appointment) -> Appointment:
    """Try again the invitations that did not go out."""
    waiting = [mail for mail in appointment.mails_now() if mail.state != MailState.SENT]
    if not waiting:
        raise Refusal(_("Every invitation of this appointment was sent."))
    for mail in waiting:
        AppointmentMail.objects.filter(pk=mail.pk).update(state=MailState.WAITING, trouble="")
        _send_when_kept(mail)
    return appointment


def _must_stand(appointment: Appointment) -> None:
    if appointment.is_cancelled:
        raise Refusal(_("This appointment was called off. Make a new one."))


def _next(
    appointment: Appointment,
    *,
    by: Person,
    title: str,
    values: dict[str, Any],
    also: set[str],
    at: datetime.datetime,
) -> Appointment:
    change = update(appointment, **values, sequence=appointment.sequence + 1)
    apply(project=None, by=by, title=title, about=appointment.project.name, changes=[change])
    # When, for DTSTAMP. No part of the journal, which has the time of its own entry.
    Appointment.objects.filter(pk=appointment.pk).update(changed_at=at)
    appointment.changed_at = at
    _invite(appointment, also=also)
    return appointment


def _invite(appointment: Appointment, *, also: set[str]) -> None:
    for address in sorted(addresses(appointment) | also):
        mail = AppointmentMail.objects.create(
            appointment=appointment, sequence=appointment.sequence, address=address
        )
        _send_when_kept(mail)


def _send_when_kept(mail: AppointmentMail) -> None:
    key = str(mail.pk)
    transaction.on_commit(lambda: send_invitation.enqueue(key))


def _now() -> datetime.datetime:
    return timezone.now()
