"""The quick line on the room sheet: read as it is typed, made into a circuit, asked where unsure."""

import uuid

import pytest
from django.urls import reverse

from catalogue.models import Feed
from consult.models import Circuit, CircuitFitting, JournalEntry, Room
from consult.services import circuits
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_product, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def room(by):
    return Room.objects.get(project=a_project(by=by))


def add(staff, room, line, **more):
    return staff.post(
        reverse("consult:quick_add", args=[room.pk]),
        {"line": line, **more},
        headers={"HX-Request": "true"},
    )


def read(staff, room, line, **more):
    return staff.get(reverse("consult:quick_read", args=[room.pk]), {"line": line, **more})


def made():
    return Circuit.objects.exclude(name="Ceiling").get()


@pytest.fixture
def tilting():
    return a_product(name="Tilting downlight", watts="9.4", feed={"cct_k": 2700, "beam_deg": 36})


def test_a_sure_line_makes_circuit_and_fitting_in_one_act(staff, room, tilting):
    acts = JournalEntry.objects.count()
    answer = add(staff, room, "6 tilting downlight 9w dim accent")
    row = made().fittings.get()
    assert (made().layer, made().load_kind) == ("accent", "phase-dimmed")
    assert (row.product, row.pieces) == (tilting, 6)
    assert JournalEntry.objects.count() == acts + 1
    assert "design-changed" in answer["HX-Trigger"]
    assert made().code in answer.content.decode()


def test_what_is_unsure_is_asked_and_nothing_is_written(staff, room, tilting):
    answer = add(staff, room, "6 tilting downlight")  # how it is driven is not said
    assert answer["HX-Retarget"] == "#quick"
    assert [each["value"] for each in all_of(answer, "input[type=radio][name=load_kind]")] == [
        "phase-dimmed", "switched",
    ]  # fmt: skip
    assert one(answer, "#quick-line")["value"] == "6 tilting downlight"
    assert not Circuit.objects.exclude(name="Ceiling").exists()


def test_a_choice_made_is_taken(staff, room, tilting):
    line = "6 tilting downlight"
    add(staff, room, line, read=line, product=str(tilting.pk), load_kind="switched")
    assert made().load_kind == "switched"


def test_choices_of_other_words_are_not_taken(staff, room, tilting):
    add(staff, room, "7 tilting downlight", read="6 tilting downlight", load_kind="switched")
    assert not Circuit.objects.exclude(name="Ceiling").exists()


def test_figures_tell_one_product_from_another(staff, room, tilting):
    a_product(name="Tilting downlight, strong", watts="14", feed={"cct_k": 3000})
    add(staff, room, "2 tilting downlight 14w dim")
    assert made().fittings.get().product.name == "Tilting downlight, strong"


def test_two_products_that_fit_are_both_offered(staff, room, tilting):
    other = a_product(name="Tilting downlight, bronze", watts="9.4")
    answer = add(staff, room, "2 tilting downlight dim")
    offered = [each["value"] for each in all_of(answer, "input[name=product][type=radio]")]
    assert {str(tilting.pk), str(other.pk)} <= set(offered)


def test_a_slip_of_the_finger_is_offered_not_taken(staff, room, tilting):
    answer = add(staff, room, "2 tliting downlight dim")
    assert not Circuit.objects.exclude(name="Ceiling").exists()
    assert str(tilting.pk) in answer.content.decode()


def test_what_the_catalogue_does_not_have_may_become_a_placeholder(staff, room):
    line = "1 zeppelin 40w"
    answer = add(staff, room, line)
    assert "a placeholder: Zeppelin" in answer.content.decode()
    add(staff, room, line, read=line, product="none", layer="decorative", load_kind="switched")
    row = made().fittings.get()
    assert (row.placeholder, row.placeholder_w) == ("Zeppelin", 40)


def test_each_side_takes_the_number_that_was_picked(staff, room, tilting):
    line = "2x tilting downlight dim each side"
    answer = add(staff, room, line)
    assert [each["value"] for each in all_of(answer, "input[name=pieces][type=radio]")] == [
        "2",
        "4",
    ]
    add(staff, room, line, read=line, pieces="4", product=str(tilting.pk))
    assert made().fittings.get().pieces == 4


def test_a_number_that_was_not_offered_is_not_taken(staff, room, tilting):
    line = "2x tilting downlight dim each side"
    add(staff, room, line, read=line, pieces="900", product=str(tilting.pk))
    assert made().fittings.get().pieces == 2


def test_what_is_sold_by_the_metre_asks_for_its_length(staff, room):
    a_product(name="Soft tape", kind="tape", unit="metre", load_kinds=("dc-white",))
    assert "4.2m" in add(staff, room, "soft tape night").content.decode()
    add(staff, room, "4,2 m soft tape under shelf night")
    row = made().fittings.get()
    assert (made().name, made().layer, str(row.length_m)) == (
        "Soft tape under shelf", "night", "4.200",
    )  # fmt: skip


@pytest.mark.parametrize(
    "line",
    ["", "6", "🙂", "a" * 10_000, "<script>alert(1)</script> " * 40, "0 downlight", "مصباح " * 60],
)
def test_what_cannot_be_read_is_answered_kindly_and_stays(staff, room, line):
    answer = add(staff, room, line)
    assert answer.status_code == 200
    assert one(answer, "#quick-line")["value"] == line
    assert one(answer, "#quick-reading [role=alert]").text
    assert Circuit.objects.count() == 1


def test_markup_stays_text(staff, room):
    html = add(staff, room, '6 <script>alert("x")</script> downlight').content.decode()
    assert "<script>alert" not in html


def test_reading_writes_nothing_and_says_what_it_read(staff, room, tilting):
    answer = read(staff, room, "6 tilting downlight dim")
    assert "6 ×" in one(answer, ".read-as").text
    assert Circuit.objects.count() == 1


def test_the_same_line_sent_twice_makes_one_circuit(staff, room, tilting):
    key = str(uuid.uuid4())
    for _again in range(2):
        add(staff, room, "6 tilting downlight dim", key=key)
    assert Circuit.objects.count() == 2


def test_nobody_else_reads_or_adds(client, room):
    assert client.get(reverse("consult:quick_read", args=[room.pk])).status_code == 302
    assert client.post(reverse("consult:quick_add", args=[room.pk])).status_code == 302


def test_no_such_room_and_the_wrong_method(staff, room):
    assert staff.get(reverse("consult:quick_add", args=[room.pk])).status_code == 405
    assert staff.post(reverse("consult:quick_add", args=[uuid.uuid4()])).status_code == 404


def products_offered(staff, room, line):
    answer = read(staff, room, line)
    return [each["value"] for each in all_of(answer, "[name=product]")]


def test_how_it_is_driven_tells_one_product_from_another(staff, room):
    a_product(name="Linear light, switched", load_kinds=("switched",))
    dimmed = a_product(name="Linear light, dimmed", load_kinds=("analogue-dimmed",))
    assert products_offered(staff, room, "3 linear light analogue task") == [str(dimmed.pk)]
    add(staff, room, "3 linear light analogue task")
    assert made().fittings.get().product == dimmed


def test_a_word_for_how_it_is_driven_need_not_stand_in_the_name(staff, room):
    washer = a_product(name="Wall-washing downlight", load_kinds=("digital-dimmed",))
    a_product(name="Downlight on a digital pair", load_kinds=("digital-dimmed",))
    add(staff, room, "3 wall-washing downlights digital accent")
    assert made().fittings.get().product == washer


def test_what_does_something_is_found_by_what_it_does(staff, room):
    warms = a_product(name="Downlight that warms as it dims")
    assert products_offered(staff, room, "4 warming downlights dim") == [str(warms.pk)]


def test_the_last_word_is_the_thing_where_the_others_only_tell_where(staff, room):
    a_product(name="Sealed spotlight, splash proof")
    blind = a_product(name="Roller blind motor", kind="blind", load_kinds=("motor",))
    line = "roof window blind"
    assert products_offered(staff, room, line) == [str(blind.pk), "none"]
    add(staff, room, line, read=line, product=str(blind.pk))
    assert (made().name, made().layer) == ("Roof window blind", "ambient")


@pytest.fixture
def up_and_down(by, room):
    """Wall lights whose part that shines down hangs on a circuit already."""
    product = a_product(name="Wall light up and down", feed={"name": "down"})
    Feed.objects.create(product=product, number=2, name="up", watts=5, load_kinds=["switched"])
    circuit = Circuit.objects.get(room=room)
    return circuits.fitting_add(by=by, circuit=circuit, product=product, pieces=4)


def test_another_circuit_feeds_the_other_part_of_the_same_pieces(staff, room, up_and_down):
    code = up_and_down.circuit.code
    answer = add(staff, room, f"same pieces as {code.lower()} night")
    assert "design-changed" in answer["HX-Trigger"]
    row = made().fittings.get()
    assert (row.same_pieces_as, row.feed.name, row.pieces) == (up_and_down, "up", 4)
    assert (made().layer, made().load_kind) == ("night", "switched")
    assert made().name.endswith(", up")
    again = add(staff, room, f"same pieces as {code} night")
    assert "Each part of those pieces is fed already" in again.content.decode()


def test_a_part_is_named_by_its_word_and_the_circuit_by_its_number(staff, room, up_and_down):
    Feed.objects.create(
        product=up_and_down.product, number=3, name="side", load_kinds=["phase-dimmed"]
    )
    number = up_and_down.circuit.number
    asked = read(staff, room, f"same as {number} accent")
    assert len(all_of(asked, "input[type=radio][name=feed]")) == 2
    add(staff, room, f"same as {number} side accent")
    assert made().fittings.get().feed.name == "side"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("same pieces as Z99.9 night", "No circuit by that code"),
        ("6 same pieces as {code} night", "leave out how many"),
        ("same pieces as {code} 2m night", "leave out how many"),
    ],
)
def test_what_cannot_be_fed_so_is_said_and_nothing_is_made(staff, room, up_and_down, line, said):
    before = Circuit.objects.count()
    line = line.format(code=up_and_down.circuit.code)
    answer = add(staff, room, line)
    assert said in one(answer, "#quick-reading [role=alert]").text
    assert one(answer, "#quick-line").get("value") == line
    assert Circuit.objects.count() == before


def test_pieces_of_another_project_are_not_shared(staff, by, up_and_down):
    other = Room.objects.get(project=a_project(by=by))
    add(staff, other, f"same pieces as {up_and_down.circuit.code} night")
    assert not CircuitFitting.objects.filter(same_pieces_as__isnull=False).exists()


def test_a_length_prefers_what_is_sold_by_the_metre(staff, room):
    a_product(name="Warm downlight")
    tape = a_product(name="Line that is warm", kind="tape", unit="metre")
    asked = read(staff, room, "3m warm")
    first = all_of(asked, "input[name=product]")[0]
    assert first["value"] == str(tape.pk)


def test_where_nothing_is_named_there_is_nothing_to_choose(staff, room):
    asked = read(staff, room, "97w")
    assert "Name what should hang here" in one(asked, "#quick-reading [role=alert]").text
    assert not all_of(asked, "fieldset")
    unknown = read(staff, room, "same pieces as Z99.9")
    assert not all_of(unknown, "fieldset")


def test_a_placeholder_keeps_the_words_as_they_were_typed(staff, room):
    a_product(name="Brass pendant")
    asked = read(staff, room, "3 pendnat dim decorative")
    assert "a placeholder: Pendnat" in one(asked, "#quick-reading").text
