"""Whether all that says what a quote costs says the same: lines, rooms, totals, files, page, PDF.

Each function gives what it finds wrong with one offer, as words; nothing where all agree. Each reads
the finished thing: XML, a workbook's formulas, the words of a page, the words of a PDF.
"""

import hashlib
import re
from decimal import Decimal

import pypdfium2
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quoting.documents.reading import shown
from quoting.documents.rendering import render_pdf
from quoting.exports import csv_table, json_document, ubl_quotation, workbook
from quoting.frozen import canonical, seal
from quoting.internal import Internal
from quoting.models import Quote, Revision
from quoting.offer import Offer
from quoting.offer_check import check_offer
from quoting.services import links
from tests.conftest import all_of, one
from tests.quoting.readings import (
    csv_amount,
    rule_faults,
    ubl_root,
    ubl_totals,
    workbook_totals,
)

_AMOUNT = re.compile(r"(-)?(?:£|JP¥|¥|KWD\s?)(-)?(\d[\d,]*(?:\.\d+)?)")


def amounts_in(text: str) -> list[Decimal]:
    """Every amount of money in a text, in order."""
    return [
        Decimal(f"{before or after}{digits.replace(',', '')}")
        for before, after, digits in _AMOUNT.findall(text.replace("−", "-"))
    ]


def sum_faults(offer: Offer) -> list[str]:
    """Lines, rooms, taxes, stages and totals are one sum."""
    totals, parts = offer.totals, (*offer.rooms, *offer.sections())
    holds = {
        "check": check_offer(offer=offer) == (),
        "lines": sum(line.net for line in offer.lines()) == totals.net,
        "rooms": sum(part.net for part in parts) == totals.net,
        "taxable": totals.net - totals.allowance + totals.charge == totals.taxable,
        "taxed": sum(each.taxable for each in offer.taxes) == totals.taxable,
        "tax": sum(each.tax for each in offer.taxes) == totals.tax,
        "gross": totals.taxable + totals.tax == totals.gross,
        "stages": not offer.stages or sum(each.amount for each in offer.stages) == totals.gross,
        "tax by room": all(_tax_of_a_part_is_its_own(offer, part) for part in parts),
    }
    return [name for name, held in holds.items() if not held]


def _tax_of_a_part_is_its_own(offer: Offer, part) -> bool:
    """But for the minor units that rounding leaves to share out."""
    own = sum((line.net * (line.tax_rate or 0) for line in part.lines), Decimal(0))
    unit = Decimal(1).scaleb(offer.totals.gross.as_tuple().exponent)
    spread = unit * (len(part.lines) + len(offer.taxes) + 1)
    return abs(part.gross - part.net - own) <= spread


def file_faults(offer: Offer) -> list[str]:
    """JSON, CSV and UBL hold the same totals; UBL keeps the rules of EN 16931-1 for sums."""
    content = offer.to_content()
    found = []
    if Offer.from_content(content) != offer:
        found.append("content")
    if json_document.write(offer=content) != canonical(content=content):
        found.append("json")
    if csv_amount(csv_table.write(offer=content)) != offer.totals.taxable:
        found.append("csv")
    if any(True for _ in offer.lines()):
        root = ubl_root(ubl_quotation.write(offer=content))
        if ubl_totals(root) != offer.totals:
            found.append("ubl")
        found += rule_faults(root, is_by_line=offer.tax_rounding == "line")
    return found


def workbook_faults(offer: Offer) -> list[str]:
    """The workbook's formulas work the same totals out again."""
    worked_out, issued, rooms = workbook_totals(workbook.write(offer=offer.to_content()))
    found = [] if worked_out == issued == offer.totals else ["workbook"]
    return found + [f"workbook {r.name}" for r in offer.rooms if rooms[r.name] != r.net]


def words_of_pdf(content: bytes) -> str:
    document = pypdfium2.PdfDocument(content)
    pages = [page.get_textpage().get_text_bounded() for page in document]
    # The foot of a sheet stands between the lines of a table that runs on.
    return re.sub(r"\s+", " ", " ".join(re.sub(r"\S+ · .*? \d+ / \d+", " ", p) for p in pages))


def pdf_of(offer: Offer) -> bytes:
    return render_pdf("documents/proposal.html", {"shown": shown(offer), "offer": offer})


def pdf_faults(offer: Offer) -> list[str]:
    """The words of the PDF: every line, every part and every total, read and added up."""
    text = words_of_pdf(pdf_of(offer))
    price = text.rpartition("The price For")[2].partition("by rate")[0]
    detail = text.partition("Line by line")[2].partition("What it rests on")[0]
    return [*_price_faults(offer, price, "pdf"), *_detail_faults(offer, detail)]


def _price_faults(offer: Offer, text: str, where: str) -> list[str]:
    """Rows of three amounts (without tax, tax, with tax), the last of them in all."""
    amounts = amounts_in(text)
    rows = [tuple(amounts[at : at + 3]) for at in range(0, len(amounts), 3)]
    if not rows or len(amounts) % 3:
        return [f"{where}: {len(amounts)} amounts"]
    *parts, last = rows
    wanted = (offer.totals.taxable, offer.totals.tax, offer.totals.gross)
    count = (
        len(offer.rooms) + len(offer.sections()) + len(offer.allowances) + len(offer.charges)
    )  # fmt: skip
    found = [] if last == wanted else [f"{where}: in all {last}, not {wanted}"]
    if len(parts) != count:
        found.append(f"{where}: {len(parts)} parts, not {count}")
    sums = tuple(sum((row[at] for row in parts), Decimal(0)) for at in range(3))
    return found if sums == last else [*found, f"{where}: the parts make {sums}"]


def _detail_faults(offer: Offer, text: str) -> list[str]:
    """Each line's own price, net and gross, and under each part the sum of them."""
    amounts, found = iter(amounts_in(text)), []
    for part in (*offer.rooms, *offer.sections()):
        if not part.lines:
            continue
        rows = [tuple(next(amounts, Decimal("NaN")) for _ in range(3)) for _line in part.lines]
        net, gross = next(amounts, Decimal("NaN")), next(amounts, Decimal("NaN"))
        read = [(price, amount) for price, amount, _with in rows]
        if read != [(line.unit_price, line.net) for line in part.lines]:
            found.append(f"pdf lines of {part}")
        if (net, gross) != (part.net, part.gross):
            found.append("pdf sum of a part")
        if (sum(r[1] for r in rows), sum(r[2] for r in rows)) != (net, gross):
            found.append("pdf lines of a part do not make its sum")
    return found + ["pdf: more than was offered" for _rest in amounts]


def an_issue_of(offer: Offer, quote: Quote) -> tuple[Revision, str]:
    """The offer kept as an issue of a quote, with the secret of a client's link to it."""
    payload = canonical(content=offer.to_content())
    nothing = Decimal(0)
    internal = canonical(
        content=Internal(
            number=offer.number, revision=offer.revision, cost_total=nothing, margin_total=nothing
        ).to_content()
    )
    order = Revision.objects.filter(quote=quote).count() + 1
    revision = Revision.objects.create(
        quote=quote,
        letter=offer.revision,
        order=order,
        number=f"R{order}",
        issued_at=timezone.now(),
        valid_until=offer.valid_until,
        gross_total=offer.totals.gross,
        currency=offer.currency,
        offer=payload,
        internal=internal,
        offer_sha256=hashlib.sha256(payload).hexdigest(),
        seal=seal(offer=payload, internal=internal, previous=f"{order:064x}"),
        previous_seal=f"{order:064x}",
    )
    secret = links.new_secret()
    links.link_make(by=None, revision=revision, for_whom="Ida", secret=secret)
    return revision, secret


def page_faults(offer: Offer, quote: Quote) -> list[str]:
    """The client's page: the price, the lines of every part, what is asked to be paid."""
    _revision, secret = an_issue_of(offer, quote)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    rows = all_of(page, "#price table.sums tr")[1:]
    found = _price_faults(offer, " ".join(row.text for row in rows), "page")
    places = [*all_of(page, "section.room"), *all_of(page, "#price details")]
    lines = [
        amounts_in(" ".join(each.text for each in place.all("li .amount"))) for place in places
    ]
    parts = [*offer.rooms, *offer.sections()]
    for part, read in zip(parts, lines, strict=True):
        if len(read) != len(part.lines) or sum(read, Decimal(0)) != part.gross:
            found.append(f"page: the lines of {part.name if hasattr(part, 'name') else part.title}")
    stages = amounts_in(" ".join(each.text for each in all_of(page, ".stages dd")))
    if stages != [stage.amount for stage in offer.stages]:
        found.append("page: stages")
    asked = amounts_in(one(page, "#answer .lead").text)
    return found if asked == [offer.totals.gross] else [*found, f"page: asks for {asked}"]
