"""Options from design to acceptance: deltas frozen at issue, sums of them, what the client chose."""

from decimal import Decimal

import pytest
from django.utils import timezone

from base.deeds import Refusal
from consult.models import Circuit, Option, OptionGroup, Room
from consult.services import circuits
from quoting.choosing import choices_of, gap_of, option_groups
from quoting.drafting import draft_of
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance, Quote
from quoting.options import combinations
from quoting.services import answers, links, quotes
from tests.factories import PersonFactory, a_circuit, a_product, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager")


def an_option(quote, name, group=None, **values):
    group = group or OptionGroup.objects.create(
        project=quote.project, name=f"Group of {name}", is_one_of=values.pop("is_one_of", False)
    )
    return Option.objects.create(project=quote.project, group=group, name=name, **values)


@pytest.fixture
def quote(by):
    """Six downlights; out unless chosen: four picture lights, and two shelf lights; each a circuit."""
    quote = a_quote(by=by)
    room = Room.objects.get()
    for name, pieces in (("Picture lights", 4), ("Shelf lights", 2)):
        option = an_option(quote, name)
        product = a_product(name=name)
        circuit = a_circuit(by=by, room=room, product=product, name=name)
        circuits.fitting_change(by=by, fitting=circuit.fittings.get(), pieces=pieces)
        Circuit.objects.filter(pk=circuit.pk).update(option=option)
    return quote


def today():
    return timezone.localdate()


def test_an_option_left_out_is_in_no_total(quote):
    draft = draft_of(quote)
    assert {line.description for line in draft.lines} & {"Picture lights", "Shelf lights"} == set()
    assert draft.priced.gross_total == Decimal("646.80")


def test_a_delta_is_the_difference_of_two_whole_prices(quote):
    choices = choices_of(quote, day=today())
    groups = option_groups(choices)
    for group in groups:
        (option,) = group.options
        with_it = draft_of(quote, choice=[option.key]).priced
        assert option.net_delta == with_it.taxable_total - Decimal("539.00")
        assert option.gross_delta == with_it.gross_total - Decimal("646.80")
        assert option.net_delta > 0


def test_the_worst_gap_is_the_worst_of_all_combinations_and_is_frozen_for_the_office(by, quote):
    choices = choices_of(quote, day=today())
    groups = option_groups(choices)
    gap = gap_of(choices, groups)
    gaps = []
    for choice in combinations(groups=groups):
        summed = Decimal("646.80") + sum(
            (o.gross_delta for g in groups for o in g.options if o.key in choice), Decimal(0)
        )
        gaps.append(summed - draft_of(quote, choice=choice).priced.gross_total)
    assert gap.tried == 4
    assert gap.is_complete
    assert abs(gap.gap) == max(abs(each) for each in gaps)
    revision = quotes.quote_issue(by=by, quote=quote)
    assert read_internal(revision).option_gap == gap.gap
    assert "option_gap" not in bytes(revision.offer).decode()


def test_an_override_on_an_option_that_is_out_is_no_orphan(by, quote):
    choice = [str(option.pk) for option in Option.objects.all()]
    line = next(x for x in draft_of(quote, choice=choice).lines if x.bill.option)
    quotes.QuoteOverride.objects.create(
        quote=quote, key=line.key, field="quantity", value="1", derived_seen="4", reason="r", by=by
    )
    assert draft_of(quote).orphans == ()


def issued_with_link(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    return revision, link


def accept(link, **values):
    return answers.offer_accept(
        **{
            "link": link, "name": "Ida Marrow", "agrees": True, "terms_version": "1",
            "offer_sha256": link.revision.offer_sha256, **values,
        }
    )  # fmt: skip


def test_what_the_client_ticked_is_kept_with_the_sum_of_its_deltas(by, quote):
    revision, link = issued_with_link(by, quote)
    options = {o.name: o for g in read_offer(revision).options for o in g.options}
    accept(link, options=[o.key for o in options.values()])
    kept = Acceptance.objects.get()
    assert kept.options == sorted(o.key for o in options.values())
    assert kept.gross_total == Decimal("646.80") + sum(o.gross_delta for o in options.values())


def test_deltas_hold_although_the_design_moves_after_the_issue(by, quote):
    revision, link = issued_with_link(by, quote)
    option = read_offer(revision).options[0].options[0]
    for fitting in circuits.CircuitFitting.objects.all():
        circuits.fitting_change(by=by, fitting=fitting, pieces=fitting.pieces + 5)
    accept(link, options=[option.key])
    assert Acceptance.objects.get().gross_total == Decimal("646.80") + option.gross_delta


@pytest.mark.parametrize(
    ("options", "said"),
    [(["nonsense"], "not part of this offer"), (["twice"], "ticked twice")],
)
def test_a_choice_that_does_not_exist_is_refused_with_no_half_state(by, quote, options, said):
    revision, link = issued_with_link(by, quote)
    if options == ["twice"]:
        options = [read_offer(revision).options[0].options[0].key] * 2
    with pytest.raises(Refusal, match=said):
        accept(link, options=options)
    assert not Acceptance.objects.exists()
    assert revision.state(on=today()) == "issued"


def test_one_of_several_must_have_one_in_the_base(by, quote):
    group = OptionGroup.objects.create(project=quote.project, name="How full", is_one_of=True)
    plain, fuller = (an_option(quote, name, group=group) for name in ("Plain", "Fuller"))
    with pytest.raises(Refusal, match="exactly one"):
        quotes.quote_issue(by=by, quote=quote)
    Option.objects.filter(pk=plain.pk).update(is_in=True)
    revision, link = issued_with_link(by, Quote.objects.get())
    with pytest.raises(Refusal, match="Choose one of 'How full'"):
        accept(link, options=[])
    with pytest.raises(Refusal, match="only one of 'How full'"):
        accept(link, options=[str(plain.pk), str(fuller.pk)])
    accept(link, options=[str(fuller.pk)])
    assert Acceptance.objects.get().gross_total == revision.gross_total
