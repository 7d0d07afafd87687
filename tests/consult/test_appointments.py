"""Appointments: agreed, changed, called off; what calendars and both sides are told."""

import datetime
import uuid

import pytest
from django.core import mail
from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from base import outbox
from base.deeds import Refusal, Stale
from base.models import Outbox
from consult.brief_models import Appointment, AppointmentMail
from consult.calendar_file import Attendee, Meeting, calendar_file
from consult.models import JournalEntry
from consult.services import appointments as services
from consult.services import turns
from tests.conftest import all_of, one
from tests.consult.visiting import an_appointment_form
from tests.factories import PersonFactory, a_project

pytestmark = pytest.mark.django_db
LONDON = datetime.timezone(datetime.timedelta(hours=1))


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


@pytest.fixture(autouse=True)
def sends_at_once(request, monkeypatch):
    """A test is one transaction that never ends well: what waits for its end is done at once."""
    if "transactional_db" not in request.fixturenames:
        monkeypatch.setattr("base.outbox.transaction.on_commit", lambda do: do())


@pytest.fixture
def project(designer):
    return a_project(by=designer)


@pytest.fixture
def appointment(designer, project):
    return services.appointment_make(
        by=designer, project=project, colleague=designer, guest="Ida Marrow", place="4 Pulley Lane",
        guest_email="ida@post.example",
        starts_at=timezone.now().replace(second=0, microsecond=0) + datetime.timedelta(days=9),
    )  # fmt: skip


def calendars():
    """The calendar of each message sent, by address."""
    found = {}
    for message in mail.outbox:
        (part,) = [
            each for each in message.message().walk() if each.get_content_type() == "text/calendar"
        ]
        content = part.get_payload(decode=True)
        assert b"\r\n" in content
        read = Calendar.from_ical(content)
        assert part.get_param("method") == read["method"]
        found[message.to[0]] = read
    return found


def event(calendar):
    (found,) = calendar.walk("VEVENT")
    return found


def test_a_time_is_agreed_and_both_sides_are_invited(designer_client, designer, project):
    answer = designer_client.post(url("appointment_add", project.pk), an_appointment_form(designer))
    row = Appointment.objects.get()
    assert answer["Location"] == row.get_absolute_url()
    told = calendars()
    assert set(told) == {"ida@post.example", designer.email}
    for calendar in told.values():
        assert calendar["method"] == "REQUEST"
        assert event(calendar)["uid"] == str(row.pk)
        assert int(event(calendar)["sequence"]) == 0
        assert event(calendar)["dtstart"].dt == row.starts_at
        assert event(calendar)["location"] == "4 Pulley Lane"
    assert {each.letter.state for each in row.mails.all()} == {"sent"}


def test_nothing_is_sent_of_what_was_not_kept(transactional_db):
    designer = PersonFactory()
    project = a_project(by=designer)
    values = {"colleague": designer, "guest": "Ida", "starts_at": timezone.now()}
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        services.appointment_make(by=designer, project=project, **values)
        raise ZeroDivisionError
    assert mail.outbox == []
    services.appointment_make(by=designer, project=project, **values)
    assert len(mail.outbox) == 1


def test_a_change_keeps_the_uid_and_raises_the_sequence(
    designer_client, designer, project, appointment
):
    for step in (1, 2, 3):
        mail.outbox.clear()
        data = an_appointment_form(designer, hour=f"1{step}:00")
        data["seen"] = Appointment.objects.get().version
        designer_client.post(url("appointment_change", appointment.pk), data)
        for calendar in calendars().values():
            assert event(calendar)["uid"] == str(appointment.pk)
            assert int(event(calendar)["sequence"]) == step
    assert Appointment.objects.get().sequence == 3


def test_saving_without_a_change_invites_nobody_again(designer, appointment):
    mail.outbox.clear()
    services.appointment_change(by=designer, appointment=appointment, place=appointment.place)
    assert Appointment.objects.get().sequence == 0
    assert mail.outbox == []


def test_calling_off_tells_both_sides_and_keeps_the_row(designer_client, designer, appointment):
    mail.outbox.clear()
    designer_client.post(url("appointment_cancel", appointment.pk))
    told = calendars()
    assert set(told) == {"ida@post.example", designer.email}
    for calendar in told.values():
        assert calendar["method"] == "CANCEL"
        assert event(calendar)["status"] == "CANCELLED"
        assert (event(calendar)["uid"], int(event(calendar)["sequence"])) == (
            str(appointment.pk),
            1,
        )
    assert Appointment.objects.get().is_cancelled


def test_what_was_called_off_is_neither_changed_nor_called_off_again(designer, appointment):
    services.appointment_cancel(by=designer, appointment=appointment)
    with pytest.raises(Refusal, match="called off"):
        services.appointment_cancel(by=designer, appointment=appointment)
    with pytest.raises(Refusal, match="called off"):
        services.appointment_change(by=designer, appointment=appointment, place="Elsewhere")
    assert Appointment.objects.get().sequence == 1


def test_whoever_is_no_more_invited_is_told_that_it_is_off(designer, appointment):
    mail.outbox.clear()
    services.appointment_change(
        by=designer, appointment=appointment, guest="Per Sallow", guest_email="per@post.example"
    )
    told = calendars()
    assert told["ida@post.example"]["method"] == "CANCEL"
    assert told["per@post.example"]["method"] == "REQUEST"


def test_a_guest_without_an_address_is_not_written_to(designer, project):
    services.appointment_make(
        by=designer, project=project, colleague=designer, guest="Ida Marrow",
        starts_at=timezone.now() + datetime.timedelta(days=2),
    )  # fmt: skip
    assert [message.to for message in mail.outbox] == [[designer.email]]


def test_a_failure_is_shown_and_sent_again_by_a_press(
    designer_client, designer, project, settings, monkeypatch
):
    def refuse(self, *args, **kwargs):
        raise ConnectionRefusedError("nobody listens")

    with monkeypatch.context() as patched:
        patched.setattr("base.outbox.EmailMessage.send", refuse)
        designer_client.post(url("appointment_add", project.pk), an_appointment_form(designer))
    row = Appointment.objects.get()
    page = designer_client.get(row.get_absolute_url())
    assert len(all_of(page, "main .state.stop")) == 2
    assert "nobody listens" in one(page, "main .choices li:first-child").text
    designer_client.post(url("appointment_mail_again", row.pk))
    assert {each.letter.state for each in AppointmentMail.objects.all()} == {"sent"}
    assert len(mail.outbox) == 2


def test_an_invitation_is_never_sent_when_overtaken(designer, appointment):
    first = AppointmentMail.objects.get(address="ida@post.example").letter
    services.appointment_change(by=designer, appointment=appointment, place="Elsewhere")
    mail.outbox.clear()
    Outbox.objects.filter(pk=first.pk).update(state="waiting")
    outbox.deliver(first.pk)
    assert mail.outbox == []
    assert Outbox.objects.get(pk=first.pk).state == "cancelled"


def test_nothing_to_send_again_is_said(designer, appointment):
    with pytest.raises(Refusal, match="was sent"):
        services.appointment_mail_again(by=designer, appointment=appointment)


def test_taking_back_a_design_never_unsends_an_invitation(designer, project, appointment):
    turns.undo(by=designer, project=project)
    assert Appointment.objects.get().sequence == 0
    assert JournalEntry.objects.filter(title="appointment_make", project=None).exists()


def test_the_later_of_two_sees_both_values(designer_client, designer, appointment):
    seen = Appointment.objects.get().version
    services.appointment_change(by=designer, appointment=appointment, place="The harbour office")
    data = {**an_appointment_form(designer, place="The mill"), "seen": seen}
    page = designer_client.post(url("appointment_change", appointment.pk), data)
    assert "The harbour office" in one(page, "form .notice.look").text
    assert one(page, "#id_place")["value"] == "The mill"
    assert Appointment.objects.get().place == "The harbour office"
    with pytest.raises(Stale):
        services.appointment_change(by=designer, appointment=appointment, seen=seen, place="X")


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("day", "", "required"),
        ("day", "the 30th", "valid date"),
        ("day", "2020-01-01", "past"),
        ("hour", "25:00", "valid time"),
        ("minutes", "0", "greater than or equal to 5"),
        ("minutes", "90000", "less than or equal to 1440"),
        ("guest", "", "required"),
        ("guest_email", "not an address", "valid email"),
        ("colleague", str(uuid.UUID(int=7)), "not one of the available choices"),
        ("kind", "seance", "not one of the available choices"),
        ("place", "x" * 301, "at most 300"),
    ],
)
def test_bad_input_agrees_nothing(designer_client, designer, project, field, value, said):
    data = an_appointment_form(designer, **{field: value})
    answer = designer_client.post(url("appointment_add", project.pk), data)
    assert said in answer.content.decode()
    assert not Appointment.objects.exists()
    assert mail.outbox == []


def test_an_hour_that_the_clocks_skip_is_refused(designer_client, designer, project):
    # Clocks go forward at 01:00 on the last Sunday of March in the time zone of the tests.
    year = timezone.localdate().year + 1
    last = datetime.date(year, 3, 31)
    sunday = last - datetime.timedelta(days=(last.weekday() + 1) % 7)
    data = an_appointment_form(designer, day=sunday.isoformat(), hour="01:30")
    answer = designer_client.post(url("appointment_add", project.pk), data)
    assert "clocks change" in answer.content.decode()
    assert not Appointment.objects.exists()


def test_the_calendar_file_is_for_people_who_work_here(client, designer_client, appointment):
    address = url("appointment_file", appointment.pk)
    answer = designer_client.get(address)
    assert answer["Content-Type"].startswith("text/calendar")
    assert event(Calendar.from_ical(answer.content))["uid"] == str(appointment.pk)
    assert client.get(address).status_code == 302


@pytest.mark.parametrize("name", ["appointment_cancel", "appointment_mail_again"])
def test_a_deed_is_never_done_by_looking_nor_by_a_stranger(
    client, designer_client, appointment, name
):
    assert designer_client.get(url(name, appointment.pk)).status_code == 405
    assert client.post(url(name, appointment.pk)).status_code == 302
    assert designer_client.post(url(name, uuid.uuid4())).status_code == 404
    assert Appointment.objects.get().sequence == 0


def test_somebody_who_left_sees_none(designer, appointment):
    designer.is_active = False
    assert not Appointment.objects.for_user(designer).exists()


def test_the_project_shows_what_is_to_come_and_nothing_else(
    designer_client, designer, project, appointment
):
    over = services.appointment_make(
        by=designer, project=project, starts_at=appointment.starts_at, minutes=30,
        guest="Corin Vale", colleague=designer,
    )  # fmt: skip
    services.appointment_cancel(by=designer, appointment=over)
    html = designer_client.get(project.get_absolute_url()).content.decode()
    assert appointment.get_absolute_url() in html
    assert over.get_absolute_url() not in html


def test_the_agenda_asks_the_same_however_many_are_coming(
    designer_client, designer, project, queries
):
    def agree(number):
        for _each in range(number):
            services.appointment_make(
                by=designer, project=project, colleague=designer, guest="Ida",
                starts_at=timezone.now() + datetime.timedelta(days=2),
            )  # fmt: skip

    agree(1)
    few = queries(lambda: designer_client.get(url("appointments")))
    agree(9)
    assert queries(lambda: designer_client.get(url("appointments"))) == few
    assert len(all_of(designer_client.get(url("appointments")), "main .choices li")) == 10


# --- the file itself ------------------------------------------------------------------------------
def a_meeting(**values):
    begins = datetime.datetime(2026, 7, 14, 10, 30, tzinfo=LONDON)
    given = {
        "uid": "f2c5", "sequence": 4, "starts_at": begins,
        "ends_at": begins + datetime.timedelta(minutes=90), "stamped_at": begins,
        "title": "Consultation; a, b", "place": "4 Pulley Lane, Saltmarsh", "words": "One\nTwo",
        "organiser": Attendee(name="Pell & Orrin", email="rooms@pell.example"),
        "attendees": (Attendee(name='Ida "I" Marrow', email="ida@post.example"),), **values,
    }  # fmt: skip
    return Meeting(**given)


def read(**values):
    return Calendar.from_ical(calendar_file(meeting=a_meeting(**values), zone="Europe/London"))


def test_a_file_holds_what_rfc_5545_and_5546_ask_for():
    """RFC 5545, 3.6.1 (a VEVENT has UID and DTSTAMP), 3.6.5 (each TZID has its VTIMEZONE), 3.1
    (lines end in CRLF, at most 75 octets); RFC 5546, 3.2.2 (a REQUEST has ORGANIZER, ATTENDEE)."""
    calendar = read()
    found = event(calendar)
    assert (str(calendar["version"]), str(calendar["method"])) == ("2.0", "REQUEST")
    assert found["dtstart"].params["TZID"] == "Europe/London"
    assert [str(zone["tzid"]) for zone in calendar.walk("VTIMEZONE")] == ["Europe/London"]
    assert str(found["organizer"]) == "mailto:rooms@pell.example"
    assert str(found["attendee"]) == "mailto:ida@post.example"
    assert found["dtstamp"].dt.utcoffset() == datetime.timedelta(0)
    content = calendar_file(meeting=a_meeting(words="long " * 200), zone="Europe/London")
    lines = content.split(b"\r\n")
    assert b"\n" not in b"".join(lines)
    assert max(len(line) for line in lines) <= 75


def test_an_hour_is_the_same_moment_read_back_in_summer_and_in_winter():
    for month, offset in ((7, 1), (1, 0)):
        begins = datetime.datetime(2026, month, 14, 10, 30, tzinfo=datetime.UTC)
        found = event(read(starts_at=begins, ends_at=begins + datetime.timedelta(hours=1)))
        assert found["dtstart"].dt == begins
        assert found["dtstart"].dt.utcoffset() == datetime.timedelta(hours=offset)


def test_words_with_marks_come_back_as_they_were():
    found = event(read())
    assert str(found["summary"]) == "Consultation; a, b"
    assert str(found["description"]) == "One\nTwo"
    assert found["attendee"].params["CN"] == "Ida I Marrow"


def test_no_line_of_a_calendar_can_be_smuggled_in():
    evil = "x\r\nATTENDEE:mailto:evil@post.example"
    calendar = read(
        title=evil, place=evil, words=evil, attendees=(Attendee(name=evil, email="a@b.example"),)
    )
    assert str(event(calendar)["attendee"]) == "mailto:a@b.example"


@pytest.mark.parametrize(
    "values",
    [
        {"sequence": -1},
        {"starts_at": datetime.datetime(2026, 7, 14, 10, 30)},
        {"ends_at": datetime.datetime(2026, 7, 14, 10, 30, tzinfo=LONDON)},
    ],
)
def test_a_meeting_that_makes_no_sense_is_refused(values):
    with pytest.raises(ValueError, match="must"):
        a_meeting(**values)
