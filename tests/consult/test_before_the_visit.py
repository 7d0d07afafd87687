"""Before the visit: the address and its rules, what a client tells, and taking it over."""

import datetime
import re
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from base.models import Business, StoredFile
from consult.brief_models import Brief, VisitFile, VisitLink, VisitOpening, VisitRoom, VisitSecret
from consult.models import Floor, JournalEntry, Project, Room
from consult.services import brief, turns
from consult.services import visits as services
from tests.conftest import all_of, one
from tests.consult.visiting import a_pdf, a_picture, a_visit_link, sent
from tests.factories import a_project

pytestmark = pytest.mark.django_db


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


@pytest.fixture
def project(designer):
    return a_project(by=designer)


@pytest.fixture
def link_and_secret(designer, project):
    return a_visit_link(by=designer, project=project)


@pytest.fixture
def link(link_and_secret):
    return link_and_secret[0]


@pytest.fixture
def secret(link_and_secret):
    return link_and_secret[1]


# --- the address ----------------------------------------------------------------------------------
def test_a_link_is_made_and_its_address_is_shown_once(designer_client, client, project):
    day = (timezone.localdate() + datetime.timedelta(days=3)).isoformat()
    key = str(uuid.uuid4())
    data = {"for_whom": "Ida Marrow", "day": day, "key": key}
    page = designer_client.post(url("visit_link_make", project.pk), data)
    assert "no-store" in page["Cache-Control"]
    address = one(page, "#address")["value"]
    secret = re.search(r"/v/([^/]+)/$", address)[1]
    assert len(secret) >= 43  # 256 bits in base64
    assert client.get(f"/v/{secret}/").status_code == 200
    assert secret not in str(list(VisitSecret.objects.values_list("digest", flat=True)))
    again = designer_client.post(url("visit_link_make", project.pk), data)
    assert not all_of(again, "#address")
    assert VisitLink.objects.count() == VisitSecret.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [("day", "2020-01-01", "from today"), ("day", "9999-01-01", "from today"),
     ("day", "soon", "valid date"), ("for_whom", "", "required")],
)  # fmt: skip
def test_a_link_without_an_end_or_a_name_is_not_made(designer_client, project, field, value, said):
    data = {"for_whom": "Ida", "day": timezone.localdate().isoformat(), field: value}
    page = designer_client.post(url("visit_link_make", project.pk), data)
    assert said in one(page, f"#id_{field}_error").text
    assert not VisitLink.objects.exists()


def test_a_page_behind_a_link_stays_out_of_indexes_and_of_referrers(client, secret):
    for path in (f"/v/{secret}/", "/v/wrong/"):
        answer = client.get(path)
        assert answer["Referrer-Policy"] == "no-referrer"
        assert "noindex" in answer["X-Robots-Tag"]
        assert "no-store" in answer["Cache-Control"]


POSTS = ["wishes/", "rooms/add/", "files/add/", "send/"]


@pytest.mark.parametrize("path", ["", "appointment.ics", *POSTS])
def test_a_wrong_address_finds_nothing(client, path):
    ask = client.post if path in POSTS else client.get
    answer = ask(f"/v/{services.new_secret()}/{path}")
    assert answer.status_code == 404


@pytest.mark.parametrize("path", ["", "appointment.ics", *POSTS])
@pytest.mark.parametrize("how", ["revoked", "over"])
def test_an_address_that_is_over_answers_410_and_changes_nothing(
    client, designer, link, secret, path, how
):
    if how == "revoked":
        services.visit_link_revoke(by=designer, link=link)
    else:
        past = timezone.now() - datetime.timedelta(seconds=1)
        VisitLink.objects.filter(pk=link.pk).update(expires_at=past)
    ask = client.post if path in POSTS else client.get
    answer = ask(f"/v/{secret}/{path}", {"name": "Hall", "use": "hall", "wishes": "x"})
    assert answer.status_code == 410
    assert link.project.name not in answer.content.decode()
    assert not VisitRoom.objects.exists()
    assert not VisitOpening.objects.exists()
    assert VisitLink.objects.get().wishes == ""


@pytest.mark.parametrize("path", POSTS)
def test_a_deed_behind_a_link_is_never_done_by_looking(client, secret, path):
    assert client.get(f"/v/{secret}/{path}").status_code == 405


def test_each_opening_is_counted_and_nothing_else_of_it_kept(client, designer_client, link, secret):
    for _time in range(3):
        client.get(f"/v/{secret}/")
    page = designer_client.get(url("brief", link.project_id))
    assert "opened 3 times" in one(page, "#before-visit").text
    assert {field.name for field in VisitOpening._meta.fields} == {"id", "link", "at"}


def test_another_address_is_made_where_one_was_lost(client, designer_client, link, secret):
    page = designer_client.post(url("visit_link_remake", link.pk))
    other = one(page, "#address")["value"].split("/")[-2]
    assert other != secret
    assert {client.get(f"/v/{each}/").status_code for each in (secret, other)} == {200}
    designer_client.post(url("visit_link_revoke", link.pk))
    assert {client.get(f"/v/{each}/").status_code for each in (secret, other)} == {410}
    answer = designer_client.post(url("visit_link_remake", link.pk), follow=True)
    assert "revoked" in one(answer, "#messages .notice.stop").text


def test_only_the_businesss_name_and_mark_are_shown(client, project, secret):
    Business.objects.update(name="Pell & Orrin")
    page = client.get(f"/v/{secret}/")
    html = page.content.decode()
    assert "Gloaming" not in html
    assert "Pell & Orrin" in one(page, ".site-header").text
    assert not all_of(page, ".site-header a")
    assert not all_of(page, ".site-nav")


def test_no_note_and_nothing_of_the_design_is_behind_the_link(client, designer, project, secret):
    room = Room.objects.get(project=project)
    brief.note_add(by=designer, project=project, room=room, text="Haggles about everything")
    brief.brief_begin(by=designer, project=project, wishes="Ours", budget_guide=31337)
    brief.party_add(by=designer, project=project, role="introducer", name="Secret Friend")
    Project.objects.filter(pk=project.pk).update(idea="Our idea")
    html = client.get(f"/v/{secret}/").content.decode()
    for private in ("Haggles", "Ours", "31337", "31,337", "Secret Friend", "Our idea", room.name):
        assert private not in html


# --- what the client tells ------------------------------------------------------------------------
def test_a_client_names_rooms_and_wishes_and_comes_back(client, link, secret):
    client.post(f"/v/{secret}/wishes/", {"wishes": "No glare on the piano."})
    for name in ("Music room", "Landing"):
        data = {"name": name, "use": "living", "wish": "Soft"}
        answer = client.post(f"/v/{secret}/rooms/add/", data)
        assert answer["Location"] == f"/v/{secret}/"
    page = client.get(f"/v/{secret}/")
    assert one(page, "#id_wishes").text == "No glare on the piano."
    assert len(all_of(page, "#rooms .choice-row")) == 2
    room = VisitRoom.objects.get(name="Landing")
    client.post(f"/v/{secret}/rooms/{room.pk}/remove/")
    assert [each.name for each in link.rooms.all()] == ["Music room"]
    assert JournalEntry.objects.filter(title__startswith="visit").count() == 0


def test_plans_and_photos_are_kept_with_their_pages(client, link, secret):
    files = [sent(a_pdf(3), "ground.pdf"), sent(a_picture(), "hall.jpg", "image/jpeg")]
    client.post(f"/v/{secret}/files/add/", {"kind": "plan", "files": files})
    kept = {each.name: each for each in link.files.all()}
    assert kept["ground.pdf"].pages == 3
    assert kept["hall.jpg"].pages is None
    page = client.get(f"/v/{secret}/")
    assert "3 pages" in one(page, "#files").text
    client.post(f"/v/{secret}/files/{kept['ground.pdf'].pk}/remove/")
    assert [each.name for each in link.files.all()] == ["hall.jpg"]


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b"MZ\x90\0" + b"\0" * 64, "plan.pdf", "neither"),
        (b"<html><script>1</script></html>", "photo.jpg", "neither"),
        (b"%PDF-1.4 nothing", "plan.pdf", "no pages"),
        (a_pdf(61), "book.pdf", "61 pages"),
        (a_pdf(password="x"), "locked.pdf", "password"),
        (b"%PDF-1.4" + b"\0" * (50 * 1024 * 1024), "long.pdf", "larger than 40 MB"),
    ],
)
def test_a_hostile_file_is_refused_in_plain_words(client, secret, content, name, said):
    data = {"kind": "plan", "files": [sent(a_picture(), "fine.jpg"), sent(content, name)]}
    page = client.post(f"/v/{secret}/files/add/", data)
    assert page.status_code == 200
    told = one(page, "#id_files_error").text
    assert said in told
    assert name in told
    assert not VisitFile.objects.exists()
    assert not StoredFile.objects.exists()


def test_no_file_at_all_is_told(client, secret):
    page = client.post(f"/v/{secret}/files/add/", {"kind": "plan"})
    assert "at least one" in one(page, "#id_files_error").text


def test_a_name_with_markup_or_a_path_is_only_a_name(client, link, secret):
    name = "../../<script>alert(1)</script>.pdf"
    client.post(f"/v/{secret}/files/add/", {"kind": "plan", "files": sent(a_pdf(), name)})
    assert "/" not in link.files.get().name
    assert "<script>alert" not in client.get(f"/v/{secret}/").content.decode()
    assert ".." not in StoredFile.objects.get().file.name


def test_a_limit_on_number_and_on_weight_holds(client, link, secret, monkeypatch):
    monkeypatch.setattr(services, "MOST_FILES", 2)
    for number in range(3):
        data = {
            "kind": "photo",
            "files": sent(a_picture(colour=(number * 70, 0, 0)), f"{number}.jpg"),
        }
        page = client.post(f"/v/{secret}/files/add/", data)
    assert "2 files at most" in one(page, "#files [role=alert]").text
    assert link.files.count() == 2
    monkeypatch.setattr(services, "MOST_FILES", 20)
    monkeypatch.setattr(services, "MOST_BYTES", 1000)
    data = {"kind": "photo", "files": sent(a_picture(colour=(9, 9, 9), size=(400, 300)), "9.jpg")}
    page = client.post(f"/v/{secret}/files/add/", data)
    assert "MB at most" in one(page, "#files [role=alert]").text
    assert link.files.count() == 2


def test_what_is_far_too_long_is_not_taken_in(client, secret):
    answer = client.post(f"/v/{secret}/files/add/", {}, CONTENT_LENGTH=str(200 * 1024 * 1024))
    assert answer.status_code == 413
    assert "larger than 100 MB" in answer.content.decode()


def test_the_same_file_twice_is_kept_once(client, link, secret):
    plan = a_pdf()
    for _time in range(2):
        client.post(f"/v/{secret}/files/add/", {"kind": "plan", "files": sent(plan, "a.pdf")})
    assert link.files.count() == 1


@pytest.mark.parametrize(
    ("data", "field", "said"),
    [
        ({"name": "", "use": "living"}, "name", "required"),
        ({"name": "x" * 81, "use": "living"}, "name", "at most 80"),
        ({"name": "Hall", "use": "dungeon"}, "use", "not one of"),
        ({"name": "Hall", "use": "hall", "wish": "x" * 601}, "wish", "at most 600"),
    ],
)
def test_a_room_that_is_none_is_refused_at_its_field(client, secret, data, field, said):
    page = client.post(f"/v/{secret}/rooms/add/", data)
    assert said in one(page, f"#id_{field}_error").text
    assert not VisitRoom.objects.exists()


def test_a_room_twice_and_too_many_rooms_are_refused(client, link, secret, monkeypatch):
    monkeypatch.setattr(services, "MOST_ROOMS", 1)
    client.post(f"/v/{secret}/rooms/add/", {"name": "Hall", "use": "hall"})
    page = client.post(f"/v/{secret}/rooms/add/", {"name": "hall", "use": "hall"})
    assert "already" in one(page, "#rooms [role=alert]").text
    page = client.post(f"/v/{secret}/rooms/add/", {"name": "Attic", "use": "other"})
    assert "at most" in one(page, "#rooms [role=alert]").text
    assert link.rooms.count() == 1


def test_nothing_is_not_sent(client, link, secret):
    page = client.post(f"/v/{secret}/send/", follow=True)
    assert "nothing to send" in one(page, "#messages .notice.stop").text
    assert VisitLink.objects.get().sent_at is None


def test_a_client_reaches_no_rows_of_another_link(client, designer, project, link, secret):
    other, _secret = a_visit_link(by=designer, project=a_project(by=designer))
    room = services.visit_room_add(link=other, name="Theirs", use="hall")
    assert client.post(f"/v/{secret}/rooms/{room.pk}/remove/").status_code == 404
    assert client.post(f"/v/{secret}/files/{uuid.uuid4()}/remove/").status_code == 404
    assert other.rooms.count() == 1


def test_a_deed_checks_the_address_again(designer, link):
    services.visit_link_revoke(by=designer, link=link)
    with pytest.raises(Refusal, match="works no more"):
        services.visit_wishes_write(link=link, wishes="Late")
    with pytest.raises(Refusal, match="works no more"):
        services.visit_send(link=link)
    with pytest.raises(Refusal, match="to come"):
        services.visit_link_make(
            by=designer, project=link.project, for_whom="X", until=timezone.now(), secret="x"
        )


# --- taking over ----------------------------------------------------------------------------------
@pytest.fixture
def told(link):
    services.visit_wishes_write(link=link, wishes="No glare on the piano.")
    services.visit_room_add(link=link, name="Music room", use="living", wish="Piano lamp")
    services.visit_room_add(link=link, name="ROOM 1", use="living")  # there already
    services.visit_room_add(link=link, name="Landing", use="hall")
    services.visit_send(link=link)
    return link


def test_rooms_are_taken_over_in_one_press_and_taken_back_in_one(
    designer_client, designer, project, told
):
    page = designer_client.get(url("visit_answers", told.pk))
    assert one(page, ".button.next").text == "Take over 2 rooms"
    answer = designer_client.post(url("visit_take_over", told.pk))
    assert answer["Location"] == project.get_absolute_url()
    rooms = {room.name: room for room in Room.objects.filter(project=project)}
    assert set(rooms) == {"Room 1", "Music room", "Landing"}
    assert (rooms["Music room"].use, rooms["Music room"].note) == ("living", "Piano lamp")
    assert rooms["Landing"].number == 3
    assert Floor.objects.get(project=project).last_room_number == 3
    assert Brief.objects.get().wishes == "No glare on the piano."
    assert JournalEntry.objects.filter(project=project, title="visit_take_over").count() == 1
    turns.undo(by=designer, project=project)
    assert list(Room.objects.filter(project=project).values_list("name", flat=True)) == ["Room 1"]
    assert not Brief.objects.exists()


def test_a_second_press_takes_nothing_twice(designer_client, designer, project, told):
    services.visit_take_over(by=designer, link=told)
    page = designer_client.post(url("visit_take_over", told.pk), follow=True)
    assert "in the project already" in one(page, "#messages .notice.stop").text
    assert Room.objects.filter(project=project).count() == 3


def test_what_a_colleague_wrote_in_the_brief_stays(designer, project, told):
    brief.brief_begin(by=designer, project=project, wishes="As she said at the door")
    services.visit_take_over(by=designer, link=told)
    assert Brief.objects.get().wishes == "As she said at the door"


def test_what_was_sent_waits_until_looked_at_and_again_when_sent_again(
    client, designer_client, secret, told
):
    assert VisitLink.objects.came_in().count() == 1
    designer_client.post(url("visit_settle", told.pk))
    assert VisitLink.objects.came_in().count() == 0
    client.post(f"/v/{secret}/send/")
    assert VisitLink.objects.came_in().count() == 1


def test_files_of_a_client_are_for_people_who_work_here(client, designer_client, link, secret):
    files = [sent(a_pdf(2), "ground.pdf"), sent(a_picture(), "hall.jpg")]
    client.post(f"/v/{secret}/files/add/", {"kind": "photo", "files": files})
    page = designer_client.get(url("visit_answers", link.pk))
    addresses = {each["href"] for each in all_of(page, ".photos a, a.choice-row")}
    assert len(addresses) == 2
    for address in addresses:
        assert designer_client.get(address).status_code == 200
        assert client.get(address).status_code == 302


DEEDS = ["visit_link_remake", "visit_link_revoke", "visit_take_over", "visit_settle"]


@pytest.mark.parametrize("name", [*DEEDS, "visit_link_make"])
def test_a_deed_is_a_press_by_somebody_who_works_here(client, designer_client, link, name):
    row = link.project_id if name == "visit_link_make" else link.pk
    assert designer_client.get(url(name, row)).status_code == 405
    assert designer_client.post(url(name, uuid.uuid4())).status_code == 404
    assert client.post(url(name, row)).status_code == 302
    assert VisitLink.objects.get().revoked_at is None


def test_pages_ask_the_same_however_much_was_told(
    client, designer_client, designer, project, link, secret, queries
):
    def tell(numbers):
        for number in numbers:
            services.visit_room_add(link=link, name=f"Named {number}", use="hall")
            data = {
                "kind": "photo",
                "files": sent(a_picture(colour=(number * 20, 1, 1)), f"{number}.jpg"),
            }
            client.post(f"/v/{secret}/files/add/", data)
            services.note_opening(link)

    tell(range(1, 3))
    asks = [
        lambda: client.get(f"/v/{secret}/"),
        lambda: designer_client.get(url("visit_answers", link.pk)),
        lambda: designer_client.get(url("brief", project.pk)),
    ]
    for ask in asks:
        ask()
    few = [queries(ask) for ask in asks]
    tell(range(3, 12))
    assert [queries(ask) for ask in asks] == few
    assert max(few) <= 20
