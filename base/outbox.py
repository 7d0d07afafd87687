"""Letters: written with the change that makes them due, handed over later, never silently lost.

`write` puts a letter into the outbox inside the deed's own transaction: no change, no letter.
`deliver_due` hands over what is due. A hand-over has three steps, each committed by itself: mark
the row, send, note how it went. When the process dies between the last two, nobody knows whether
the letter went out: the row then shows as unknown, and a person decides.
"""

import datetime
import re
import smtplib
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from email.message import MIMEPart
from functools import partial
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import connection, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Business, MailText, Outbox, Person

# Minutes after each failed attempt: a server that is down for a day or two is waited for.
BACK_OFF_MINUTES = (1, 5, 15, 60, 180, 360, 720, 720, 1440, 1440)
LOST_AFTER = datetime.timedelta(minutes=10)
# Name, bytes and media type; or a part made whole, where its bytes must not be written anew.
Attachment = tuple[str, bytes, str] | MIMEPart


class NotDue(Exception):
    """The letter makes no sense any more, as when its link was revoked. The text says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter ready to be handed over."""

    subject: str
    body: str
    attachments: tuple[Attachment, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfLetter:
    """One kind of letter: its built-in wording, the words that may stand in it, how it is filled.

    `fill` takes the kept ids and returns the words' values and the attachments; it runs at each
    attempt. `sample` has invented values for the preview.
    """

    name: str
    title: Any
    subject: Any
    body: Any
    fill: Callable[[dict[str, str]], tuple[dict[str, str], tuple[Attachment, ...]]]
    sample: dict[str, Any] = field(default_factory=dict)


KINDS: dict[str, KindOfLetter] = {}


def register(kind: KindOfLetter) -> None:
    KINDS[kind.name] = kind


def write(
    *, name: str, to: str, ids: dict[str, str], about: str = "", by: Person | None = None
) -> Outbox:
    """Put a letter into the outbox. Call it inside the transaction of the change it tells of."""
    if name not in KINDS:
        raise ValueError(f"there is no kind of letter named {name!r}")
    key = uuid.uuid4()
    row = Outbox.objects.create(
        id=key, name=name, to=to, ids=ids, about=about, by=by, message_id=f"<{key}@{_host()}>"
    )
    transaction.on_commit(partial(_enqueue, str(key)))
    return row


def _enqueue(key: str) -> None:
    from base.tasks import deliver_letter

    deliver_letter.enqueue(key)


def _host() -> str:
    return settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("<> ") or "localhost"


def wording(kind: KindOfLetter) -> tuple[str, str]:
    """Subject and body as the business words them."""
    own = MailText.objects.filter(name=kind.name).first()
    return (own.subject, own.body) if own else (str(kind.subject), str(kind.body))


WORD = re.compile(r"\{([^{}]+)\}")


def filled(text: str, words: dict[str, str]) -> str:
    """The text with {word} replaced. A word that is not known stays as it is: nothing is evaluated.

    What is put in is not looked through again: a client's own words may hold braces.
    """
    return WORD.sub(lambda found: words.get(found[1], found[0]), text)


def compose(name: str, ids: dict[str, str]) -> Letter:
    """The letter as it would be handed over now. Raises NotDue where it makes no sense any more."""
    kind = KINDS[name]
    words, attachments = kind.fill(ids)
    subject, body = wording(kind)
    one_line = " ".join(filled(subject, words).split())  # a header has one line
    return Letter(subject=one_line, body=filled(body, words), attachments=attachments)


def preview(kind: KindOfLetter, subject: str, body: str) -> Letter:
    sample = {name: str(value) for name, value in kind.sample.items()}
    return Letter(subject=filled(subject, sample), body=filled(body, sample))


# --- handing over -------------------------------------------------------------------------------
def deliver_due(*, now: datetime.datetime | None = None, most: int = 100) -> int:
    """Hand over what is due; note what was lost in a hand-over. Returns how many were sent."""
    at = now or timezone.now()
    Outbox.objects.filter(state="handing_over", tried_at__lt=at - LOST_AFTER).update(
        state="unknown", error=str(_("The program stopped while the letter was handed over."))
    )
    due = Outbox.objects.filter(state="waiting", next_try__lte=at).order_by("next_try")
    return sum(deliver(key, now=at) for key in due.values_list("pk", flat=True)[:most])


def deliver(key: uuid.UUID | str, *, now: datetime.datetime | None = None) -> bool:
    """Hand one letter over if it is due. Returns whether it was sent."""
    at = now or timezone.now()
    row = _taken(key, at)
    if row is None:
        return False
    try:
        _send(row, compose(row.name, row.ids))
    except NotDue as reason:
        _note(row, state="cancelled", error=str(reason)[:300])
        return False
    except Exception as error:  # a document not made yet waits as a server that is down does
        _note_failure(row, error, at)
        return False
    _note(row, state="sent", sent_at=timezone.now(), error="")
    return True


def _taken(key: uuid.UUID | str, at: datetime.datetime) -> Outbox | None:
    """Mark the row as being handed over, unless another worker has it."""
    with transaction.atomic():
        rows = Outbox.objects.filter(pk=key, state="waiting", next_try__lte=at)
        if connection.features.has_select_for_update_skip_locked:
            rows = rows.select_for_update(skip_locked=True)
        row = rows.first()
        if row is None:
            return None
        taken = Outbox.objects.filter(pk=key, state="waiting").update(
            state="handing_over", attempts=F("attempts") + 1, tried_at=at
        )
        row.attempts += 1
        return row if taken else None


def _send(row: Outbox, letter: Letter) -> None:
    business = Business.objects.current()
    EmailMessage(
        subject=letter.subject,
        body=letter.body,
        to=[row.to],
        reply_to=[business.email] if business.email else None,
        headers={"Message-ID": row.message_id},
        attachments=list(letter.attachments),
    ).send()


def _note_failure(row: Outbox, error: Exception, at: datetime.datetime) -> None:
    said = f"{type(error).__name__}: {error}"[:300]
    if _is_final(error) or row.attempts > len(BACK_OFF_MINUTES):
        _note(row, state="failed", error=said)
        return
    wait = datetime.timedelta(minutes=BACK_OFF_MINUTES[row.attempts - 1])
    _note(row, state="waiting", next_try=at + wait, error=said)


def _is_final(error: Exception) -> bool:
    """Whether trying again is pointless: the server refused the address for good (5xx, RFC 5321)."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(500 <= code < 600 for code, _said in error.recipients.values())
    return isinstance(error, ValueError)  # a header or an address that cannot be written


def _note(row: Outbox, **values: Any) -> None:
    Outbox.objects.filter(pk=row.pk, state="handing_over").update(**values)


# --- what a person decides ----------------------------------------------------------------------
@deed()
def letter_again(*, by: Person, letter: Outbox) -> Outbox:
    """Try once more, with the same Message-ID: after a failure, or where nobody knows."""
    row = Outbox.objects.select_for_update().get(pk=letter.pk)
    if row.state not in {"failed", "unknown", "waiting"}:
        raise Refusal(_("This letter is %(state)s.") % {"state": row.get_state_display()})
    row.state, row.next_try, row.by = "waiting", timezone.now(), by
    row.attempts = 0
    row.save()
    transaction.on_commit(partial(_enqueue, str(row.pk)))
    return row


@deed()
def letter_settle(*, by: Person, letter: Outbox, was_sent: bool) -> Outbox:
    """Say what became of a letter, or that it is not to be sent any more."""
    row = Outbox.objects.select_for_update().get(pk=letter.pk)
    if row.state not in {"failed", "unknown", "waiting"}:
        raise Refusal(_("This letter is %(state)s.") % {"state": row.get_state_display()})
    row.state, row.by = ("sent" if was_sent else "cancelled"), by
    if was_sent:
        row.sent_at = row.tried_at
    row.save()
    return row
