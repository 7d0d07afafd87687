"""The offer as a Quotation of the Universal Business Language 2.1 (OASIS, ISO/IEC 19845:2015).

Amounts follow EN 16931-1 as far as it applies to a quotation: one tax subtotal for each category
and rate, ``LineExtensionAmount`` − allowances + charges = ``TaxExclusiveAmount``, with tax
``TaxInclusiveAmount``, all of it payable. A line's discount is its own allowance.

A variation of an order holds the whole job as it is to become, and so do its lines and totals, for
which the rules are made. The order and the issue that stood until then are referred to; what was
ordered, what the variation itself comes to and the new total are told in a note, and as numbers in
an extension of our own.

The schema has no place for what may be chosen, nor for who takes part beside the buyer: both stand
in notes. Not in it for the same reason: payment stages, circuits and scenes.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree

from quoting.exports.characters import carried
from quoting.money import EXACT, total
from quoting.offer import Business, DocumentAdjustment, Line, Offer, Party, Variation
from quoting.offer_check import priced_offer
from quoting.pricing import PricedLine

_ROOT = "urn:oasis:names:specification:ubl:schema:xsd:Quotation-2"
_CAC = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
_CBC = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"

#: UN/ECE Recommendation 20 by our words for units; ZZ is 'mutually defined'.
UNIT_CODES = {"piece": "C62", "metre": "MTR", "hour": "HUR", "day": "DAY", "set": "SET"}

#: UNCL 5305 duty or tax category by treatment.
_CATEGORIES = {"exempt": "E", "reverse_charge": "AE", "outside": "O", "zero": "Z"}
_REASONS = {"E": "Exempt", "AE": "Reverse charge", "O": "Outside the scope of tax"}

_EXT = "urn:oasis:names:specification:ubl:schema:xsd:CommonExtensionComponents-2"
#: Of our own: what a variation changes. Amounts with and without tax, in the document's currency.
VARIATION = "urn:gloaming:variation-1"

type _Element = ElementTree.Element
type _TaxKey = tuple[str, Decimal]


def write(*, offer: Mapping[str, Any]) -> bytes:
    """Return the document as UTF-8 XML.

    Raises ValueError where the content is no offer, or has no line, which the schema does not allow.
    """
    document = Offer.from_content(offer)
    lines = tuple(document.lines())
    if not lines:
        raise ValueError("a quotation needs at least one line")
    root = ElementTree.Element("Quotation", {"xmlns": _ROOT, "xmlns:cac": _CAC, "xmlns:cbc": _CBC})
    if document.variation is not None:
        _extension(root, document, document.variation)
    _head(root, document, len(lines))
    if document.variation is not None:
        _references(root, document.variation)
    _party(_part(root, "SellerSupplierParty"), document.business, document.tax_name)
    _party(_part(root, "BuyerCustomerParty"), document.client, document.tax_name)
    conditions = _part(root, "TransactionConditions")
    _value(conditions, "ID", document.terms.version)
    _value(conditions, "Description", document.terms.text)
    for allowance in document.allowances:
        _allowance(root, document, allowance, is_charge=False)
    for charge in document.charges:
        _allowance(root, document, charge, is_charge=True)
    _taxes(root, document, lines)
    _totals(root, document)
    priced = priced_offer(offer=document)
    for number, (line, worked) in enumerate(zip(lines, priced.lines, strict=True), start=1):
        _line(root, document, number, line, worked)
    ElementTree.indent(root)
    return bytes(ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)) + b"\n"


def tax_category(*, treatment: str, rate: Decimal | None) -> str:
    """Return the UNCL 5305 code: by treatment where one is told, else by the rate.

    >>> tax_category(treatment="", rate=Decimal("0.2")), tax_category(treatment="", rate=None)
    ('S', 'E')
    """
    if rate:
        return "S"
    return _CATEGORIES.get(treatment, "E" if rate is None else "Z")


def _head(root: _Element, offer: Offer, line_count: int) -> None:
    _value(root, "UBLVersionID", "2.1")
    _value(root, "ID", f"{offer.number}-{offer.revision}")
    _value(root, "IssueDate", offer.issued.isoformat())
    told = (*_variation_notes(offer), *_option_notes(offer), *_party_notes(offer))
    for note in (*told, *offer.notes, *offer.cautions):
        _value(root, "Note", note)
    _value(root, "PricingCurrencyCode", offer.currency)
    _value(root, "LineCountNumeric", str(line_count))
    _value(_part(root, "ValidityPeriod"), "EndDate", offer.valid_until.isoformat())


def _extension(root: _Element, offer: Offer, told: Variation) -> None:
    root.set("xmlns:ext", _EXT)
    content = root
    for name in ("UBLExtensions", "UBLExtension", "ExtensionContent"):
        content = ElementTree.SubElement(content, f"ext:{name}")
    element = ElementTree.SubElement(content, "Variation", {"xmlns": VARIATION})
    element.set("number", str(told.number))
    for name, money in (
        ("OrderedWithTax", told.ordered_gross),
        ("ChangeWithoutTax", told.net_change),
        ("ChangeOfTax", told.tax_change),
        ("ChangeWithTax", EXACT.subtract(offer.totals.gross, told.ordered_gross)),
        ("NewTotalWithTax", offer.totals.gross),
    ):
        if money is not None:
            part = ElementTree.SubElement(element, name, {"currencyID": offer.currency})
            part.text = format(money, "f")


def _references(root: _Element, told: Variation) -> None:
    for issue in dict.fromkeys((told.order, told.since)):
        reference = _part(root, "AdditionalDocumentReference")
        _value(reference, "ID", issue)
        if issue == told.since:
            _value(reference, "DocumentDescription", f"Ordered {told.ordered_on.isoformat()}")


def _option_notes(offer: Offer) -> Iterable[str]:
    for group in offer.options:
        for option in group.options:
            counted = " (counted in)" if option.is_in_base else ""
            yield (
                f"{group.name}, {option.name}{counted}: {option.gross_delta:+f} {offer.currency} "
                "with tax."
            )


def _party_notes(offer: Offer) -> Iterable[str]:
    """Who else takes part: the schema has a place for the buyer alone."""
    for party in offer.parties:
        role = {"billed": "Billed to"}.get(party.role, party.role.replace("-", " ").capitalize())
        yield f"{role}: {', '.join(filter(None, (party.name, party.firm)))}."


def _variation_notes(offer: Offer) -> tuple[str, ...]:
    told = offer.variation
    if told is None:
        return ()
    change = EXACT.subtract(offer.totals.gross, told.ordered_gross)
    return (
        f"Variation {told.number} of order {told.order}. Ordered before ({told.since}): "
        f"{told.ordered_gross:f} {offer.currency}. This variation: {change:+f} {offer.currency}. "
        f"New total: {offer.totals.gross:f} {offer.currency}. With tax.",
    )


def _party(parent: _Element, who: Business | Party, scheme: str) -> None:
    party = _part(parent, "Party")
    if isinstance(who, Business):
        _value(party, "WebsiteURI", who.web)
    _value(_part(party, "PartyName"), "Name", who.name or "-")
    if any(who.address) or who.country:
        _address(_part(party, "PostalAddress"), who)
    if who.tax_number:
        registration = _part(party, "PartyTaxScheme")
        _value(registration, "CompanyID", who.tax_number)
        _value(_part(registration, "TaxScheme"), "ID", scheme)
    legal = _part(party, "PartyLegalEntity")
    _value(legal, "RegistrationName", who.name)
    if isinstance(who, Business):
        _value(legal, "CompanyID", who.company_number)
    if who.phone or who.email:
        contact = _part(party, "Contact")
        _value(contact, "Telephone", who.phone)
        _value(contact, "ElectronicMail", who.email)


def _address(element: _Element, who: Business | Party) -> None:
    # EN 16931-1 knows three lines of an address (BT-35, BT-36, BT-162): more are joined.
    lines = [line for line in who.address if line.strip()]
    _value(element, "StreetName", "".join(lines[:1]))
    _value(element, "AdditionalStreetName", "".join(lines[1:2]))
    if lines[2:]:
        _value(_part(element, "AddressLine"), "Line", ", ".join(lines[2:]))
    if who.country:
        _value(_part(element, "Country"), "IdentificationCode", who.country)


def _allowance(root: _Element, offer: Offer, each: DocumentAdjustment, *, is_charge: bool) -> None:
    element = _part(root, "AllowanceCharge")
    _value(element, "ChargeIndicator", "true" if is_charge else "false")
    _value(element, "AllowanceChargeReason", each.reason)
    _amount(element, "Amount", each.amount, offer.currency)
    category = tax_category(treatment=each.tax_treatment, rate=each.tax_rate)
    _category(_part(element, "TaxCategory"), (category, each.tax_rate or Decimal(0)), offer)


def _taxes(root: _Element, offer: Offer, lines: Iterable[Line]) -> None:
    taxable: dict[_TaxKey, Decimal] = {}
    reasons: dict[_TaxKey, str] = {}
    signed = [
        *((line.net, line.tax_treatment, line.tax_rate, line.tax_reason) for line in lines),
        *((e.amount.copy_negate(), e.tax_treatment, e.tax_rate, "") for e in offer.allowances),
        *((e.amount, e.tax_treatment, e.tax_rate, "") for e in offer.charges),
    ]
    for net, treatment, rate, reason in signed:
        key = (tax_category(treatment=treatment, rate=rate), rate or Decimal(0))
        taxable[key] = EXACT.add(taxable.get(key, Decimal(0)), net)
        reasons[key] = reasons.get(key) or reason
    tax_of = {each.rate: each.tax for each in offer.taxes if each.rate}
    tax_total = _part(root, "TaxTotal")
    _amount(tax_total, "TaxAmount", offer.totals.tax, offer.currency)
    for key, net in taxable.items():
        subtotal = _part(tax_total, "TaxSubtotal")
        _amount(subtotal, "TaxableAmount", total([net], offer.currency), offer.currency)
        tax = total([tax_of.get(key[1], Decimal(0))], offer.currency)
        _amount(subtotal, "TaxAmount", tax, offer.currency)
        reason = reasons[key] or _REASONS.get(key[0], "")
        _category(_part(subtotal, "TaxCategory"), key, offer, reason)


def _totals(root: _Element, offer: Offer) -> None:
    element = _part(root, "QuotedMonetaryTotal")
    totals = offer.totals
    for name, money in (
        ("LineExtensionAmount", totals.net),
        ("TaxExclusiveAmount", totals.taxable),
        ("TaxInclusiveAmount", totals.gross),
        ("AllowanceTotalAmount", totals.allowance),
        ("ChargeTotalAmount", totals.charge),
        ("PayableAmount", totals.gross),
    ):
        _amount(element, name, money, offer.currency)


def _line(root: _Element, offer: Offer, number: int, line: Line, worked: PricedLine) -> None:
    quotation_line = _part(root, "QuotationLine")
    _value(quotation_line, "ID", str(number))
    item_line = _part(quotation_line, "LineItem")
    _value(item_line, "ID", line.key)
    _value(item_line, "Note", line.note)
    quantity = _value(item_line, "Quantity", format(line.quantity, "f"))
    if quantity is not None:
        quantity.set("unitCode", UNIT_CODES.get(line.unit, "ZZ"))
    _amount(item_line, "LineExtensionAmount", line.net, offer.currency)
    if worked.discount_amount:
        allowance = _part(item_line, "AllowanceCharge")
        _value(allowance, "ChargeIndicator", "false")
        _value(allowance, "AllowanceChargeReason", "Discount")
        _amount(allowance, "Amount", worked.discount_amount, offer.currency)
        _amount(allowance, "BaseAmount", worked.undiscounted, offer.currency)
    _amount(_part(item_line, "Price"), "PriceAmount", line.unit_price, offer.currency)
    item = _part(item_line, "Item")
    _value(item, "Description", line.description)
    _value(item, "Name", line.client_name or line.description or line.key)
    category = tax_category(treatment=line.tax_treatment, rate=line.tax_rate)
    key = (category, line.tax_rate or Decimal(0))
    _category(_part(item, "ClassifiedTaxCategory"), key, offer)


def _category(element: _Element, key: _TaxKey, offer: Offer, reason: str = "") -> None:
    category, rate = key
    _value(element, "ID", category)
    # EN 16931-1 BR-O-05: what is outside the scope has no rate, not even 0.
    if category != "O":
        _value(element, "Percent", format(_percent(rate), "f"))
    if category in _REASONS:
        _value(element, "TaxExemptionReason", reason)
    _value(_part(element, "TaxScheme"), "ID", offer.tax_name)


def _percent(rate: Decimal) -> Decimal:
    percent = EXACT.multiply(rate, Decimal(100))
    whole = percent.to_integral_value(context=EXACT)
    return whole if percent == whole else percent.normalize(EXACT)


def _part(parent: _Element, name: str) -> _Element:
    return ElementTree.SubElement(parent, f"cac:{name}")


def _value(parent: _Element, name: str, text: str) -> _Element | None:
    """Add an element with its text; an empty one is left out, for the standard forbids it."""
    clean = carried(text).strip()
    if not clean:
        return None
    element = ElementTree.SubElement(parent, f"cbc:{name}")
    element.text = clean
    return element


def _amount(parent: _Element, name: str, money: Decimal, currency: str) -> None:
    element = _value(parent, name, format(money, "f"))
    if element is not None:
        element.set("currencyID", currency)
