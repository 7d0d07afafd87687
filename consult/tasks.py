"""Work done after a request: invitations to appointments."""

import logging

from django.tasks import task
from django.utils import timezone

from consult.brief_kinds import MailState

log = logging.getLogger(__name__)


@task
def send_invitation(mail_id: str) -> None:
    """Send one invitation and keep what became of it. Safe to repeat.

    What was sent is not sent again; what was overtaken by a later change is not sent at all. No
    lock is held while the mail server is waited for: two at once may send the same message, which
    has the same Message-ID both times.
    """
    from consult.brief_models import AppointmentMail
    from consult.invitations import message

    mails = AppointmentMail.objects.filter(pk=mail_id).exclude(state=MailState.SENT)
    mail = mails.select_related("appointment__project", "appointment__colleague").first()
    if mail is None or mail.sequence != mail.appointment.sequence:
        return
    try:
        message(mail).send()
    except Exception as error:  # whatever it is, people must see that nothing was sent
        log.warning("an invitation was not sent: %s", error)
        trouble = f"{type(error).__name__}: {error}"[:300]
        mails.update(state=MailState.FAILED, trouble=trouble, tried_at=timezone.now())
        return
    mails.update(state=MailState.SENT, trouble="", tried_at=timezone.now())
