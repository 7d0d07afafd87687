"""Pages that a link opens, without a log-in: the offer, its documents, the answer.

A wrong address, a revoked link, a link that is over: each answers in plain words that tell nothing.
"""

import uuid
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
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
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.models import StoredFile
from base.requests import deed_key
from quoting import words
from quoting.choice_shown import chosen
from quoting.documents.pack_reading import cautions
from quoting.documents.reading import shown
from quoting.forms import AcceptForm, AskForm, DeclineForm
from quoting.issued import read_offer
from quoting.models import Acceptance, FeePayment, Link, Payment
from quoting.paying import account_of, order_of
from quoting.releasing import pack_stand
from quoting.services import answers, links, questions
from quoting.services.questions import places
from quoting.views.fees import send_fee_receipt
from quoting.views.issues import send_file
from quoting.views.payments import send_receipt

MAY_SEE = {"client": ("proposal", "certificate"), "electrician": ("pack",)}


def by_link(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Open a view by the secret of a link instead of a log-in, and keep it out of every index.

    No forgery check: nothing here rests on a cookie, and nobody can forge an address that holds a
    secret. It could not hold either: since the page sends no referrer, a browser names no origin.
    """

    @csrf_exempt
    @never_cache
    @login_not_required
    @wraps(view)
    def opened(request: HttpRequest, secret: str, **more: Any) -> HttpResponseBase:
        link = links.find_link(secret)
        if link is None:
            response: HttpResponseBase = render(request, "public/no_link.html", status=404)
        elif not link.works(at=timezone.now()):
            response = render(request, "public/link_over.html", status=410)
        else:
            response = view(request, link=link, secret=secret, **more)
        response["Referrer-Policy"] = "no-referrer"
        response["X-Robots-Tag"] = "noindex, nofollow"
        return response

    return opened


def must_be_client(link: Link) -> None:
    """An electrician's link has no answer to give, and its holder sees no price."""
    if link.audience != Link.Audience.CLIENT:
        raise Http404


@by_link
@require_safe
def offer(request: HttpRequest, *, link: Link, secret: str) -> HttpResponseBase:
    if "choice" not in request.GET:
        links.note_visit(link, "offer")
    if link.audience == Link.Audience.ELECTRICIAN:
        return render(request, "public/pack.html", _pack(link, secret))
    asked = {"about": request.GET.get("about", "")}
    wanted = _ticked(request.GET) if "choice" in request.GET else None
    return render(request, "public/offer.html", _offer(link, secret, wanted=wanted, asked=asked))


def _pack(link: Link, secret: str) -> dict[str, object]:
    """What the electrician's page shows: of the offer only number, day and whose it is."""
    revision = link.revision
    offer = read_offer(revision)
    return {
        "secret": secret,
        "offer": offer,
        "project": offer.project,
        "state": revision.state(on=timezone.localdate()),
        "is_held": pack_stand(revision).is_held,
        "has_pack": revision.files.filter(kind="pack").exists(),
        "cautions": cautions(),
    }


def _ticked(data: QueryDict) -> list[str]:
    """The options ticked: boxes, and one of each group of one-of-several."""
    return [
        value
        for name in data
        if name == "option" or name.startswith("one-")
        for value in data.getlist(name)
    ]


def _offer(
    link: Link,
    secret: str,
    *,
    wanted: list[str] | None = None,
    asked: dict[str, str] | None = None,
    **more: object,
) -> dict[str, object]:
    revision = link.revision
    offer = read_offer(revision)
    acceptance = Acceptance.objects.filter(revision=revision).first()
    return {
        "link": link,
        "secret": secret,
        "revision": revision,
        "offer": offer,
        "shown": shown(offer),
        "state": revision.state(on=timezone.localdate()),
        "acceptance": acceptance,
        "made": set(revision.files.values_list("kind", flat=True)),
        "chosen": chosen(offer, acceptance.options if acceptance else wanted),
        "account": account_of(order_of(revision)) if acceptance else None,
        "questions": revision.questions.all(),
        "ask_form": AskForm(places=places(offer), initial=asked),
        "accept_form": AcceptForm(may_cancel=bool(words.cancellation(offer))),
        "decline_form": DeclineForm(),
        **more,
    }


@by_link
@require_safe
def document(request: HttpRequest, *, link: Link, secret: str, kind: str) -> HttpResponseBase:
    if kind not in MAY_SEE[link.audience]:
        raise Http404
    if kind == "pack" and pack_stand(link.revision).is_held:
        return render(request, "public/pack.html", _pack(link, secret), status=403)
    links.note_visit(link, kind)
    return send_file(link.revision, kind)


@by_link
@require_safe
def receipt(
    request: HttpRequest, *, link: Link, secret: str, payment_id: uuid.UUID
) -> HttpResponseBase:
    """A receipt of the order that the link is about, or that its variation changes.

    That of the design fee which the offer credits is one of them.
    """
    must_be_client(link)
    if str(payment_id) in {fee.payment for fee in read_offer(link.revision).fees()}:
        links.note_visit(link, "receipt")
        return send_fee_receipt(get_object_or_404(FeePayment, pk=payment_id))
    mine = Payment.objects.filter(order=order_of(link.revision)).select_related("order")
    payment = get_object_or_404(mine, pk=payment_id)
    links.note_visit(link, "receipt")
    return send_receipt(payment)


@by_link
@require_safe
def picture(request: HttpRequest, *, link: Link, secret: str, sha256: str) -> HttpResponseBase:
    """A picture of the offer, or the mark of who offers. No other stored file."""
    offer = read_offer(link.revision)
    seen = {offer.business.mark}
    if link.audience == Link.Audience.CLIENT:
        seen |= {line.picture for line in offer.lines()}
        seen |= {each for room in offer.rooms for each in room.pictures}
    if not sha256 or sha256 not in seen:
        raise Http404
    kept = get_object_or_404(StoredFile, sha256=sha256, media_type__startswith="image/")
    return FileResponse(kept.file.open("rb"), content_type=kept.media_type)


@by_link
@require_POST
def accept(request: HttpRequest, *, link: Link, secret: str) -> HttpResponse:
    must_be_client(link)
    may_cancel = bool(words.cancellation(read_offer(link.revision)))
    form = AcceptForm(request.POST, may_cancel=may_cancel)
    wanted = _ticked(request.POST)
    if form.is_valid():
        try:
            answers.offer_accept(
                link=link,
                key=deed_key(request),
                address=request.META.get("REMOTE_ADDR"),
                options=wanted,
                site=request.build_absolute_uri("/"),
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect("quoting:offer", secret)
    return render(
        request, "public/offer.html", _offer(link, secret, wanted=wanted, accept_form=form)
    )


@by_link
@require_POST
def decline(request: HttpRequest, *, link: Link, secret: str) -> HttpResponse:
    must_be_client(link)
    form = DeclineForm(request.POST)
    if form.is_valid():
        try:
            answers.offer_decline(
                link=link,
                key=deed_key(request),
                site=request.build_absolute_uri("/"),
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect("quoting:offer", secret)
    return render(request, "public/offer.html", _offer(link, secret, decline_form=form))


@by_link
@require_POST
def ask(request: HttpRequest, *, link: Link, secret: str) -> HttpResponse:
    must_be_client(link)
    form = AskForm(request.POST, places=places(read_offer(link.revision)))
    if form.is_valid():
        try:
            questions.question_ask(
                link=link,
                key=deed_key(request),
                site=request.build_absolute_uri("/"),
                **form.cleaned_data,
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(reverse("quoting:offer", args=[secret]) + "#questions")
    return render(request, "public/offer.html", _offer(link, secret, ask_form=form))
