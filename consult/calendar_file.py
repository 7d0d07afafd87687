"""An appointment as calendars take it: iCalendar (RFC 5545) with iTIP's methods (RFC 5546)."""

import datetime
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, vCalAddress

PRODUCT = "-//Gloaming//Appointments//EN"


@dataclass(frozen=True, slots=True, kw_only=True)
class Attendee:
    name: str
    email: str
    is_ours: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """What a calendar is told. Times know their zone; `sequence` rises with every change."""

    uid: str
    sequence: int
    starts_at: datetime.datetime
    ends_at: datetime.datetime
    stamped_at: datetime.datetime
    title: str
    place: str
    words: str
    organiser: Attendee
    attendees: tuple[Attendee, ...]
    is_cancelled: bool = False

    def __post_init__(self) -> None:
        for at in (self.starts_at, self.ends_at, self.stamped_at):
            if at.tzinfo is None:
                raise ValueError(f"a time must know its zone, got {at!r}")
        if not self.ends_at > self.starts_at:
            raise ValueError("a meeting must end after it begins")
        if self.sequence < 0:
            raise ValueError(f"sequence must not be below 0, got {self.sequence!r}")


def calendar_file(*, meeting: Meeting, zone: str) -> bytes:
    """The meeting as a calendar object with its zone's rules: REQUEST, or CANCEL when called off.

    Parameters
    ----------
    meeting:
        What is told.
    zone:
        IANA name of the zone in which the times are written, such as "Europe/London". A clock
        change decided later than the file is made then still leaves the hour as it was agreed.

    Raises
    ------
    ZoneInfoNotFoundError
        For a zone that is not known.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "CANCEL" if meeting.is_cancelled else "REQUEST")
    calendar.add_component(_event(meeting, ZoneInfo(zone)))
    year = meeting.starts_at.year
    calendar.add_missing_timezones(
        first_date=datetime.date(year - 1, 1, 1), last_date=datetime.date(year + 1, 12, 31)
    )
    return bytes(calendar.to_ical())


def _event(meeting: Meeting, zone: ZoneInfo) -> Event:
    event = Event()
    event.add("uid", meeting.uid)
    event.add("sequence", meeting.sequence)
    event.add("dtstamp", meeting.stamped_at.astimezone(datetime.UTC))
    event.add("dtstart", meeting.starts_at.astimezone(zone))
    event.add("dtend", meeting.ends_at.astimezone(zone))
    event.add("summary", meeting.title)
    if meeting.place:
        event.add("location", meeting.place)
    if meeting.words:
        event.add("description", meeting.words)
    event.add("status", "CANCELLED" if meeting.is_cancelled else "CONFIRMED")
    event["organizer"] = _address(meeting.organiser)
    for attendee in meeting.attendees:
        address = _address(attendee)
        address.params["ROLE"] = "REQ-PARTICIPANT"
        address.params["PARTSTAT"] = "ACCEPTED" if attendee.is_ours else "NEEDS-ACTION"
        if not attendee.is_ours:
            address.params["RSVP"] = "TRUE"
        event.add("attendee", address, encode=0)
    return event


def _address(somebody: Attendee) -> vCalAddress:
    address = vCalAddress(f"mailto:{somebody.email}")
    # A parameter holds no quotation mark and no control sign (RFC 5545, 3.1).
    name = "".join(sign for sign in somebody.name if sign.isprintable() and sign != '"')
    address.params["CN"] = name.strip() or somebody.email
    return address
