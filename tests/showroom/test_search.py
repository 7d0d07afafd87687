"""One field over clients, projects, rooms, quotes and products."""

import pytest

from catalogue import search as catalogue
from consult.models import Client, ClientPerson, Project, Room
from quoting.models import Quote
from showroom import search
from tests.conftest import all_of, one
from tests.factories import ClientFactory, PersonFactory, a_product, a_project, a_quote

pytestmark = pytest.mark.django_db


def titles(words, user):
    return {
        str(kind.title): [hit.title for hit in kind.hits]
        for kind in search.find(words, user=user).kinds
    }


@pytest.fixture
def house(designer):
    """A project, its client with a person, a room, a quote and a product that are easy to tell."""
    quote = a_quote(by=designer)
    project = quote.project
    Project.objects.filter(pk=project.pk).update(name="Cormorant Wharf", site_address="12 Tar Lane")
    Client.objects.filter(pk=project.client_id).update(name="Household Pell", phone="01632 960 999")
    ClientPerson.objects.create(client=project.client, name="Ottoline Pell")
    Room.objects.filter(project=project).update(name="Sail room")
    Quote.objects.filter(pk=quote.pk).update(title="Whole wharf", number="Q-2077")
    a_product(name="Gimballed binnacle lamp", reference="BN-4410")
    return project


@pytest.mark.parametrize(
    ("words", "kind", "title"),
    [
        ("cormorant", "Projects", "Cormorant Wharf"),
        ("tar lane", "Projects", "Cormorant Wharf"),
        ("pell cormorant", "Projects", "Cormorant Wharf"),
        ("household", "Clients", "Household Pell"),
        ("960 999", "Clients", "Household Pell"),
        ("ottoline", "Clients", "Household Pell"),
        ("sail", "Rooms", "Sail room"),
        ("sail wharf", "Rooms", "Sail room"),
        ("q-2077", "Quotes", "Q-2077 Whole wharf"),
        ("binnacle", "Products", "Gimballed binnacle lamp"),
        ("bn-4410", "Products", "Gimballed binnacle lamp"),
        ("binacle", "Products", "Gimballed binnacle lamp"),  # a slip of the finger
    ],
)
def test_each_kind_is_found_by_any_of_its_words(house, designer, words, kind, title):
    assert titles(words, designer)[kind] == [title]


@pytest.mark.parametrize(
    "words",
    ["", "   ", "zzzqqq", "cormorant zzzqqq", "%", "_", "' OR 1=1 --", "\x00", "💡", "שלום",
     "<b>", "x" * 10_000, "word " * 5_000, "\\", "q-2077'"],
)  # fmt: skip
def test_what_is_nowhere_finds_nothing_and_breaks_nothing(house, designer, designer_client, words):
    found = titles(words, designer)
    assert "Projects" not in found
    assert "Quotes" not in found
    page = designer_client.get("/search/", {"q": words})
    assert page.status_code == 200
    assert not all_of(page, "#found b")


def test_a_household_of_several_is_found_once(house, designer):
    for name in ("Ann Pell", "Bea Pell"):
        ClientPerson.objects.create(client=house.client, name=name)
    assert titles("pell", designer)["Clients"] == ["Household Pell"]


def test_the_library_of_patterns_is_no_project(house, designer):
    Project.objects.filter(pk=house.pk).update(is_library=True)
    assert "Projects" not in titles("cormorant", designer)
    assert "Rooms" not in titles("sail", designer)


def test_more_than_are_shown_are_all_a_press_away(designer, designer_client):
    for _each in range(search.EACH + 1):
        ClientFactory(name="Household Marrow & Sons")
    page = designer_client.get("/search/", {"q": "marrow & sons"})
    assert len(all_of(page, "#found .choice-row")) == search.EACH
    onward = one(page, "#found .section-head a")["href"]
    assert len(all_of(designer_client.get(onward), "main .choices li")) == search.EACH + 1


def test_the_words_taken_for_a_slip_are_told(house, designer_client):
    page = designer_client.get("/search/", {"q": "binacle"})
    assert "binnacle" in one(page, "#found > p").text


def test_the_page_works_without_javascript_and_its_region_by_itself(house, designer_client):
    page = designer_client.get("/search/", {"q": "cormorant"})
    assert one(page, "#find-all")["value"] == "cormorant"
    assert one(page, "form.line-in")["action"] == "/search/"
    region = designer_client.get("/search/", {"q": "cormorant"}, headers={"HX-Request": "true"})
    assert "<html" not in region.content.decode()
    assert one(region, "#found").text == one(page, "#found").text
    assert "HX-Request" in region["Vary"]


def test_every_hit_opens_its_place(house, designer_client):
    for words in ("cormorant", "household", "sail", "q-2077", "binnacle"):
        page = designer_client.get("/search/", {"q": words})
        for hit in all_of(page, "#found .choice-row"):
            assert designer_client.get(hit["href"]).status_code == 200, hit["href"]


def test_no_cost_and_no_price_is_on_the_page(house, designer_client):
    a_product(name="Binnacle bracket", cost="77.13", sell="154.91")
    html = designer_client.get("/search/", {"q": "binnacle"}).content.decode()
    assert "bracket" in html
    assert "77.13" not in html
    assert "154.91" not in html


def test_the_field_stands_on_every_page_for_people_who_work_here(client, designer_client, house):
    page = designer_client.get("/projects/")
    assert one(page, "header form[role=search]")["action"] == "/search/"
    assert one(page, "header input[type=search]")["name"] == "q"
    assert client.get("/search/", {"q": "cormorant"}).status_code == 302


def test_somebody_who_left_finds_nothing(house):
    left = PersonFactory(is_active=False)
    assert search.find("cormorant", user=left).kinds == ()


def test_it_is_never_done_by_a_press(designer_client):
    assert designer_client.post("/search/").status_code == 405


def test_it_asks_the_same_however_much_is_found(designer, designer_client, queries):
    def more(number):
        for _each in range(number):
            a_project(by=designer)
            a_product(name="Granary pendant")

    more(1)
    few = queries(lambda: designer_client.get("/search/", {"q": "granary"}))
    more(12)
    assert queries(lambda: designer_client.get("/search/", {"q": "granary"})) == few
    assert few <= 20
    assert catalogue.search("granary").ids
