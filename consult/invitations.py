"""Invitations to appointments: whom they go to, and the message as it is sent."""

from email.message import MIMEPart

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from base.models import Business
from consult.brief_models import Appointment, AppointmentMail
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


def message(mail: AppointmentMail) -> EmailMessage:
    """The message as the appointment now is. Whoever is no more invited is told that it is off."""
    appointment, business = mail.appointment, Business.objects.current()
    is_off = appointment.is_cancelled or mail.address not in addresses(appointment)
    context = {"appointment": appointment, "business": business, "is_off": is_off}
    subject = _("Called off: %(what)s") if is_off else "%(what)s"
    found = EmailMessage(
        subject=subject % {"what": meeting_of(appointment, business).title},
        body=render_to_string("consult/mail/appointment.txt", context),
        to=[mail.address],
        reply_to=[business.email] if business.email else None,
        # Always the same, so that a message sent twice is taken for one.
        headers={"Message-ID": f"<{mail.pk}@appointments.gloaming.invalid>"},
    )
    text = file_of(appointment, business, is_cancelled=is_off).decode()
    part = MIMEPart()
    method = "CANCEL" if is_off else "REQUEST"
    part.set_content(text, subtype="calendar", params={"method": method})
    part.add_header("Content-Disposition", "attachment", filename=CALENDAR_NAME)
    found.attach(part)
    return found
