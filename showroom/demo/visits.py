"""Around the demo's house: the brief, who takes part, an appointment, what the clients told before."""

import datetime
import io
from decimal import Decimal

from django.utils import timezone
from PIL import Image, ImageDraw

from base.models import Business, Person
from base.uploads import examine, photo
from consult.brief_models import Appointment
from consult.models import Project, Room
from consult.services import appointments, brief, visits
from consult.services.visits import NamedUpload

ROOMS_WISHED = """Boat hall, galley and chart corner, which are one space
The captain's room and the twin berth
The wet room, and the way down to it at night"""
WISHES = """They cook together every evening and read late. The children are seven and nine.
No glare on the windows after dark: the harbour is the picture.
Joss restores half-models; the workshop needs true colours."""
TOLD = (
    ("Boat hall", "living", "Low light for the evening, and the beams seen."),
    ("Wet room", "bathroom", "Something to find the way by at night."),
    ("Sail locker", "utility", "Dark now. A light that comes on by itself?"),
)
TOLD_WISHES = "We never agree about brightness. Could each of us have a button?"


def build_visits(project: Project, *, designer: Person, office: Person) -> None:
    """Everything that lies around the design, by the same deeds a person uses."""
    _brief(project, designer)
    room = Room.objects.get(project=project, name="Boat hall")
    brief.note_add(
        by=designer,
        project=project,
        room=room,
        text="Tie beams at 2.9 m. Clear 180 mm between beam and ridge for the cove.",
        photos=[photo(_sketch("beams"))],
    )
    _appointment(project, designer)
    _told(project, office)


def _brief(project: Project, by: Person) -> None:
    today = timezone.localdate()
    brief.brief_begin(
        by=by,
        project=project,
        rooms_wished=ROOMS_WISHED,
        wishes=WISHES,
        budget_guide=Decimal("26000"),
        budget_words="Fittings and controls, without the electrician",
        first_fix_on=today + datetime.timedelta(weeks=9),
        second_fix_on=today + datetime.timedelta(weeks=17),
    )
    parties = (
        ("client", "Imani Calloway", "", "imani.calloway@post.example", "01632 960 122"),
        ("billed", "Joss Pereira", "", "joss.pereira@post.example", ""),
        ("electrician", "Tamsin Rook", "Rook Electrical", "tamsin@rook.example", "01632 960 733"),
        ("builder", "Aldo Winterbourne", "Winterbourne & Crew", "", "01632 960 208"),
        ("architect", "Selma Quayle", "Studio Quayle", "selma@quayle.example", ""),
    )
    for role, name, firm, email, phone in parties:
        brief.party_add(
            by=by, project=project, role=role, name=name, firm=firm, email=email, phone=phone
        )


def _appointment(project: Project, by: Person) -> Appointment:
    business = Business.objects.current()
    day = timezone.localtime() + datetime.timedelta(days=6)
    made: Appointment = appointments.appointment_make(
        by=by,
        project=project,
        kind="consultation",
        starts_at=day.replace(hour=10, minute=30, second=0, microsecond=0),
        minutes=120,
        place=", ".join([business.name, *business.address.splitlines()]),
        guest="Imani Calloway and Joss Pereira",
        guest_email=project.client.email if project.client else "",
        colleague=by,
        words="Please bring the plans, and a cushion or a curtain whose colour matters to you.",
    )
    return made


def _told(project: Project, by: Person) -> None:
    link = visits.visit_link_make(
        by=by,
        project=project,
        for_whom="Imani Calloway and Joss Pereira",
        until=timezone.now() + datetime.timedelta(days=6),
        secret=visits.new_secret(),
    )
    for name, use, wish in TOLD:
        visits.visit_room_add(link=link, name=name, use=use, wish=wish)
    visits.visit_wishes_write(link=link, wishes=TOLD_WISHES)
    files = [NamedUpload(name="quay-level.png", upload=examine(_sketch("plan")))]
    visits.visit_files_add(link=link, kind="plan", files=files)
    visits.visit_send(link=link)


def _sketch(what: str) -> bytes:
    """A line drawing as a client might send it: four walls and an opening, or a row of beams."""
    picture, kept = Image.new("RGB", (1200, 900), (247, 244, 236)), io.BytesIO()
    pen, ink = ImageDraw.Draw(picture), (52, 58, 66)
    if what == "plan":
        pen.rectangle((140, 140, 1060, 760), outline=ink, width=10)
        pen.line((140, 470, 560, 470), fill=ink, width=8)
        pen.line((560, 470, 560, 300), fill=ink, width=8)
        pen.arc((780, 600, 1100, 920), 180, 270, fill=ink, width=4)
    else:
        pen.polygon(((100, 780), (600, 160), (1100, 780)), outline=ink, width=10)
        for height in (420, 560, 700):
            half = (height - 160) * 500 // 620
            pen.line((600 - half, height, 600 + half, height), fill=ink, width=14)
    picture.save(kept, "PNG", optimize=True)
    return kept.getvalue()
