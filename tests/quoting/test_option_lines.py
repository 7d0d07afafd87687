"""Lines that come with an option only: overruled, discounted, limited and guarded like all others."""

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from consult.models import Circuit, Option, OptionGroup, Room
from quoting.approving import digest_of
from quoting.choosing import choices_of, option_groups
from quoting.drafting import draft_of, with_optional
from quoting.issued import read_internal, read_offer
from quoting.models import QuoteOverride, QuotingRules
from quoting.services import quotes
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_circuit, a_product, a_quote, a_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager")


@pytest.fixture
def designer():
    return PersonFactory(role="designer")


@pytest.fixture
def quote(by):
    """Six picture lights at 44.00 that the client may have besides."""
    quote = a_quote(by=by)
    group = OptionGroup.objects.create(project=quote.project, name="Extras")
    option = Option.objects.create(project=quote.project, group=group, name="Picture lights")
    product = a_product(name="Picture light")
    circuit = a_circuit(by=by, room=Room.objects.get(), product=product, name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=option)
    return quote


def optional(quote):
    return with_optional(draft_of(quote)).optional


def overrule(by, quote, field="unit_price", value="40.00"):
    (line,) = optional(quote)
    return quotes.override_set(
        by=by, quote=quote, line_key=line.key, field=field, value=value, reason="ex-display"
    )


def delta(quote):
    (group,) = option_groups(choices_of(quote, day=timezone.localdate()))
    return group.options[0].net_delta


def test_the_lines_of_an_option_are_listed_apart_and_counted_in_nothing(quote):
    draft = with_optional(draft_of(quote))
    (line,) = draft.optional
    assert (line.description, line.option) == ("Picture light", "Extras: Picture lights")
    assert line.key not in {each.key for each in draft.lines}
    assert draft.priced == draft_of(quote).priced


@pytest.mark.parametrize(
    ("field", "value", "change"),
    # Six at 44.00: at 40.00 each 24.00 less; with a tenth off 26.40 less; two fewer 88.00 less.
    [("unit_price", "40.00", "-24.00"), ("discount", "0.1", "-26.40"), ("quantity", "4", "-88.00")],
)
def test_what_is_overruled_changes_the_options_price_and_not_the_offers(
    by, quote, field, value, change
):
    before, base = delta(quote), draft_of(quote).priced
    overrule(by, quote, field, value)
    assert delta(quote) - before == Decimal(change)
    assert draft_of(quote).priced == base


def test_the_frozen_price_of_the_option_and_the_reason_stand_in_the_issue(by, quote):
    before = delta(quote)
    overrule(by, quote)
    revision = quotes.quote_issue(by=by, quote=quote)
    assert read_offer(revision).options[0].options[0].net_delta == before - 24
    (told,) = read_internal(revision).overrides
    assert (told.value, told.derived, told.reason) == ("40.00", "44", "ex-display")
    assert "ex-display" not in bytes(revision.offer).decode()


def test_ones_limit_holds_for_the_lines_of_options(by, designer, quote):
    QuotingRules.objects.create(limit_designer=Decimal("0.05"))
    overrule(designer, quote, "discount", "0.05")
    assert quotes.quote_issue(by=designer, quote=quote)
    quotes.quote_revise(by=by, quote=quote)
    quote.refresh_from_db()
    overrule(designer, quote, "discount", "0.06")
    with pytest.raises(Refusal, match=r"Extras: Picture lights.*6 %.*limit of 5 %"):
        quotes.quote_issue(by=designer, quote=quote)


def test_a_price_of_an_option_overruled_downwards_is_a_discount(designer, quote):
    overrule(designer, quote, "unit_price", "30")
    with pytest.raises(Refusal, match="limit"):
        quotes.quote_issue(by=designer, quote=quote)


def test_the_least_margin_guards_options_and_a_manager_lets_it_pass_as_it_stood(by, quote):
    QuotingRules.objects.create(minimum_margin=Decimal("0.3"))
    overrule(by, quote, "unit_price", "25")
    with pytest.raises(Refusal, match="Picture light"):
        quotes.quote_issue(by=by, quote=quote)
    shown = digest_of(with_optional(draft_of(quote)))
    quotes.quote_approve(by=by, quote=quote, reason="last ones", shown=shown)
    quotes.override_set(
        by=by, quote=quote, line_key=optional(quote)[0].key, field="unit_price", value="24",
        reason="worse",
    )  # fmt: skip
    with pytest.raises(Refusal, match="Picture light"):
        quotes.quote_issue(by=by, quote=quote)
    overrule(by, quote, "unit_price", "25")
    assert read_internal(quotes.quote_issue(by=by, quote=quote)).approval_reason == "last ones"


def test_the_quote_page_lists_them_and_each_opens_its_form(by, quote):
    web = logged_in(by)
    page = web.get(quote.get_absolute_url())
    part = one(page, "#part-optional-1")
    assert "Picture light" in part.text
    assert "only if chosen" in part.text
    link = one(page, "#part-optional-1 td.act a")["href"]
    form = web.get(link)
    assert "Picture light" in one(form, "h1").text
    (line,) = optional(quote)
    answer = web.post(
        reverse("quoting:override", args=[quote.pk]),
        {"line": line.key, "field": "discount", "value": "5", "reason": "agreed"},
    )
    assert answer["Location"].endswith("?open=optional-1#part-optional-1")
    assert QuoteOverride.objects.get().value == "0.05"
    page = web.get(quote.get_absolute_url())
    assert "agreed" in one(page, "#part-optional-1").text
    assert not all_of(page, ".orphans")


def test_all_in_an_optional_room_comes_with_its_option(by, quote):
    room = a_room(by=by, project=quote.project, name="Attic", length_m=3, width_m=3)
    a_circuit(by=by, room=room, product=a_product(name="Attic light"))
    Room.objects.filter(pk=room.pk).update(option=Option.objects.get())
    found = {(line.description, line.option) for line in optional(quote)}
    assert ("Attic light", "Extras: Picture lights") in found


def test_the_page_asks_the_same_at_one_option_and_at_eight(by, quote, queries):
    web = logged_in(by)
    web.get(quote.get_absolute_url())
    few = queries(lambda: web.get(quote.get_absolute_url()))
    group = OptionGroup.objects.get()
    for number in range(7):
        option = Option.objects.create(project=quote.project, group=group, name=f"More {number}")
        circuit = a_circuit(by=by, room=Room.objects.first(), product=a_product(), name="More")
        Circuit.objects.filter(pk=circuit.pk).update(option=option)
    assert len(optional(quote)) == 8
    assert queries(lambda: web.get(quote.get_absolute_url())) == few


def test_a_line_of_no_option_and_of_no_design_is_refused(by, quote):
    with pytest.raises(Refusal, match="no longer in the bill"):
        quotes.override_set(
            by=by, quote=quote, line_key="fitting|none", field="quantity", value="1", reason="r"
        )
