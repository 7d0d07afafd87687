"""Money for an order: entered, taken back, and receipted; packs let go before it."""

import uuid

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.views.shared import press
from quoting.models import Payment, Quote, Receipt
from quoting.paying import order_of
from quoting.services import payments as services
from quoting.views.issues import _page, payment_form, revision_of


@require_POST
def enter(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    row = revision_of(request, revision_id)
    form = payment_form(row, request.POST)
    if form.is_valid():
        try:
            done = services.payment_enter(
                by=request.user,
                revision=row,
                key=deed_key(request),
                site=request.build_absolute_uri("/"),
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("The payment is entered."))
            return redirect(done.order.get_absolute_url() + "#payments")
    return render(request, "quoting/revision.html", _page(row, payment_form=form))


def _payment_of(request: HttpRequest, payment_id: uuid.UUID) -> Payment:
    mine = Quote.objects.for_user(request.user)
    rows = Payment.objects.filter(order__quote__in=mine).select_related("order__quote", "by")
    return get_object_or_404(rows, pk=payment_id)


@require_POST
def undo(request: HttpRequest, payment_id: uuid.UUID) -> HttpResponse:
    payment = _payment_of(request, payment_id)
    return press(
        request,
        deed=services.payment_undo,
        onward=payment.order.get_absolute_url() + "#payments",
        said=_("The payment is taken back."),
        payment=payment,
        reason=request.POST.get("reason", ""),
        site=request.build_absolute_uri("/"),
    )


@require_POST
def ask(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """Mail the client what is to be paid next."""
    row = revision_of(request, revision_id)
    return press(
        request,
        deed=services.payment_ask,
        onward=order_of(row).get_absolute_url() + "#letters",
        said=_("The letter is on its way."),
        revision=row,
        site=request.build_absolute_uri("/"),
    )


@require_safe
def receipt(request: HttpRequest, payment_id: uuid.UUID) -> HttpResponseBase:
    """The receipt of a payment, as it was kept; 404 while it is not made yet."""
    return send_receipt(_payment_of(request, payment_id))


def send_receipt(payment: Payment) -> HttpResponseBase:
    """The kept receipt of a payment; 404 while it is not made yet."""
    kept = get_object_or_404(Receipt.objects.select_related("file"), payment=payment)
    before = Payment.objects.filter(order=payment.order_id, at__lt=payment.at).count()
    name = f"{payment.order.number}-{payment.order.letter}-receipt-{before + 1}.pdf"
    return FileResponse(kept.file.file.open("rb"), content_type="application/pdf", filename=name)


@require_POST
def release(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """A manager lets the pack go before its stage is paid."""
    row = revision_of(request, revision_id)
    return press(
        request,
        deed=services.pack_release,
        onward=row.get_absolute_url() + "#pack",
        said=_("The pack may go."),
        revision=row,
        reason=request.POST.get("reason", ""),
    )
