"""Letters about appointments: an invitation, and word that one is off."""

from typing import Any

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.models import Business
from base.outbox import Attachment, KindOfLetter, NotDue, register
from consult.brief_models import Appointment
from consult.invitations import attachment

INVITATION = "appointment"
OFF = "appointment-off"
Filled = tuple[dict[str, str], tuple[Attachment, ...]]

SAMPLE: dict[str, Any] = {
    "what": gettext_lazy("Consultation"),
    "when": gettext_lazy("Tuesday 14 July 2026, 10:30 to 12:00"),
    "where": gettext_lazy("4 Pulley Lane, Saltmarsh"),
    "guest": "Ida Marrow",
    "colleague": "Per Sallow",
    "words": gettext_lazy("Bring the plans."),
    "business": "Pell & Orrin Lighting",
    "phone": "01632 960 100",
}


def _words(appointment: Appointment, business: Business) -> dict[str, str]:
    begins, ends = localtime(appointment.starts_at), localtime(appointment.ends_at)
    when = _("%(day)s, %(begin)s to %(end)s") % {
        "day": date_format(begins, "l j F Y"),
        "begin": date_format(begins, "H:i"),
        "end": date_format(ends, "H:i"),
    }
    return {
        "what": str(appointment),
        "when": when,
        "where": appointment.place or "–",
        "guest": appointment.guest,
        "colleague": appointment.colleague.name,
        "words": appointment.words,
        "business": business.name,
        "phone": business.phone,
    }


def _filled(ids: dict[str, str], *, is_off: bool) -> Filled:
    """Raises NotDue where the appointment was changed again: its newer letter says how it now is."""
    rows = Appointment.objects.select_related("colleague")
    appointment = rows.filter(pk=ids["appointment"]).first()
    if appointment is None or str(appointment.sequence) != ids["sequence"]:
        raise NotDue(_("The appointment was changed again; a newer letter says so."))
    business = Business.objects.current()
    part = attachment(appointment, business, is_cancelled=is_off)
    return _words(appointment, business), (part,)


def _invitation(ids: dict[str, str]) -> Filled:
    return _filled(ids, is_off=False)


def _off(ids: dict[str, str]) -> Filled:
    return _filled(ids, is_off=True)


def register_letters() -> None:
    register(
        KindOfLetter(
            name=INVITATION,
            title=gettext_lazy("Invitation to an appointment"),
            subject=gettext_lazy("{what}: {when}"),
            body=gettext_lazy(
                "{what} with {business}\n\nWhen: {when}\nWhere: {where}\nWho: {guest}, {colleague}"
                "\n\n{words}\n\n{business}\n{phone}\n"
            ),
            fill=_invitation,
            sample=SAMPLE,
        )
    )
    register(
        KindOfLetter(
            name=OFF,
            title=gettext_lazy("An appointment is called off"),
            subject=gettext_lazy("Called off: {what}, {when}"),
            body=gettext_lazy(
                "{what} on {when} is called off. Whatever calendar you put it into takes it out by "
                "the file with this letter.\n\n{business}\n{phone}\n"
            ),
            fill=_off,
            sample=SAMPLE,
        )
    )
