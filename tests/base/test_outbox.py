"""Letters: written with the change, handed over later, never lost and never sent twice unseen."""

import dataclasses
import datetime
import itertools
import smtplib
from io import StringIO

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from base import outbox
from base.deeds import Refusal
from base.models import Business, MailText, Outbox
from tests.factories import PersonFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def hello(monkeypatch):
    kind = outbox.KindOfLetter(
        name="hello",
        title="Hello",
        subject="For {who}",
        body="Good day {who}. {unknown}",
        fill=lambda ids: ({"who": ids["who"]}, ()),
        sample={"who": "Ida Marrow"},
    )
    monkeypatch.setitem(outbox.KINDS, "hello", kind)
    return kind


def a_letter(who="Ida"):
    return outbox.write(name="hello", to="ida@house.example", ids={"who": who})


class Down(EmailBackend):
    error: Exception = ConnectionRefusedError("nobody listens")

    def send_messages(self, messages):
        raise self.error


@pytest.fixture
def down(settings):
    """A mail server that does not answer, until `up` is called."""
    settings.MAILERS = {"default": {"BACKEND": "tests.base.test_outbox.Down"}}


@pytest.fixture
def up(settings):
    def back():
        settings.MAILERS = {"default": {"BACKEND": "django.core.mail.backends.locmem.EmailBackend"}}

    return back


def test_a_letter_is_rendered_at_delivery_and_sent_with_its_own_id():
    row = a_letter()
    assert mail.outbox == []
    assert outbox.deliver_due() == 1
    (sent,) = mail.outbox
    assert (sent.subject, sent.body) == ("For Ida", "Good day Ida. {unknown}")
    assert sent.extra_headers["Message-ID"] == row.message_id
    assert Outbox.objects.get().state == "sent"
    assert outbox.deliver_due() == 0
    assert len(mail.outbox) == 1


@pytest.mark.parametrize(
    ("email", "to"), [("us@showroom.example", ["us@showroom.example"]), ("", [])]
)
def test_an_answer_to_a_letter_goes_to_the_business(email, to):
    Business.objects.update_or_create(defaults={"name": "Pell", "email": email})
    a_letter()
    outbox.deliver_due()
    assert mail.outbox[0].reply_to == to


def test_no_change_no_letter():
    with pytest.raises(RuntimeError), transaction.atomic():
        a_letter()
        raise RuntimeError
    assert not Outbox.objects.exists()


def test_a_subject_is_one_line_whatever_stands_in_a_name():
    a_letter(who="Ida\r\nBcc: all@else.example")
    outbox.deliver_due()
    assert mail.outbox[0].subject == "For Ida Bcc: all@else.example"
    assert mail.outbox[0].recipients() == ["ida@house.example"]


def test_a_server_down_for_a_day_is_waited_for_with_growing_pauses(down, up):
    row = a_letter()
    now, tries = timezone.now(), []
    for minute in range(0, 24 * 60, 1):
        at = now + datetime.timedelta(minutes=minute)
        before = Outbox.objects.get().attempts
        outbox.deliver_due(now=at)
        if Outbox.objects.get().attempts > before:
            tries.append(minute)
    pauses = [later - earlier for earlier, later in itertools.pairwise(tries)]
    assert 5 <= len(tries) <= 10
    assert pauses == sorted(pauses)
    assert "ConnectionRefusedError" in Outbox.objects.get().error
    up()
    assert outbox.deliver_due(now=now + datetime.timedelta(days=2)) == 1
    assert mail.outbox[0].extra_headers["Message-ID"] == row.message_id


def test_it_gives_up_after_the_last_pause_and_a_person_may_try_again(down, up):
    row, now = a_letter(), timezone.now()
    for _try in range(20):
        now += datetime.timedelta(days=2)
        outbox.deliver_due(now=now)
    row.refresh_from_db()
    assert row.state == "failed"
    assert row.attempts == len(outbox.BACK_OFF_MINUTES) + 1
    outbox.letter_again(by=PersonFactory(), letter=row)
    assert outbox.deliver_due() == 0
    row.refresh_from_db()
    assert (row.state, row.attempts) == ("waiting", 1)  # the pauses begin anew
    up()
    outbox.letter_again(by=PersonFactory(), letter=row)
    assert outbox.deliver_due() == 1


def test_an_address_refused_for_good_is_not_tried_again(down, monkeypatch):
    refused = smtplib.SMTPRecipientsRefused({"ida@house.example": (550, b"no such person")})
    monkeypatch.setattr(Down, "error", refused)
    a_letter()
    outbox.deliver_due()
    assert Outbox.objects.get().state == "failed"


def test_a_crash_in_the_hand_over_shows_as_unknown_and_is_not_sent_by_itself(monkeypatch):
    class Crash(BaseException):
        pass

    def crash(*_given):
        raise Crash

    row = a_letter()
    monkeypatch.setattr(outbox, "_send", crash)
    with pytest.raises(Crash):
        outbox.deliver(row.pk)
    monkeypatch.undo()
    soon = timezone.now() + outbox.LOST_AFTER - datetime.timedelta(minutes=1)
    assert outbox.deliver_due(now=soon) == 0
    # It may still be on its way: nobody is told yet that nobody knows.
    assert Outbox.objects.get().state == "handing_over"
    later = timezone.now() + datetime.timedelta(minutes=11)
    assert outbox.deliver_due(now=later) == 0
    assert Outbox.objects.get().state == "unknown"
    assert outbox.deliver_due(now=later + datetime.timedelta(days=9)) == 0
    outbox.letter_settle(by=PersonFactory(), letter=row, was_sent=True)
    assert Outbox.objects.get().state == "sent"
    with pytest.raises(Refusal, match="sent"):
        outbox.letter_again(by=PersonFactory(), letter=row)


def test_one_letter_is_not_taken_by_two(monkeypatch):
    row = a_letter()
    taken = []

    def meanwhile(*_given):
        taken.append(outbox.deliver(row.pk))

    monkeypatch.setattr(outbox, "_send", meanwhile)
    assert outbox.deliver(row.pk)
    assert taken == [False]


def test_a_letter_that_makes_no_sense_any_more_is_not_sent(monkeypatch, hello):
    def gone(_ids):
        raise outbox.NotDue("The link was revoked.")

    object.__setattr__(hello, "fill", gone)
    a_letter()
    outbox.deliver_due()
    assert mail.outbox == []
    assert Outbox.objects.get().state == "cancelled"


def test_the_business_words_its_letters_itself():
    MailText.objects.create(name="hello", subject="Dear {who}", body="{who}, {who.__class__} {0}")
    a_letter()
    outbox.deliver_due()
    assert (mail.outbox[0].subject, mail.outbox[0].body) == (
        "Dear Ida",
        "Ida, {who.__class__} {0}",
    )


def test_the_command_says_how_many_went(capsys):
    a_letter()
    out = StringIO()
    call_command("deliver_mail", stdout=out)
    assert out.getvalue() == "1 sent\n"


def test_a_letter_whose_document_is_not_made_yet_waits_and_goes_later(monkeypatch, hello):
    def not_yet(_ids):
        raise OSError("not made yet")

    a_letter()
    monkeypatch.setitem(outbox.KINDS, "hello", dataclasses.replace(hello, fill=not_yet))
    assert outbox.deliver_due() == 0
    row = Outbox.objects.get()
    assert (row.state, row.attempts, row.error) == ("waiting", 1, "OSError: not made yet")
    monkeypatch.setitem(outbox.KINDS, "hello", hello)
    assert outbox.deliver_due(now=timezone.now() + datetime.timedelta(minutes=2)) == 1


def test_words_of_a_client_are_not_filled_in_again():
    words = {"question": "Is {address} meant? {no_word}", "address": "4 Quay Street"}
    assert outbox.filled("{question} – {address} {other}", words) == (
        "Is {address} meant? {no_word} – 4 Quay Street {other}"
    )
