"""Pictures of rooms in an issue: drawn before it, frozen by digest, seen only through the link."""

import io
from decimal import Decimal

import numpy as np
import pikepdf
import pytest
from django.core.cache import caches
from django.test import Client
from django.urls import reverse
from PIL import Image

from base.models import StoredFile
from consult.derived import read_house
from consult.light import for_client
from consult.models import Circuit, Project, Room
from consult.services import scenes
from quoting import documents
from quoting.issued import read_offer
from quoting.models import Revision
from quoting.services import links, quotes
from quoting.verifying import flaws_of
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_circuit, a_quote, a_room

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_drawn():
    caches["drawn"].clear()


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def quote(by):
    """A living room with the scenes Evening and Read, and a store without size or light."""
    quote = a_quote(by=by)
    room = Room.objects.get(project=quote.project)
    levels = dict.fromkeys(Circuit.objects.filter(room=room), 90)
    scenes.scene_add(by=by, project=quote.project, group=room.group, name="Read", levels=levels)
    store = a_room(by=by, project=Project.objects.get(pk=quote.project_id), name="Store")
    a_circuit(by=by, room=store)
    return quote


def issued(by, quote):
    for_client.draw_missing(read_house(quote.project), patience_s=None)
    return quotes.quote_issue(by=by, quote=quote)


def images(pdf):
    """How many images a PDF holds; what makes one see-through counts with it."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        kept = [each for each in opened.objects if isinstance(each, pikepdf.Stream)]
        return sum(each.get("/Subtype") == "/Image" for each in kept)


def address(secret, name="offer", *more):
    return reverse(f"quoting:{name}", args=[secret, *more])


def a_secret(by, revision, audience="client"):
    secret = links.new_secret()
    links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=secret, audience=audience
    )
    return secret


def test_an_issue_freezes_each_room_in_its_scenes(by, quote):
    revision = issued(by, quote)
    lit, store = read_offer(revision).rooms
    assert lit.picture_names == ("Evening", "Read")
    assert (store.pictures, store.picture_names) == ((), ())
    shown = [
        np.asarray(Image.open(StoredFile.objects.get(sha256=each).file)) for each in lit.pictures
    ]
    assert shown[0].shape[1] == 720
    assert shown[0].mean() < shown[1].mean()  # 40 % against 90 %
    assert flaws_of(revision, previous=None) == ()


def test_what_is_not_drawn_yet_keeps_no_issue_waiting(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    assert [room.pictures for room in read_offer(revision).rooms] == [(), ()]
    assert documents.proposal_pdf(revision)


def test_a_picture_of_a_design_that_has_moved_is_not_taken(by, quote):
    for_client.draw_missing(read_house(quote.project), patience_s=None)
    Room.objects.filter(name="Room 1").update(length_m=Decimal("5.5"))
    revision = quotes.quote_issue(by=by, quote=quote)
    assert read_offer(revision).rooms[0].pictures == ()


def test_drawing_ends_with_its_time_and_goes_on_where_it_ended(by, quote):
    house = read_house(quote.project)
    ticks = iter([0.0, 1.0, 9.0])
    assert for_client.draw_missing(house, patience_s=5.0, clock=lambda: next(ticks)) == 1
    assert [each.at_hand() is not None for each in for_client.wanted(house)] == [True, False]
    assert for_client.draw_missing(house) == 0


def test_the_first_picture_of_a_room_plays_most_of_its_circuits(by, quote):
    room = Room.objects.get(name="Room 1")
    extra = a_circuit(by=by, room=room, name="Shelf")
    rich = scenes.scene_add(
        by=by, project=Project.objects.get(pk=quote.project_id), group=room.group, name="Supper",
        levels=dict.fromkeys(Circuit.objects.filter(room=room), 30),
    )  # fmt: skip
    assert extra in Circuit.objects.filter(room=room)
    first = for_client.wanted(read_house(quote.project))[0]
    assert first.name == rich.name


def test_pressing_for_an_issue_draws_first(designer_client, quote):
    designer_client.post(reverse("quoting:quote_issue", args=[quote.pk]))
    assert len(read_offer(Revision.objects.get()).rooms[0].pictures) == 2


def test_the_client_sees_the_room_through_the_link_alone(by, quote):
    revision = issued(by, quote)
    secret, wired = a_secret(by, revision), a_secret(by, revision, "electrician")
    web = Client()
    shown = all_of(web.get(address(secret)), ".pictures img")
    assert [each["alt"] for each in shown] == [
        "Room 1 as worked out in the scene Evening; an estimate",
        "Room 1 as worked out in the scene Read; an estimate",
    ]
    sha256 = read_offer(revision).rooms[0].pictures[0]
    assert shown[0]["src"] == address(secret, "offer_picture", sha256)
    given = web.get(shown[0]["src"])
    assert (given.status_code, given["Content-Type"]) == (200, "image/png")
    assert "Estimate" in one(web.get(address(secret)), ".room-main > .pictures + p").text
    assert web.get(address(wired, "offer_picture", sha256)).status_code == 404
    assert web.get(address("x" * 43, "offer_picture", sha256)).status_code == 404
    kept = StoredFile.objects.get(sha256=sha256)
    assert web.get(reverse("base:file", args=[kept.pk])).status_code == 302


def test_the_proposal_shows_the_rooms_and_says_that_they_are_estimates(by, quote):
    plain = documents.proposal_pdf(quotes.quote_issue(by=by, quote=quote))
    quotes.quote_revise(by=by, quote=quote)
    furnished = documents.proposal_pdf(issued(by, quote))
    assert (images(plain), images(furnished)) == (0, 2)


@pytest.mark.parametrize(
    ("harm", "code"), [("lost", "picture_missing"), ("other", "picture_differs")]
)
def test_a_picture_lost_or_changed_is_found(by, quote, harm, code):
    revision = issued(by, quote)
    sha256 = read_offer(revision).rooms[0].pictures[1]
    kept = StoredFile.objects.get(sha256=sha256).file
    if harm == "lost":
        kept.storage.delete(kept.name)
    else:
        with kept.storage.open(kept.name, "wb") as file:
            file.write(b"\x89PNG\r\n\x1a\n of another room")
    assert [(flaw.code, flaw.where) for flaw in flaws_of(revision, previous=None)] == [
        (code, sha256[:12])
    ]


def the_region(client, quote):
    return client.get(reverse("consult:pictures_ready", args=[quote.project_id])).content.decode()


def test_the_quote_says_how_many_pictures_are_ready(designer_client, by, quote):
    page = designer_client.get(quote.get_absolute_url())
    asks = one(page, "#pictures-ready").get("hx-get")
    assert asks == reverse("consult:pictures_ready", args=[quote.project_id])
    assert "0 of 2 pictures are ready" in the_region(designer_client, quote)
    times = iter([0.0, 0.0, 99.0])
    left = for_client.draw_missing(
        read_house(quote.project), patience_s=5, clock=lambda: next(times)
    )
    assert left == 1
    said = the_region(designer_client, quote)
    assert "1 of 2 pictures are ready" in said
    assert "left out of it" in said
    for_client.draw_missing(read_house(quote.project), patience_s=None)
    assert "All 2 pictures are ready" in the_region(designer_client, quote)


def test_a_changed_design_has_its_pictures_to_be_drawn_again(designer_client, by, quote):
    for_client.draw_missing(read_house(quote.project), patience_s=None)
    room = Room.objects.get(name="Room 1")
    Room.objects.filter(pk=room.pk).update(walls_reflectance=Decimal("0.8"))
    assert "0 of 2 pictures are ready" in the_region(designer_client, quote)


def test_a_house_without_light_says_that_there_are_no_pictures(designer_client, by, quote):
    Room.objects.update(length_m=None)
    assert "no room has both" in the_region(designer_client, quote)


def test_an_issued_quote_says_nothing_of_pictures_to_come(designer_client, by, quote):
    issued(by, quote)
    page = designer_client.get(quote.get_absolute_url())
    assert all_of(page, "#pictures-ready") == []
