"""Invitations to appointments: whom they go to, and what a calendar is told."""

from email.message import MIMEPart

from django.conf import settings
from django.utils.translation import gettext as _

from base.models import Business
from consult.brief_models import Appointment
from consult.calendar_file import Attendee, Meeting, calendar_file

CALENDAR_NAME = "appointment.ics"


def addresses(appointment: Appointment) -> set[str]:
    """Where invitations go: the guest, where their address is known, and the colleague."""
    both = (appointment.guest_email, appointment.colleague.email)
    return {address.strip().lower() for address in both if address.strip()}


def meeting_of(
    appointment: Appointment, business: Business, *, is_cancelled: bool = False
) -> Meeting:
    """What a calendar is told of an appointment. Reads its colleague."""
    guests = (
        (Attendee(name=appointment.guest, email=appointment.guest_email),)
        if appointment.guest_email
        else ()
    )
    ours = Attendee(
        name=appointment.colleague.name, email=appointment.colleague.email, is_ours=True
    )
    return Meeting(
        uid=appointment.uid,
        sequence=appointment.sequence,
        starts_at=appointment.starts_at,
        ends_at=appointment.ends_at,
        stamped_at=appointment.changed_at,
        title=_("%(what)s, %(business)s") % {"what": appointment, "business": business.name},
        place=appointment.place,
        words=appointment.words,
        organiser=Attendee(name=business.name, email=business.email or settings.DEFAULT_FROM_EMAIL),
        attendees=(*guests, ours),
        is_cancelled=is_cancelled or appointment.is_cancelled,
    )


def file_of(appointment: Appointment, business: Business, *, is_cancelled: bool = False) -> bytes:
    return calendar_file(
        meeting=meeting_of(appointment, business, is_cancelled=is_cancelled),
        zone=settings.TIME_ZONE,
    )


def attachment(appointment: Appointment, business: Business, *, is_cancelled: bool) -> MIMEPart:
    """The calendar file as a part of a message, its bytes as they are: lines of it end in CRLF."""
    part = MIMEPart()
    part.set_content(
        file_of(appointment, business, is_cancelled=is_cancelled),
        maintype="text",
        subtype="calendar",
        params={"method": "CANCEL" if is_cancelled else "REQUEST", "charset": "utf-8"},
        disposition="attachment",
        filename=CALENDAR_NAME,
    )
    return part
