"""What must hold for every quote, tried on random ones."""

from decimal import Decimal

from hypothesis import HealthCheck, given, settings

from quoting.exports import csv_table, json_document, ubl_quotation, workbook
from quoting.frozen import canonical
from quoting.offer import Offer
from quoting.offer_check import check_offer
from tests.quoting.random_offers import offers
from tests.quoting.readings import (
    csv_amount,
    rule_faults,
    ubl_root,
    ubl_totals,
    workbook_totals,
)

_QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(max_examples=1500, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers())
def test_lines_rooms_taxes_stages_and_totals_are_one_sum(offer: Offer) -> None:
    assert check_offer(offer=offer) == ()
    totals = offer.totals
    parts = (*offer.rooms, *offer.sections())
    assert sum(line.net for line in offer.lines()) == totals.net
    assert sum(part.net for part in parts) == totals.net
    assert totals.net - totals.allowance + totals.charge == totals.taxable
    assert sum(each.taxable for each in offer.taxes) == totals.taxable
    assert sum(each.tax for each in offer.taxes) == totals.tax
    assert totals.taxable + totals.tax == totals.gross
    if offer.stages:
        assert sum(stage.amount for stage in offer.stages) == totals.gross
    for part in parts:
        # The tax in a room is its own, but for the minor units that rounding leaves to share out.
        own = sum((line.net * (line.tax_rate or 0) for line in part.lines), Decimal(0))
        unit = Decimal(1).scaleb(totals.gross.as_tuple().exponent)
        spread = unit * (len(part.lines) + len(offer.taxes) + 1)
        assert abs(part.gross - part.net - own) <= spread


@settings(max_examples=350, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers(lines=4))
def test_files_for_others_hold_the_same_totals(offer: Offer) -> None:
    content = offer.to_content()
    assert Offer.from_content(content) == offer
    assert json_document.write(offer=content) == canonical(content=content)
    assert csv_amount(csv_table.write(offer=content)) == offer.totals.taxable
    if any(True for _ in offer.lines()):
        root = ubl_root(ubl_quotation.write(offer=content))
        assert ubl_totals(root) == offer.totals
        assert rule_faults(root, is_by_line=offer.tax_rounding == "line") == []


@settings(max_examples=50, deadline=None, suppress_health_check=_QUIET)
@given(offer=offers(lines=4))
def test_the_workbook_works_the_same_totals_out_again(offer: Offer) -> None:
    worked_out, issued, rooms = workbook_totals(workbook.write(offer=offer.to_content()))
    assert worked_out == offer.totals
    assert issued == offer.totals
    for room in offer.rooms:
        assert rooms[room.name] == room.net
