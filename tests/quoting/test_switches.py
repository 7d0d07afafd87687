"""Scene control or ordinary switches, as the client may choose: priced to the penny on both sides."""

import csv
import io
import json
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from base.deeds import Refusal
from catalogue.models import LabourNorm, Product, ProductPrice
from consult.comparison import compare, costs
from consult.derived import planned, read_house
from consult.journal import undo
from consult.models import Option, OptionGroup, Room, SwitchingPiece
from consult.planning import minor
from consult.services import house as house_services
from consult.services import keypads
from quoting import documents
from quoting.drafting import draft_of
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance, Quote
from quoting.services import answers, links, options, quotes, variations
from quoting.verifying import verify_all
from tests.conftest import logged_in, one
from tests.factories import PRICED_FROM, PersonFactory, a_keypad, a_quote
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db

PIECES = {
    "dimmer-plate-1": ("dimmer", "Rotary dimmer, one gang", "31.50"),
    "switch-plate-1": ("switch-plate", "Switch plate, one gang", "9.20"),
    "box-1-25": ("accessory", "Back box, one gang, 25 mm deep", "2.10"),
    "box-1-35": ("accessory", "Back box, one gang, 35 mm deep", "2.60"),
}
NORMS = (
    ("first-fix", "switch-plate", "piece", 30),
    ("second-fix", "switch-plate", "piece", 12),
    ("termination", "switch-plate", "piece", 6),
    ("first-fix", "cable", "metre", 3),
    ("programming", "", "scene", 15),
)


def sold(kind, name, sell, **values):
    number = Product.objects.count()
    made = Product.objects.create(kind=kind, reference=f"SWI-{number:03d}", name=name, **values)
    ProductPrice.objects.create(
        product=made, from_day=PRICED_FROM, cost=Decimal("1.11"), sell=Decimal(sell)
    )
    return made


@pytest.fixture
def by():
    return PersonFactory(role="manager")


@pytest.fixture
def quote(by):
    """A room of 5 × 4 × 2.5 m; one circuit, dimmed in a scene and worked from two places."""
    quote = a_quote(by=by)
    a_keypad()
    for name in ("by the door", "by the window"):
        keypads.position_add(by=by, room=Room.objects.get(), name=name)
    for code, (kind, name, sell) in PIECES.items():
        SwitchingPiece.objects.create(code=code, product=sold(kind, name, sell))
    sold("cable", "Lighting cable", "1.35", unit="metre")
    for operation, kind, per, minutes in NORMS:
        LabourNorm.objects.create(
            operation=operation, kind=kind, per=per, minutes=minutes, grade="electrician"
        )
    return quote


# Cable: half of 5 + 4 m over the ceiling, 1.3 m down to the dimmer; from there up, over and down to
# the second place; a tenth for waste: (4.5 + 1.3) × 1.1 + (4.5 + 2.6) × 1.1 = 14.19 m.
#
# Ordinary switches: dimmer 31.50, plate 9.20, boxes 2.10 + 2.60 = 45.40; cable 14.19 × 1.35 = 19.16;
# labour at 52.00 an hour: first fix 2 × 30 + 14.19 × 3 = 102.57 min = 1.71 h = 88.92; second fix
# 2 × 12 min = 0.40 h = 20.80; termination of one two-way gang 6 min = 0.10 h = 5.20.
SWITCHES = (
    Decimal("45.40") + Decimal("19.16") + Decimal("88.92") + Decimal("20.80") + Decimal("5.20")
)
# Scene control: receiver 171.00, two keypads at 88.00, one scene of 15 min = 0.25 h = 13.00.
SCENES = Decimal("171.00") + 2 * Decimal("88.00") + Decimal("13.00")
# Six lights at 44.00 and 2 h of fixing them stand on both sides.
EITHER = 6 * Decimal("44.00") + 2 * Decimal("52.00")


def offered(by, quote):
    options.switches_offer(by=by, project=quote.project)
    return Quote.objects.get(pk=quote.pk)


def by_switches():
    return Option.objects.get(is_by_switches=True)


def test_one_press_offers_both_and_the_difference_is_right_to_the_penny(by, quote):
    before = draft_of(quote).priced
    assert before.taxable_total == EITHER + SCENES == Decimal("728.00")
    offer = read_offer(quotes.quote_issue(by=by, quote=offered(by, quote)))
    assert offer.totals.taxable == before.taxable_total
    (group,) = offer.options
    assert group.choice == "one"
    scenes, switches = group.options
    assert (scenes.is_in_base, scenes.net_delta, scenes.gross_delta) == (True, 0, 0)
    assert switches.net_delta == SWITCHES - SCENES == Decimal("-180.52")
    # 20 % of 728.00 is 145.60; of 547.48 it is 109.496, so 109.50.
    assert switches.tax_delta == Decimal("109.50") - Decimal("145.60")
    assert switches.gross_delta == Decimal("-216.62")
    assert read_internal(quote.revisions.get()).option_gap == 0


def test_it_says_what_each_is_and_what_switches_cannot_do(by, quote):
    (group,) = read_offer(quotes.quote_issue(by=by, quote=offered(by, quote))).options
    scenes, switches = group.options
    assert scenes.description == "1 scene from 2 keypads."
    assert switches.description.startswith("2 switches and dimmers on the walls")
    assert "dim from one of them only" in switches.description
    assert "colour" not in switches.description


def test_a_dimmer_that_is_too_small_is_told_to_the_office_alone(by, quote):
    offered(by, quote)
    web = logged_in(by)
    where = reverse("quoting:option_prices", args=[quote.project_id])
    # Six lights of 8 W on one dimmer, which carries 40 W of LED unless its maker says more.
    assert "One dimmer carries less" in web.get(where).content.decode()
    SwitchingPiece.objects.filter(code="dimmer-plate-1").update(led_w=100)
    assert "One dimmer carries less" not in web.get(where).content.decode()


def test_the_sides_are_those_of_the_comparison(by, quote):
    house = read_house(quote.project)
    plan = planned(house)
    (compared,) = compare(house, plan)
    prices = {code: minor(Decimal(sell), "GBP") for code, (_k, _n, sell) in PIECES.items()}
    sides = costs(house, plan, compared, prices)
    assert sides.planned_minor == minor(SCENES, "GBP")
    # The comparison rounds once, the bill each line's hours to a hundredth: at most 26 p a line.
    assert abs(sides.conventional_minor - minor(SWITCHES, "GBP")) <= 3 * 26
    work = [x for x in switched_draft(by, quote).lines if x.section == "labour"]
    minutes = sum(why.quantity for line in work for why in line.why if "switches" in why.about)
    assert float(minutes) == pytest.approx(compared.switches.minutes, abs=0.05)


def switched_draft(by, quote):
    if not Option.objects.filter(is_by_switches=True).exists():
        options.switches_offer(by=by, project=quote.project)
    return draft_of(quote, choice=[str(by_switches().pk)])


def test_with_switches_nothing_of_scene_control_is_billed_and_the_rest_stays(by, quote):
    base = draft_of(quote)
    switched = switched_draft(by, quote)
    sources = {line.bill.source for line in switched.lines}
    assert not sources & {"receiver", "keypad", "engraving"}
    assert "switching" in sources
    lights = [(x.key, x.net) for x in base.lines if x.section == "room"]
    assert [(x.key, x.net) for x in switched.lines if x.section == "room"] == lights
    assert not [x for x in switched.lines if x.bill.operation == "programming"]
    assert {x.description: x.quantity for x in switched.lines if x.bill.source == "switching"} == {
        "Rotary dimmer, one gang": 1,
        "Switch plate, one gang": 1,
        "Back box, one gang, 25 mm deep": 1,
        "Back box, one gang, 35 mm deep": 1,
        "Lighting cable": Decimal("14.19"),
    }


@pytest.mark.parametrize(
    ("delivery", "has_work"), [("clients_electrician", False), ("supply_only", False)]
)
def test_work_left_to_others_is_not_billed_with_the_switches(by, quote, delivery, has_work):
    quotes.quote_change(by=by, quote=quote, delivery=delivery)
    switched = switched_draft(by, Quote.objects.get(pk=quote.pk))
    assert bool([x for x in switched.lines if x.section == "labour"]) is has_work
    assert [x for x in switched.lines if x.bill.source == "switching"]


def test_walls_of_stone_count_in_the_work_of_switches(by, quote):
    before = switched_draft(by, quote)
    house_services.room_change(by=by, room=Room.objects.get(), wall_finish="masonry")
    after = switched_draft(by, quote)

    def second_fix(draft):
        return next(x.quantity for x in draft.lines if x.bill.operation == "second-fix")

    # 24 min of plates × 1.4: 9.6 min more, so 2.40 h become 2.56 h.
    assert (second_fix(before), second_fix(after)) == (Decimal("2.40"), Decimal("2.56"))


def test_the_client_chooses_switches_on_the_link_and_all_papers_say_so(by, quote):
    revision = quotes.quote_issue(by=by, quote=offered(by, quote))
    secret = links.new_secret()
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    assert "Ordinary switches and dimmers" in one(page, "#choice").text
    assert "−£216.62" in one(page, "#choice").text
    group = OptionGroup.objects.get()
    chosen = Client().get(
        reverse("quoting:offer", args=[secret]),
        {"choice": "1", f"one-{group.pk}": str(by_switches().pk)},
    )
    # 728.00 + 145.60 − 216.62
    assert one(chosen, "#chosen-total").text == "£656.98"
    text = text_of(documents.proposal_pdf(revision))
    for said in ("How the lights are worked", "Ordinary switches and dimmers", "−£216.62"):
        assert said in text
    answers.offer_accept(
        link=link, name="Ida Marrow", agrees=True, offer_sha256=revision.offer_sha256,
        terms_version=read_offer(revision).terms.version, options=[str(by_switches().pk)],
    )  # fmt: skip
    assert Acceptance.objects.get().gross_total == Decimal("656.98")
    certificate = text_of(documents.certificate_pdf(revision))
    assert "Ordinary switches and dimmers" in certificate
    assert "£656.98" in certificate
    assert list(verify_all()) == []


def test_a_variation_of_an_order_of_switches_begins_with_switches_and_their_pack(by, quote):
    revision = quotes.quote_issue(by=by, quote=offered(by, quote))
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    answers.offer_accept(
        link=link, name="Ida Marrow", agrees=True, offer_sha256=revision.offer_sha256,
        terms_version=read_offer(revision).terms.version, options=[str(by_switches().pk)],
    )  # fmt: skip
    made = quotes.quote_issue(by=by, quote=variations.variation_start(by=by, revision=revision))
    offer = read_offer(made)
    assert offer.totals.gross == Decimal("656.98")
    told = offer.variation
    assert (told.net_change, told.tax_change, told.gross_change) == (0, 0, 0)
    assert read_internal(made).pack.positions == ()


def test_every_file_for_other_programs_carries_the_choice(by, quote):
    revision = quotes.quote_issue(by=by, quote=offered(by, quote))
    web = logged_in(by)

    def file(form):
        return web.get(reverse("quoting:export", args=[revision.pk, form])).content

    content = json.loads(file("json"))
    assert content["options"][0]["options"][1]["gross_delta"] == "-216.62"
    rows = list(csv.DictReader(io.StringIO(file("csv").decode("utf-8-sig"))))
    told = {
        r["description"]: (r["option_net"], r["option_with_tax"])
        for r in rows
        if r["kind"] == "option"
    }
    assert told["Ordinary switches and dimmers"] == ("-180.52", "-216.62")
    sheet = load_workbook(io.BytesIO(file("xlsx")))["Options"]
    found = {row[1].value: (row[3].value, row[4].value) for row in sheet.iter_rows(min_row=2)}
    assert found["Ordinary switches and dimmers"] == (-180.52, -36.1)
    assert "Ordinary switches and dimmers: -216.62 GBP" in file("ubl").decode()


def test_taken_unless_the_client_says_otherwise_the_offer_is_of_switches(by, quote):
    offered(by, quote)
    options.option_take(by=by, option=by_switches(), is_in=True)
    revision = quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk))
    offer = read_offer(revision)
    assert offer.totals.taxable == EITHER + SWITCHES
    scenes = next(x for x in offer.options[0].options if not x.is_in_base)
    assert scenes.net_delta == SCENES - SWITCHES
    assert not any(room.scenes for room in offer.rooms)
    internal = read_internal(revision)
    assert internal.units == "[]"
    assert internal.pack.positions == ()


def test_an_overruled_price_of_either_side_is_no_orphan(by, quote):
    switched = switched_draft(by, quote)
    for line in (
        next(x for x in draft_of(quote).lines if x.bill.source == "keypad"),
        next(x for x in switched.lines if x.bill.source == "switching"),
    ):
        quote.quoteoverrides.create(
            key=line.key, field="unit_price", value="1", derived_seen="2", reason="agreed"
        )
    assert draft_of(quote).orphans == ()
    assert switched_draft(by, quote).orphans == ()


def test_a_piece_without_a_product_or_a_price_stops_the_issue(by, quote):
    offered(by, quote)
    ProductPrice.objects.filter(product__kind="dimmer").delete()
    with pytest.raises(Refusal, match="Rotary dimmer, one gang has no price"):
        quotes.quote_issue(by=by, quote=quote)
    SwitchingPiece.objects.filter(code="dimmer-plate-1").delete()
    with pytest.raises(Refusal, match="Dimmer, 1 gang: say which product"):
        quotes.quote_issue(by=by, quote=quote)
    assert not quote.revisions.exists()


def test_a_room_that_lost_its_size_stops_the_issue_with_a_sentence(by, quote):
    offered(by, quote)
    house_services.room_change(by=by, room=Room.objects.get(), length_m=None)
    with pytest.raises(Refusal, match="Give every room of it its length and width"):
        quotes.quote_issue(by=by, quote=quote)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda by, quote: Room.objects.update(width_m=None), "length and width"),
        (lambda by, quote: Room.objects.update(length_m=None), "every room"),
        (lambda by, quote: options.switches_offer(by=by, project=quote.project), "already"),
    ],
)
def test_what_cannot_be_compared_is_refused_and_nothing_is_made(by, quote, spoil, said):
    spoil(by, quote)
    before = OptionGroup.objects.count()
    with pytest.raises(Refusal, match=said):
        options.switches_offer(by=by, project=quote.project)
    assert OptionGroup.objects.count() == before


def test_where_no_keypad_hangs_one_switch_by_the_door_is_counted_and_said(by, quote):
    for position in Room.objects.get().keypad_positions.all():
        keypads.position_remove(by=by, row=position)
    switched = switched_draft(by, quote)
    found = {x.description: x.quantity for x in switched.lines if x.bill.source == "switching"}
    assert found["Rotary dimmer, one gang"] == 1
    assert "Switch plate, one gang" not in found
    where = reverse("quoting:option_prices", args=[quote.project_id])
    assert "one switch by the door is counted: Room 1" in logged_in(by).get(where).content.decode()


def test_the_press_stands_on_the_comparison_and_on_the_quote_and_is_taken_back(by, quote):
    web = logged_in(by)
    where = reverse("quoting:switches_offer", args=[quote.project_id])
    pages = [reverse("consult:comparison", args=[quote.project_id]), quote.get_absolute_url()]
    for page in pages:
        assert one(web.get(page), f'form[action="{where}"]')
    answer = web.post(where, follow=True)
    assert answer.redirect_chain[-1][0] == reverse("quoting:options", args=[quote.project_id])
    assert "The client may now choose" in answer.content.decode()
    for page in pages:
        assert where not in web.get(page).content.decode()
    prices = web.get(reverse("quoting:option_prices", args=[quote.project_id])).content.decode()
    assert "−£216.62" in prices
    undo(project=quote.project, by=by)
    assert not OptionGroup.objects.exists()
