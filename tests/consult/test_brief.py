"""The brief, who takes part, and notes with photos: each press, each refusal, and taking back."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from base.deeds import Gone, Refusal, Stale
from base.models import StoredFile
from base.uploads import photo
from consult.brief_kinds import PartyRole
from consult.brief_models import Brief, Note, NotePhoto, Party
from consult.models import Project, Room
from consult.services import brief as services
from consult.services import house, turns
from tests.conftest import all_of, one
from tests.consult.visiting import a_pdf, a_picture, sent
from tests.factories import a_project, a_room

pytestmark = pytest.mark.django_db


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


@pytest.fixture
def project(designer):
    return a_project(by=designer)


# --- the brief ------------------------------------------------------------------------------------
def test_a_brief_is_written_changed_and_taken_back(designer_client, designer, project):
    data = {
        "wishes": "Warm in the evening.", "budget_guide": "18.500,50",
        "first_fix_on": "2027-02-01", "second_fix_on": "2027-04-01",
    }  # fmt: skip
    designer_client.post(url("brief_change", project.pk), data)
    brief = Brief.objects.get()
    assert (brief.wishes, brief.budget_guide) == ("Warm in the evening.", Decimal("18500.50"))
    page = designer_client.get(url("brief", project.pk))
    assert "Warm in the evening." in page.content.decode()
    data = {**data, "wishes": "Warm, and a place to read.", "seen": brief.version}
    designer_client.post(url("brief_change", project.pk), data)
    assert Brief.objects.get().wishes == "Warm, and a place to read."
    turns.undo(by=designer, project=project)
    assert Brief.objects.get().wishes == "Warm in the evening."
    turns.undo(by=designer, project=project)
    assert not Brief.objects.exists()
    turns.redo(by=designer, project=project)
    assert Brief.objects.get().budget_guide == Decimal("18500.50")


def test_two_who_write_a_brief_see_both_values(designer_client, designer, project):
    first = services.brief_begin(by=designer, project=project, wishes="Hers")
    with pytest.raises(Stale):
        services.brief_begin(by=designer, project=project, wishes="His")
    services.brief_change(by=designer, brief=first, wishes="Hers, longer")
    page = designer_client.post(
        url("brief_change", project.pk), {"wishes": "His", "seen": first.version}
    )
    assert "Hers, longer" in one(page, "form .notice.look").text
    assert one(page, "#id_wishes").text == "His"
    assert Brief.objects.get().wishes == "Hers, longer"


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("budget_guide", "-1", "greater than or equal to 0"),
        ("budget_guide", "a lot", "Give a number"),
        ("budget_guide", "NaN", "Give a number"),
        ("first_fix_on", "in spring", "valid date"),
        ("second_fix_on", "2020-01-01", "before first fix"),
        ("wishes", "x" * 8001, "at most 8000"),
    ],
)
def test_an_absurd_brief_is_refused_at_its_field(designer_client, project, field, value, said):
    data = {"wishes": "W", "first_fix_on": "2027-02-01", field: value}
    page = designer_client.post(url("brief_change", project.pk), data)
    assert said in one(page, f"#id_{field}_error").text
    assert not Brief.objects.exists()


# --- who takes part -------------------------------------------------------------------------------
def test_there_is_a_role_for_each_who_takes_part():
    assert set(PartyRole.values) == {
        "client", "billed", "site-contact", "builder", "architect", "interior-designer",
        "electrician", "introducer",
    }  # fmt: skip


def test_somebody_takes_part_changes_and_goes(designer_client, designer, project):
    data = {"role": "electrician", "name": "Corin Vale", "phone": "01632 960 555"}
    designer_client.post(url("party_add", project.pk), data)
    party = Party.objects.get()
    assert "Corin Vale" in one(designer_client.get(url("brief", project.pk)), "main tbody").text
    data = {**data, "firm": "Vale & Daughter", "seen": party.version}
    designer_client.post(url("party_change", party.pk), data)
    assert Party.objects.get().firm == "Vale & Daughter"
    designer_client.post(url("party_remove", party.pk))
    assert not Party.objects.exists()
    turns.undo(by=designer, project=project)
    assert Party.objects.get().firm == "Vale & Daughter"


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("role", "jester", "not one of the available choices"),
        ("name", "", "required"),
        ("email", "nowhere", "valid email"),
    ],
)
def test_somebody_without_a_name_or_role_takes_no_part(
    designer_client, project, field, value, said
):
    data = {"role": "builder", "name": "Corin Vale", field: value}
    page = designer_client.post(url("party_add", project.pk), data)
    assert said in one(page, f"#id_{field}_error").text
    assert not Party.objects.exists()


# --- notes ----------------------------------------------------------------------------------------
def test_a_note_with_photos_is_kept_with_its_room(designer_client, designer, project):
    room = Room.objects.get(project=project)
    data = {
        "room": str(room.pk), "text": "Joists run across.",
        "taken": sent(a_picture(size=(80, 60)), "a.jpg", "image/jpeg"),
        "chosen": [sent(a_picture("PNG"), "b.png"), sent(a_picture("WEBP"), "c.webp")],
    }  # fmt: skip
    answer = designer_client.post(url("note_add", project.pk), data)
    assert answer["Location"] == url("room_notes", room.pk)
    note = Note.objects.get()
    assert (note.room, note.by, note.photos.count()) == (room, designer, 3)
    assert set(StoredFile.objects.values_list("media_type", flat=True)) == {"image/jpeg"}
    page = designer_client.get(url("room_notes", room.pk))
    assert len(all_of(page, ".photos img")) == 3
    assert all(image["alt"] for image in all_of(page, ".photos img"))


def test_a_photo_is_seen_by_people_who_work_here_only(client, designer_client, designer, project):
    note = services.note_add(by=designer, project=project, photos=[photo(a_picture())])
    address = reverse("base:file", args=[note.photos.get().file_id])
    assert designer_client.get(address).status_code == 200
    assert client.get(address).status_code == 302


def test_the_camera_opens_from_the_field(designer_client, project):
    page = designer_client.get(url("notes", project.pk))
    field = one(page, "#id_taken")
    assert (field["capture"], field["type"]) == ("environment", "file")
    assert "image/jpeg" in field["accept"]


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b"MZ\x90\0" + b"\0" * 64, "holiday.jpg", "neither"),
        (b"", "empty.jpg", "empty"),
        (a_pdf(), "plan.pdf", "Give a picture"),
        (b"\xff\xd8\xff" + b"\0" * 64, "torn.jpg", "damaged"),
        (b"\xff\xd8\xff" + b"\0" * (12 * 1024 * 1024), "long.jpg", "larger than 12 MB"),
        (b"\xff\xd8\xff" + b"\0" * (50 * 1024 * 1024), "longer.jpg", "larger than 40 MB"),
    ],
)
def test_a_bad_photo_is_refused_and_the_words_stay(designer_client, project, content, name, said):
    data = {"text": "Keep me.", "chosen": sent(content, name, "image/jpeg")}
    page = designer_client.post(url("note_add", project.pk), data)
    assert said in one(page, "#id_chosen_error").text
    assert one(page, "#id_text").text == "Keep me."
    assert not Note.objects.exists()
    assert not StoredFile.objects.exists()


def test_too_many_photos_and_an_empty_note_are_refused(designer_client, project):
    many = [sent(a_picture(), f"{n}.jpg") for n in range(services.MOST_PHOTOS + 1)]
    page = designer_client.post(url("note_add", project.pk), {"chosen": many})
    assert "at most" in one(page, "#id_chosen_error").text
    page = designer_client.post(url("note_add", project.pk), {"text": "  "})
    assert one(page, "#id_text_error").text
    assert not Note.objects.exists()


def test_a_note_is_changed_removed_and_taken_back(designer_client, designer, project):
    note = services.note_add(
        by=designer, project=project, text="Cill at 900", photos=[photo(a_picture())]
    )
    data = {"text": "Cill at 910", "seen": note.version}
    designer_client.post(url("note_change", note.pk), data)
    assert Note.objects.get().text == "Cill at 910"
    designer_client.post(url("note_remove", note.pk))
    assert not NotePhoto.objects.exists()
    turns.undo(by=designer, project=project)
    assert (Note.objects.get().text, NotePhoto.objects.count()) == ("Cill at 910", 1)


def test_a_room_goes_with_its_notes_and_comes_back_with_them(designer, project):
    room = a_room(by=designer, project=project, name="Store")
    services.note_add(
        by=designer, project=project, room=room, text="Damp", photos=[photo(a_picture())]
    )
    house.room_remove(by=designer, room=room)
    assert not Note.objects.exists()
    turns.undo(by=designer, project=project)
    assert Note.objects.get().room == room


def test_a_note_of_another_projects_room_is_refused(designer, project):
    stranger = Room.objects.get(project=a_project(by=designer))
    with pytest.raises(Refusal, match="another project"):
        services.note_add(by=designer, project=project, room=stranger, text="X")
    with pytest.raises(Refusal, match="photos at most"):
        services.note_add(by=designer, project=project, photos=[photo(a_picture())] * 9)


def test_a_note_that_is_gone_says_so(designer, project):
    note = services.note_add(by=designer, project=project, text="X")
    services.note_remove(by=designer, note=note)
    with pytest.raises(Gone):
        services.note_change(by=designer, note=note, text="Y")


# --- doors ----------------------------------------------------------------------------------------
PAGES = ["brief", "brief_change", "party_add", "notes"]
DEEDS = ["party_remove", "note_remove", "note_add"]


@pytest.mark.parametrize("name", PAGES)
def test_no_such_project_and_no_stranger(client, designer_client, project, name):
    assert designer_client.get(url(name, project.pk)).status_code == 200
    assert designer_client.get(url(name, uuid.uuid4())).status_code == 404
    assert client.get(url(name, project.pk)).status_code == 302


@pytest.mark.parametrize("name", DEEDS)
def test_a_deed_is_a_press_on_a_row_that_is_there(client, designer_client, name):
    assert designer_client.get(url(name, uuid.uuid4())).status_code == 405
    assert designer_client.post(url(name, uuid.uuid4())).status_code == 404
    assert client.post(url(name, uuid.uuid4())).status_code == 302


@pytest.mark.parametrize("name", ["party_change", "note_change", "room_notes"])
def test_no_such_row(designer_client, name):
    assert designer_client.get(url(name, uuid.uuid4())).status_code == 404


def test_the_pages_ask_the_same_however_much_there_is(designer_client, designer, project, queries):
    def fill(number):
        room = Room.objects.filter(project=project).first()
        for each in range(number):
            services.party_add(by=designer, project=project, role="builder", name=f"B {each}")
            shown = [photo(a_picture(colour=(each * 25, 10, 10)))]
            services.note_add(by=designer, project=project, room=room, text="N", photos=shown)

    fill(1)
    pages = [url("brief", project.pk), url("notes", project.pk)]
    few = [queries(lambda page=page: designer_client.get(page)) for page in pages]
    fill(9)
    assert [queries(lambda page=page: designer_client.get(page)) for page in pages] == few
    assert max(few) <= 20
    assert Project.objects.count() == 1
