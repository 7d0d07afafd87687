"""Documents of an issue: from frozen content only, whole, tagged, kept once, without a cost."""

import hashlib
import io
import json
import re
from dataclasses import replace
from decimal import Decimal

import pikepdf
import pypdfium2
import pytest

from base.services import store_file
from catalogue.models import ProductPrice
from consult.models import Circuit, Project
from quoting import documents
from quoting.documents.reading import shown
from quoting.documents.rendering import GROUND, AddressRefused, KeptOnly, render_pdf
from quoting.issued import read_internal, read_offer
from quoting.models import Revision, RevisionFile
from quoting.money import added
from quoting.services import quotes
from quoting.tasks import make_documents
from tests.factories import PersonFactory, a_furnished_quote, a_picture
from tests.quoting.random_offers import Spec, an_offer

pytestmark = pytest.mark.django_db


@pytest.fixture
def revision():
    by = PersonFactory()
    return quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))


def text_of(pdf: bytes) -> str:
    """All words of a PDF, spaces and line ends made one space."""
    document = pypdfium2.PdfDocument(pdf)
    pages = [page.get_textpage().get_text_bounded() for page in document]
    return re.sub(r"\s+", " ", " ".join(pages))


def costs_of(revision) -> set[str]:
    """Every cost behind the issue, of the catalogue and of an hour, as it would be printed."""
    costs = {line.cost for line in read_internal(revision).lines if line.cost is not None}
    costs |= set(ProductPrice.objects.values_list("cost", flat=True))
    return {f"{cost:.2f}" for cost in costs}


def test_the_proposal_holds_every_line_room_and_total(revision):
    offer = read_offer(revision)
    text = text_of(documents.proposal_pdf(revision))
    for line in offer.lines():
        assert (line.client_name or line.description) in text
        assert f"£{line.net:,.2f}" in text
    for part in shown(offer).parts:
        assert part.name in text
        assert f"£{part.gross:,.2f}" in text
    totals = offer.totals
    for amount in (totals.taxable, totals.tax, totals.gross):
        assert f"£{amount:,.2f}" in text
    assert f"{offer.number} {offer.revision}" in text
    for stage in offer.stages:
        assert f"£{stage.amount:,.2f}" in text
    for caution in offer.cautions:
        assert text.count(re.sub(r"\s+", " ", caution)) == 1


def test_what_is_printed_adds_up_to_the_offer(revision):
    offer = read_offer(revision)
    read = shown(offer)
    assert offer.totals.allowance > 0  # the discount of this quote is part of the sum
    printed = [part.gross for part in read.parts] + [row.gross for row in read.adjustments]
    assert added(printed) == offer.totals.gross
    for part in read.parts:
        assert added(line.gross for line in part.lines) == part.gross
        assert added([part.net, part.tax]) == part.gross
    nets = [part.net for part in read.parts] + [row.net for row in read.adjustments]
    assert added(nets) == offer.totals.taxable


def test_scenes_stand_in_words_from_their_levels(revision):
    text = text_of(documents.proposal_pdf(revision))
    assert "Evening" in text
    assert "Shelf at 40 %, Cove low at 15 %, Ceiling off." in text
    assert "All on and all off are always there." in text


def test_documents_are_tagged_and_say_language_title_and_day(revision):
    for pdf, title in (
        (documents.proposal_pdf(revision), "Proposal"),
        (documents.pack_pdf(revision), "Electrician's pack"),
    ):
        opened = pikepdf.open(io.BytesIO(pdf))
        assert bool(opened.Root.MarkInfo.Marked) is True
        assert "/StructTreeRoot" in opened.Root
        assert str(opened.Root.Lang).lower() == "en-gb"
        assert str(opened.docinfo["/Title"]).startswith(title)
        day = read_offer(revision).issued.strftime("D:%Y%m%d")
        assert str(opened.docinfo["/CreationDate"]).startswith(day)
        with opened.open_outline() as outline:
            assert len(outline.root) >= 1
        with opened.open_metadata() as xmp:
            assert xmp["pdfuaid:part"] == "1"


def test_no_cost_supplier_reference_or_note_of_ours_is_printed(revision):
    internal = read_internal(revision)
    costs = costs_of(revision)
    assert {"21.37", "93.21", "31.10", "7.77"} <= costs
    secrets = {line.product for line in internal.lines} | {line.supplier for line in internal.lines}
    secrets |= {override.reason for override in internal.overrides}
    assert any(line.supplier for line in internal.lines)
    offer = bytes(revision.offer).decode()
    for text in (text_of(documents.proposal_pdf(revision)), text_of(documents.pack_pdf(revision))):
        for hidden in (costs | secrets) - {""}:
            assert hidden not in text
    for hidden in (costs | secrets) - {""}:
        assert hidden not in offer


def test_the_pack_says_what_to_wire_and_no_price(revision):
    text = text_of(documents.pack_pdf(revision))
    pack = read_internal(revision).pack
    for circuit in pack.circuits:
        assert circuit.code in text
        assert circuit.name in text
        for feed in circuit.feeds:
            assert f"{feed.unit}.{feed.output}" in text
    assert "not isolation" in text
    assert "BS 7671" in text
    assert "Part P" in text
    assert "Inside the door" in text
    assert "1 Evening · engraved ‘Evening’" in text
    assert "£" not in text
    offer = read_offer(revision)
    amounts = {line.net for line in offer.lines()} | {line.unit_price for line in offer.lines()}
    for amount in amounts | {offer.totals.gross, offer.totals.net}:
        assert f"{amount:,.2f}" not in text
    assert "GBP" not in text


def test_the_frozen_pack_has_no_field_for_money(revision):
    frozen = json.dumps(read_internal(revision).pack.to_content())
    assert not re.search(r"cost|price|sell|margin|net|gross|minor", frozen.replace("magnet", ""))


def test_the_legend_shows_only_the_symbols_used(revision):
    text = text_of(documents.pack_pdf(revision))
    assert "Keypad" in text
    assert "Receiver, by radio" in text
    assert "LED tape" not in text
    assert "Socket outlet" not in text


def test_the_same_issue_gives_the_same_bytes(revision):
    assert documents.proposal_pdf(revision) == documents.proposal_pdf(revision)
    assert documents.pack_pdf(revision) == documents.pack_pdf(revision)


def test_documents_come_from_what_was_frozen_not_from_live_rows(revision):
    before = text_of(documents.proposal_pdf(revision)), text_of(documents.pack_pdf(revision))
    Project.objects.update(name="Another name")
    Circuit.objects.update(name="Renamed")
    after = text_of(documents.proposal_pdf(revision)), text_of(documents.pack_pdf(revision))
    assert before == after


def test_documents_are_kept_once_with_their_digest(revision):
    documents.keep_documents(str(revision.pk))
    first = {row.kind: (row.pk, row.sha256) for row in revision.files.all()}
    documents.keep_documents(str(revision.pk))
    assert {row.kind: (row.pk, row.sha256) for row in revision.files.all()} == first
    assert set(first) == {"proposal", "pack"}
    for row in revision.files.select_related("file"):
        assert hashlib.sha256(row.file.file.open("rb").read()).hexdigest() == row.sha256


def test_an_issue_from_before_packs_gets_its_proposal_alone(revision, monkeypatch):
    internal = replace(read_internal(revision), pack=None)
    monkeypatch.setattr(documents, "read_internal", lambda _revision: internal)
    documents.keep_documents(str(revision.pk))
    assert [row.kind for row in RevisionFile.objects.filter(revision=revision)] == ["proposal"]


def test_a_document_that_fails_leaves_the_issue_and_the_other_document(revision, monkeypatch):
    def broken(_revision):
        raise OSError("the disk is full")

    before = bytes(revision.offer)
    monkeypatch.setitem(documents._MAKERS, "proposal", broken)
    result = make_documents.enqueue(str(revision.pk))
    assert result.status == "FAILED"
    assert [row.kind for row in RevisionFile.objects.filter(revision=revision)] == ["pack"]
    fresh = Revision.objects.get(pk=revision.pk)
    assert bytes(fresh.offer) == before
    monkeypatch.undo()
    make_documents.enqueue(str(revision.pk))
    assert RevisionFile.objects.filter(revision=revision).count() == 2


@pytest.mark.parametrize(
    "address",
    [
        "http://example.com/x.png",
        "file:///etc/passwd",
        "data:text/css,p{}",
        GROUND + "static/../showroom/settings.py",
        GROUND + "static/%2e%2e/showroom/settings.css",
        GROUND + "static/js/site.js",
        GROUND + "stored/" + "0" * 64,
        GROUND + "elsewhere/x",
        GROUND[:-1] + ".example.com/static/css/document.css",
    ],
)
def test_a_document_fetches_nothing_else(address):
    with pytest.raises(AddressRefused):
        KeptOnly().fetch(address)


def test_a_document_fetches_stored_pictures_and_our_own_files(revision):
    kept = store_file(content=a_picture(), media_type="image/png")
    pdf = store_file(content=b"%PDF-1.7 x", media_type="application/pdf")
    assert KeptOnly().fetch(f"{GROUND}stored/{kept.sha256}").read() == a_picture()
    assert b"@page" in KeptOnly().fetch(f"{GROUND}static/css/document.css").read()
    with pytest.raises(AddressRefused):
        KeptOnly().fetch(f"{GROUND}stored/{pdf.sha256}")


def test_the_mark_stands_in_the_proposal(revision):
    kept = store_file(content=a_picture(), media_type="image/png")
    content = json.loads(bytes(revision.offer))
    content["business"]["mark"] = kept.sha256
    revision.offer = json.dumps(content).encode()
    opened = pikepdf.open(io.BytesIO(documents.proposal_pdf(revision)))
    assert len(opened.pages[0].get_images()) == 1


def test_a_business_customer_sees_the_same_totals(revision):
    content = json.loads(bytes(revision.offer))
    content["is_consumer"] = False
    revision.offer = json.dumps(content).encode()
    assert f"£{revision.gross_total:,.2f}" in text_of(documents.proposal_pdf(revision))


def test_a_currency_without_minor_unit_prints_without_decimals(revision):
    offer = an_offer(rooms=[[Spec(unit_price=Decimal(123456))]], currency="JPY")
    text = text_of(render_pdf("documents/proposal.html", {"shown": shown(offer), "offer": offer}))
    assert offer.totals.gross == Decimal(148147)  # 123 456 and a fifth, half up
    assert "148,147" in text
    assert "148,147.0" not in text
