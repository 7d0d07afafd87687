"""A line added by hand that comes with an option only: priced as its delta, sums true."""

from decimal import Decimal

import pytest
from django.urls import reverse

from base.deeds import Refusal
from consult.models import Option, OptionGroup
from quoting.choosing import choices_of, gap_of, option_groups
from quoting.drafting import draft_of, with_optional
from quoting.issued import read_offer
from quoting.models import ManualLine, Quote
from quoting.offer_check import check_offer
from quoting.options import chosen_totals
from quoting.services import copies, options, quotes, variations
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_project, a_quote
from tests.quoting.agreement import sum_faults
from tests.quoting.test_variations import order

pytestmark = pytest.mark.django_db

VISIT = {"description": "A second evening", "quantity": Decimal(1), "unit_price": Decimal(100)}


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def quote(by):
    return a_quote(by=by)


@pytest.fixture
def option(quote):
    group = OptionGroup.objects.create(project=quote.project, name="Visits")
    return Option.objects.create(project=quote.project, group=group, name="Twice")


def fresh(quote):
    return Quote.objects.get(pk=quote.pk)


def test_it_counts_only_where_its_option_is_taken(by, quote, option):
    before = draft_of(quote).priced.gross_total
    quotes.line_add(by=by, quote=quote, option=option, **VISIT)
    assert draft_of(fresh(quote)).priced.gross_total == before
    taken = draft_of(fresh(quote), choice=[str(option.pk)])
    assert taken.priced.gross_total == before + 120
    Option.objects.update(is_in=True)
    assert draft_of(fresh(quote)).priced.gross_total == before + 120
    assert draft_of(fresh(quote), choice=[]).priced.gross_total == before


def test_the_offer_tells_it_as_the_options_delta_and_the_sum_is_the_real_price(by, quote, option):
    quotes.line_add(by=by, quote=quote, option=option, **VISIT)
    choices = choices_of(fresh(quote), day=draft_of(quote).day)
    assert gap_of(choices, option_groups(choices)).gap == 0
    revision = quotes.quote_issue(by=by, quote=fresh(quote))
    offer = read_offer(revision)
    ((told,),) = [group.options for group in offer.options]
    assert (told.net_delta, told.tax_delta, told.gross_delta) == (100, 20, 120)
    chosen = chosen_totals(totals=offer.totals, groups=offer.options, chosen=[told.key])
    assert chosen.gross == offer.totals.gross + 120
    assert check_offer(offer=offer) == ()
    assert sum_faults(offer) == []


def test_a_variation_holds_it_once_it_was_chosen(by, quote, option):
    quotes.line_add(by=by, quote=quote, option=option, **VISIT)
    revision = quotes.quote_issue(by=by, quote=fresh(quote))
    kept = order(by, revision, options=[str(option.pk)])
    made = variations.variation_start(by=by, revision=revision)
    offer = read_offer(quotes.quote_issue(by=by, quote=fresh(made)))
    assert offer.totals.gross == kept.gross_total
    assert offer.variation.gross_change == 0
    assert sum(row.gross_delta for row in offer.variation.changes) == 0


def test_its_line_stands_apart_on_the_page_and_is_judged_like_any(by, quote, option):
    quotes.line_add(by=by, quote=quote, option=option, **VISIT)
    (line,) = [x for x in with_optional(draft_of(fresh(quote))).optional if x.manual]
    assert line.option == "Visits: Twice"
    page = logged_in(by).get(quote.get_absolute_url(), {"open": "all"})
    told = [part.text for part in all_of(page, ".parts details") if "A second evening" in part.text]
    assert len(told) == 1
    assert "only if chosen" in told[0]


def test_the_form_offers_the_projects_options_where_there_are_some(by, quote, option):
    web, where = logged_in(by), reverse("quoting:line_add", args=[quote.pk])
    names = [
        each.text
        for each in all_of(web.get(quote.get_absolute_url()), "#line-add [name=option] option")
    ]
    assert names == ["in any case", "Visits: Twice"]
    given = {"description": "A second evening", "quantity": "1", "unit_price": "100"}
    given |= {"tax_class": "standard", "option": str(option.pk)}
    assert web.post(where, given).status_code == 302
    assert ManualLine.objects.get().option == option
    other = a_quote(by=by)
    assert not all_of(web.get(other.get_absolute_url()), "#line-add [name=option]")


def test_an_option_of_another_project_is_refused(by, quote, option):
    with pytest.raises(Refusal, match="belongs to another project"):
        quotes.line_add(by=by, quote=a_quote(by=by), option=option, **VISIT)
    assert not ManualLine.objects.exists()


def test_once_the_option_is_gone_the_line_is_there_in_any_case(by, quote, option):
    quotes.line_add(by=by, quote=quote, option=option, **VISIT)
    options.option_remove(by=by, option=option)
    assert ManualLine.objects.get().option is None
    assert any(line.manual for line in draft_of(fresh(quote)).lines)


def test_a_copy_keeps_it_in_the_project_alone(by, quote, option):
    quotes.line_add(by=by, quote=quote, option=option, **VISIT)
    here = copies.quote_copy(by=by, quote=quote, project=quote.project)
    there = copies.quote_copy(by=by, quote=quote, project=a_project(by=by))
    found = dict(ManualLine.objects.values_list("quote", "option"))
    assert (found[here.pk], found[there.pk]) == (option.pk, None)
    assert one(logged_in(by).get(here.get_absolute_url()), "#line-add")
