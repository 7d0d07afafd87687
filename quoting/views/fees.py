"""The design fee of a project: its page, its presses, its receipts."""

import uuid
from decimal import Decimal

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.models import Business, Outbox
from base.requests import deed_key, seen_version
from consult.models import Project
from consult.views.shared import deed_page, press, project_of, typed
from quoting.fees import FeePart, Reckoned, fee_stand, reckoned
from quoting.forms_fees import FeeForm, FeeReceivedForm
from quoting.models import DesignFee, FeePayment, FeeReceipt
from quoting.services import fees as services
from quoting.tasks import make_fee_receipt


def _page(project: Project, **more: object) -> dict[str, object]:
    currency = Business.objects.current().currency
    stand = fee_stand(project, currency=currency)
    rows = [(each, _due(stand.fee, each, currency)) for each in stand.parts] if stand else []
    return {
        "project": project,
        "stand": stand,
        "rows": rows,
        "due": next((due for each, due in rows if stand and each == stand.next_part), None),
        "version": stand.fee.version if stand else 0,
        "received_form": FeeReceivedForm(initial={"day": timezone.localdate()}),
        "letters": Outbox.objects.filter(about=str(stand.fee.pk)) if stand else [],
        **more,
    }


def _due(fee: DesignFee, part: FeePart, currency: str) -> Reckoned | None:
    """What a part comes to: as it was paid, else with today's tax; None where today has no rate."""
    if (paid := part.paid) is not None:
        return Reckoned(net=paid.net, rate=paid.tax_rate, tax=paid.tax, gross=paid.gross)
    try:
        return reckoned(fee, part.net, currency=currency, day=timezone.localdate())
    except KeyError:
        return None  # said where it is entered


@require_http_methods(["GET", "HEAD", "POST"])
def fee(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """What is asked for the design, whether it is paid, and what becomes of it on order."""
    project = project_of(request, project_id)
    page = _page(project)
    return deed_page(
        request,
        form=_form(project, request.POST or None),
        deed=services.fee_set,
        onward=lambda _done: where(project),
        template="quoting/fee.html",
        context=page,
        said=_("Saved."),
        project=project,
        seen_fee=seen_version(request) or 0,
    )


def _form(project: Project, data: QueryDict | None) -> FeeForm:
    row = DesignFee.objects.filter(project=project).first()
    initial = typed(row, FeeForm) if row else {"words": _("Design of the lighting")}
    if row:
        initial["parts"] = "\n".join(
            f"{(Decimal(share) * 100).normalize():f} {when}" for share, when in row.parts
        )
    return FeeForm(data, currency=Business.objects.current().currency, initial=initial)


def where(project: Project) -> str:
    return reverse("quoting:fee", args=[project.pk])


def _fee_of(request: HttpRequest, fee_id: uuid.UUID) -> DesignFee:
    mine = Project.objects.for_user(request.user)
    rows = DesignFee.objects.filter(project__in=mine).select_related("project__client")
    return get_object_or_404(rows, pk=fee_id)


def _payment_of(request: HttpRequest, payment_id: uuid.UUID) -> FeePayment:
    mine = Project.objects.for_user(request.user)
    rows = FeePayment.objects.filter(fee__project__in=mine).select_related("fee__project__client")
    return get_object_or_404(rows, pk=payment_id)


@require_POST
def fee_remove(request: HttpRequest, fee_id: uuid.UUID) -> HttpResponse:
    row = _fee_of(request, fee_id)
    return press(request, deed=services.fee_remove, onward=where(row.project), fee=row)


@require_POST
def fee_ask(request: HttpRequest, fee_id: uuid.UUID) -> HttpResponse:
    """Mail the client what is to be paid next of the fee."""
    row = _fee_of(request, fee_id)
    return press(
        request,
        deed=services.fee_ask,
        onward=where(row.project) + "#letters",
        said=_("The letter is on its way."),
        fee=row,
        site=request.build_absolute_uri("/"),
    )


@require_POST
def fee_receive(request: HttpRequest, fee_id: uuid.UUID) -> HttpResponse:
    row = _fee_of(request, fee_id)
    form = FeeReceivedForm(request.POST)
    if form.is_valid():
        try:
            services.fee_receive(
                by=request.user,
                fee=row,
                key=deed_key(request),
                site=request.build_absolute_uri("/"),
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(where(row.project) + "#paid")
    page = _page(row.project, received_form=form, form=_form(row.project, None), theirs=[])
    return render(request, "quoting/fee.html", page)


@require_POST
def fee_undo(request: HttpRequest, payment_id: uuid.UUID) -> HttpResponse:
    row = _payment_of(request, payment_id)
    return press(
        request,
        deed=services.fee_undo,
        onward=where(row.fee.project) + "#paid",
        said=_("The payment is taken back."),
        payment=row,
        reason=request.POST.get("reason", ""),
        site=request.build_absolute_uri("/"),
    )


@require_POST
def fee_receipt_make(request: HttpRequest, payment_id: uuid.UUID) -> HttpResponse:
    """Make a receipt that is missing. One that is there stays as it is."""
    row = _payment_of(request, payment_id)
    make_fee_receipt.enqueue(str(row.pk))
    return redirect(where(row.fee.project) + "#paid")


@require_safe
def fee_receipt(request: HttpRequest, payment_id: uuid.UUID) -> HttpResponseBase:
    return send_fee_receipt(_payment_of(request, payment_id))


def send_fee_receipt(payment: FeePayment) -> HttpResponseBase:
    """The kept receipt of a design fee; 404 while it is not made yet."""
    kept = get_object_or_404(FeeReceipt.objects.select_related("file"), payment=payment)
    name = f"design-fee-{payment.day.isoformat()}.pdf"
    return FileResponse(kept.file.file.open("rb"), content_type="application/pdf", filename=name)
