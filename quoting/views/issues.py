"""Issues: freezing a draft, its documents, its links."""

import uuid

from django.contrib import messages
from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    QueryDict,
)
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.models import Outbox
from base.requests import deed_key
from consult.light import for_client
from consult.views.shared import press
from quoting.choosing import choices_of, gap_of, option_groups
from quoting.documents.reading import shown
from quoting.forms import AnswerForm, LinkForm, PaymentForm
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance, Link, Quote, Revision, RevisionFile
from quoting.ordering import to_order
from quoting.paying import account_of
from quoting.releasing import pack_stand
from quoting.services import links, quotes, variations
from quoting.tasks import make_documents
from quoting.views.quotes import quote_of


def revision_of(request: HttpRequest, revision_id: uuid.UUID) -> Revision:
    rows = Revision.objects.filter(quote__in=Quote.objects.for_user(request.user))
    rows = rows.select_related(
        "quote__project__client", "quote__varies", "issued_by"
    ).prefetch_related("events__by", "files", "links__visits")
    return get_object_or_404(rows, pk=revision_id)


@require_POST
def quote_issue(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    warm(row)
    try:
        issued = quotes.quote_issue(by=request.user, quote=row, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(row)
    messages.success(request, _("%(issue)s is issued.") % {"issue": issued})
    return redirect(issued)


def warm(quote: Quote) -> None:
    """Work every choice out and draw the rooms before the issue, so that both are at hand in it."""
    if not quote.is_open:
        return
    choices = choices_of(quote, day=timezone.localdate())
    if choices.base.problems:
        return
    if choices.base.house.design.options:
        gap_of(choices, option_groups(choices))
    for_client.draw_missing(choices.base.house)


@require_POST
def quote_revise(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    said = _("The quote is open again. The last issue stands until you make the next.")
    onward = row.get_absolute_url()
    return press(request, deed=quotes.quote_revise, onward=onward, said=said, quote=row)


@require_POST
def quote_withdraw(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    onward = row.latest.get_absolute_url() if row.latest else row.get_absolute_url()
    note = request.POST.get("note", "")[:1000]
    return press(request, deed=quotes.quote_withdraw, onward=onward, quote=row, note=note)


@require_POST
def variation_start(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    row = revision_of(request, revision_id)
    try:
        made = variations.variation_start(by=request.user, revision=row, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(row)
    return redirect(made)


@require_safe
def revision(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    row = revision_of(request, revision_id)
    return render(request, "quoting/revision.html", _page(row))


def _page(row: Revision, **more: object) -> dict[str, object]:
    now = timezone.now()
    offer = read_offer(row)
    acceptance = Acceptance.objects.filter(revision=row).first()
    names = {option.key: option.name for group in offer.options for option in group.options}
    return {
        "acceptance": acceptance,
        "chosen_names": [names.get(key, key) for key in (acceptance.options if acceptance else [])],
        "gap": read_internal(row).option_gap.copy_abs() if offer.options else None,
        "letters": Outbox.objects.filter(about=str(row.pk)),
        "questions": row.questions.select_related("link", "answered_by"),
        "answer_form": AnswerForm(),
        "revision": row,
        "quote": row.quote,
        "project": row.quote.project,
        "state": row.state(on=timezone.localdate()),
        "offer": offer,
        "shown": shown(offer),
        "variations": Quote.objects.filter(varies=row).order_by("created_at"),
        "files": {file.kind: file for file in row.files.all()},
        "account": None if row.quote.varies else account_of(row),
        "lacks_receipt": row.payments.filter(receipt=None).exists(),
        "payment_form": payment_form(row),
        "stand": pack_stand(row),
        "links": [(link, link.works(at=now)) for link in row.links.all()],
        "link_form": LinkForm(),
        **more,
    }


def payment_form(row: Revision, data: QueryDict | None = None) -> PaymentForm:
    return PaymentForm(data, currency=row.currency, initial={"day": timezone.localdate()})


@require_safe
def revision_file(request: HttpRequest, revision_id: uuid.UUID, kind: str) -> HttpResponseBase:
    row = revision_of(request, revision_id)
    if kind == RevisionFile.Kind.PACK and pack_stand(row).is_held:
        return _held(request, row)
    return send_file(row, kind)


def _held(request: HttpRequest, row: Revision) -> HttpResponse:
    """Back to the issue's page, which says what is waited for and who may let it go."""
    messages.error(request, _("It is held back until its stage is paid."))
    return redirect(row.get_absolute_url() + "#pack")


@require_safe
def orders(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """What to order and to engrave of an accepted issue, once its stage is paid or it was let go."""
    row = revision_of(request, revision_id)
    acceptance = get_object_or_404(Acceptance, revision=row)
    if pack_stand(row).is_held:
        return _held(request, row)
    lists = to_order(offer=read_offer(row), internal=read_internal(row), options=acceptance.options)
    context = {"revision": row, "project": row.quote.project, "lists": lists}
    return render(request, "quoting/to_order.html", context)


@require_POST
def documents_make(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """Make what is missing of the documents of an issue. What is there stays as it is."""
    row = revision_of(request, revision_id)
    make_documents.enqueue(str(row.pk))
    messages.success(request, _("The missing documents are being made."))
    return redirect(row)


def send_file(revision: Revision, kind: str) -> HttpResponseBase:
    """A document of an issue; 404 while it is not made yet."""
    found = RevisionFile.objects.filter(revision=revision, kind=kind).select_related("file").first()
    if found is None:
        raise Http404
    name = f"{revision.number}-{revision.letter}-{kind}.pdf"
    return FileResponse(found.file.file.open("rb"), content_type="application/pdf", filename=name)


# --- links --------------------------------------------------------------------------------------
@never_cache
@require_POST
def link_make(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """Make a link and show its address, this once: only its hash is kept."""
    row = revision_of(request, revision_id)
    form, secret = LinkForm(request.POST), links.new_secret()
    if form.is_valid():
        try:
            link = links.link_make(
                by=request.user,
                revision=row,
                secret=secret,
                key=deed_key(request),
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return _shown(request, link, secret)
    return render(request, "quoting/revision.html", _page(row, link_form=form))


def _shown(request: HttpRequest, link: Link, secret: str) -> HttpResponse:
    known = links.find_link(secret)
    address = request.build_absolute_uri(reverse("quoting:offer", args=[secret])) if known else ""
    return render(request, "quoting/link_made.html", {"link": link, "address": address})


def _link_of(request: HttpRequest, link_id: uuid.UUID) -> Link:
    mine = Quote.objects.for_user(request.user)
    rows = Link.objects.filter(revision__quote__in=mine).select_related("revision")
    return get_object_or_404(rows, pk=link_id)


@never_cache
@require_POST
def link_remake(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    link, secret = _link_of(request, link_id), links.new_secret()
    try:
        links.link_remake(by=request.user, link=link, secret=secret, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(link.revision)
    return _shown(request, link, secret)


@require_POST
def link_revoke(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    link = _link_of(request, link_id)
    onward = link.revision.get_absolute_url()
    said = _("The link no longer works.")
    return press(request, deed=links.link_revoke, onward=onward, link=link, said=said)


@require_POST
def link_extend(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    link = _link_of(request, link_id)
    onward = link.revision.get_absolute_url()
    said = _("The link works for 30 days from today.")
    return press(request, deed=links.link_extend, onward=onward, link=link, days=30, said=said)
