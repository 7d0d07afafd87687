"""Deeds on appointments. They stand in the journal, yet are not taken back: invitations went out."""

import datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from base import outbox
from base.deeds import Refusal, deed
from base.models import Person
from consult.brief_models import Appointment, AppointmentMail
from consult.invitations import addresses
from consult.journal import apply, create, update
from consult.letters import INVITATION, OFF
from consult.models import Project


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
    _invite(appointment, by=by, also=set())
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
    again = {"waiting", "failed", "unknown"}
    letters = [mail.letter for mail in appointment.mails_now() if mail.letter is not None]
    waiting = [letter for letter in letters if letter.state in again]
    if not waiting:
        raise Refusal(_("Every invitation of this appointment was sent."))
    for letter in waiting:
        outbox.letter_again(by=by, letter=letter)
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
    _invite(appointment, by=by, also=also)
    return appointment


def _invite(appointment: Appointment, *, by: Person, also: set[str]) -> None:
    """A letter to each address. Whoever was invited and is no more is told that it is off."""
    invited = addresses(appointment)
    for address in sorted(invited | also):
        is_off = appointment.is_cancelled or address not in invited
        letter = outbox.write(
            name=OFF if is_off else INVITATION,
            to=address,
            ids={"appointment": str(appointment.pk), "sequence": str(appointment.sequence)},
            about=str(appointment.pk),
            by=by,
        )
        AppointmentMail.objects.create(
            appointment=appointment,
            sequence=appointment.sequence,
            address=address,
            letter=letter,
        )


def _now() -> datetime.datetime:
    return timezone.now()
