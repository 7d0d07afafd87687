"""How lines are treated for tax: what excludes one another is refused, what is said stands on paper."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from lxml import etree

from base.deeds import Refusal
from base.models import Business
from quoting import documents
from quoting.drafting import draft_of
from quoting.exports import ubl_quotation
from quoting.issued import read_offer
from quoting.models import Quote, Revision
from quoting.services import links, quotes
from tests.conftest import logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.readings import NAMES, rule_faults, ubl_root, ubl_totals
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager")


@pytest.fixture
def quote(by):
    return a_quote(by=by)


def business(**values) -> None:
    Business.objects.update_or_create(defaults={"name": "Pell", "tax_number": "", **values})


def treat(by, quote, treatment: str, *, every: bool = True) -> None:
    lines = draft_of(quote).lines
    for line in lines if every else lines[:1]:
        quotes.override_set(
            by=by, quote=quote, line_key=line.key, field="tax_treatment", value=treatment,
            reason="letter of 3 March",
        )  # fmt: skip


def test_outside_the_scope_is_refused_beside_a_tax_number(by, quote):
    business(tax_number="GB 000 1234 56")
    treat(by, quote, "outside")
    page = logged_in(by).get(quote.get_absolute_url())
    assert "BR-O-02" in one(page, ".notice.stop").text
    with pytest.raises(Refusal, match="tax number stands on the document"):
        quotes.quote_issue(by=by, quote=quote)
    assert not Revision.objects.exists()
    assert Quote.objects.get().number is None


def test_outside_the_scope_stands_on_a_document_of_its_own(by, quote):
    business()
    treat(by, quote, "outside", every=False)
    with pytest.raises(Refusal, match="BR-O-11"):
        quotes.quote_issue(by=by, quote=quote)


def test_all_outside_the_scope_without_a_tax_number_goes_out_and_keeps_the_rules(by, quote):
    business()
    treat(by, quote, "outside")
    quotes.quote_change(by=by, quote=quote, discount_share=Decimal("0.04"))
    offer = read_offer(quotes.quote_issue(by=by, quote=quote))
    assert offer.totals.tax == 0
    assert {each.tax_treatment for each in offer.allowances} == {"outside"}
    root = ubl_root(ubl_quotation.write(offer=offer.to_content()))
    assert ubl_totals(root) == offer.totals
    assert rule_faults(root) == []
    # EN 16931-1 BR-O-02, BR-O-11: no tax number of the seller, no other category.
    assert root.findall(".//cac:PartyTaxScheme", NAMES) == []
    ids = {each.text for each in root.iterfind(".//cac:TaxCategory/cbc:ID", NAMES)}
    ids |= {each.text for each in root.iterfind(".//cac:ClassifiedTaxCategory/cbc:ID", NAMES)}
    assert ids == {"O"}


def test_a_discount_is_told_apart_by_how_untaxed_lines_are_treated(by, quote):
    business(tax_number="GB 000 1234 56")
    treat(by, quote, "zero")
    treat(by, quote, "reverse_charge", every=False)
    quotes.quote_change(by=by, quote=quote, discount_share=Decimal("0.05"))
    offer = read_offer(quotes.quote_issue(by=by, quote=quote))
    assert {each.tax_treatment for each in offer.allowances} == {"zero", "reverse_charge"}
    root = ubl_root(ubl_quotation.write(offer=offer.to_content()))
    assert rule_faults(root) == []
    taxable = {
        sub.findtext("cac:TaxCategory/cbc:ID", namespaces=NAMES): Decimal(
            sub.findtext("cbc:TaxableAmount", namespaces=NAMES)
        )
        for sub in root.iterfind("cac:TaxTotal/cac:TaxSubtotal", NAMES)
    }
    assert set(taxable) == {"Z", "AE"}
    assert sum(taxable.values()) == offer.totals.taxable
    first = next(offer.lines())
    off = next(each.amount for each in offer.allowances if each.tax_treatment == "reverse_charge")
    assert taxable["AE"] == first.net - off
    assert etree.tostring(root)


@pytest.mark.parametrize(
    ("tax_rounding", "said"), [("line", "rounded line by line"), ("document", "rounded once")]
)
def test_the_one_rule_of_rounding_is_declared_on_page_and_paper(by, quote, tax_rounding, said):
    business(tax_rounding=tax_rounding)
    revision = quotes.quote_issue(by=by, quote=quote)
    assert text_of(documents.proposal_pdf(revision)).count(said) == 1
    assert said in page_of(by, revision)


@pytest.mark.parametrize(
    ("treatment", "said"),
    [
        ("reverse_charge", "Reverse charge: the customer accounts for the VAT"),
        ("exempt", "carry no VAT"),
        ("outside", "outside the scope of VAT"),
    ],
)
def test_what_is_not_taxed_plainly_says_so_on_page_and_paper(by, quote, treatment, said):
    business()
    treat(by, quote, treatment)
    revision = quotes.quote_issue(by=by, quote=quote)
    text = text_of(documents.proposal_pdf(revision))
    assert said in text
    assert said in page_of(by, revision)
    assert (" exempt £" in text) == (treatment == "exempt")
    assert (" outside the scope £" in text) == (treatment == "outside")


def page_of(by, revision) -> str:
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    return one(Client().get(reverse("quoting:offer", args=[secret])), "#tax-mode").text
