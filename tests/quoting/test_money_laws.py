"""What must hold for every quote, tried on random ones. `script/bench quotes --long` tries many more."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings

from quoting.offer import Offer
from tests.factories import a_quote
from tests.quoting.agreement import (
    amounts_in,
    file_faults,
    page_faults,
    pdf_faults,
    sum_faults,
    workbook_faults,
)
from tests.quoting.random_offers import Spec, an_offer, offers


@pytest.fixture
def quote(db):
    return a_quote()


_QUIET = [
    HealthCheck.too_slow,
    HealthCheck.data_too_large,
    HealthCheck.function_scoped_fixture,
]


@settings(max_examples=2000, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers())
def test_lines_rooms_taxes_stages_and_totals_are_one_sum(offer: Offer) -> None:
    assert sum_faults(offer) == []


@settings(max_examples=350, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers(lines=4))
def test_files_for_others_hold_the_same_totals(offer: Offer) -> None:
    assert file_faults(offer) == []


@settings(max_examples=50, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers(lines=4))
def test_the_workbook_works_the_same_totals_out_again(offer: Offer) -> None:
    assert workbook_faults(offer) == []


@settings(max_examples=25, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers(lines=4))
def test_the_clients_page_and_the_pdf_say_the_same_to_the_last_coin(quote, offer: Offer) -> None:
    assert pdf_faults(offer) == []
    assert page_faults(offer, quote) == []


@pytest.mark.parametrize("coin", ["0.01", "-0.01"])
def test_a_coin_more_or_less_is_noticed_by_every_reader(quote, coin: str) -> None:
    right = an_offer(rooms=[[Spec(), Spec()], [Spec()]], labour=[Spec()])
    gross = right.totals.gross + Decimal(coin)
    wrong = replace(right, totals=replace(right.totals, gross=gross))
    for faults in (sum_faults, file_faults, workbook_faults, pdf_faults):
        assert faults(right) == []
        assert faults(wrong) != []
    assert page_faults(right, quote) == []
    assert page_faults(wrong, quote) != []


@pytest.mark.parametrize(
    ("text", "amounts"),
    [
        ("£1,234.50", ["1234.50"]),
        ("-£0.05 and £7.00", ["-0.05", "7.00"]),
        ("−£3.10", ["-3.10"]),
        ("JP¥1,200", ["1200"]),
        ("KWD 1.500", ["1.500"]),
        ("2 × 3", []),
    ],
)
def test_amounts_are_read_from_words(text: str, amounts: list[str]) -> None:
    assert amounts_in(text) == [Decimal(each) for each in amounts]
