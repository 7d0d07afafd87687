"""The letters of quoting: how each is worded at first, and how it is filled when handed over.

A letter with an address mints its own secret at that moment, so that no secret rests in the outbox.
"""

from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.models import Business
from base.outbox import KindOfLetter, NotDue, register
from quoting.fees import fee_stand, reckoned
from quoting.issued import read_offer
from quoting.models import (
    Acceptance,
    DesignFee,
    FeePayment,
    FeeReceipt,
    Link,
    LinkSecret,
    Payment,
    Question,
    Receipt,
    Revision,
    RevisionEvent,
)
from quoting.money import printed
from quoting.paying import Account, account_of
from quoting.services.links import digest_of, new_secret
from quoting.templatetags.documents import amount, day

PDF = "application/pdf"
Filled = tuple[dict[str, str], tuple[tuple[str, bytes, str], ...]]

SAMPLE = {
    "who": gettext_lazy("Ida Marrow"),
    "project": gettext_lazy("The Old Forge"),
    "number": "2026-0007 A",
    "total": "£12,345.60",
    "until": gettext_lazy("31 July 2026"),
    "address": "https://showroom.example/o/…/",
    "business": gettext_lazy("Our showroom"),
    "question": gettext_lazy("Could the pendant hang lower?"),
    "answer": gettext_lazy("Yes, to 1.6 m above the floor."),
    "about": gettext_lazy("Hall"),
    "reason": gettext_lazy("We decided to wait."),
    "what": gettext_lazy("On 3 August 2026 we received £4,938.24, by bank transfer."),
    "stage": gettext_lazy("Deposit, with the order: £4,938.24"),
    "open": "£7,407.36",
}


#: Words of every letter about an issue, and of one to a client about it.
OF_ISSUE = ("project", "number", "total", "until", "business")
TO_SOMEBODY = (*OF_ISSUE, "who", "address")


def _sample(*names: str) -> dict[str, object]:
    return {name: SAMPLE[name] for name in names}


def _link_of(ids: dict[str, str]) -> Link:
    link = Link.objects.select_related("revision__quote__project").filter(pk=ids["link"]).first()
    if link is None or not link.works(at=timezone.now()):
        raise NotDue(_("The link no longer works."))
    return link


def _words(revision: Revision) -> dict[str, str]:
    return {
        "project": revision.quote.project.name,
        "number": str(revision),
        "total": amount(revision.gross_total, read_offer(revision)),
        "until": date_format(revision.valid_until, "j F Y"),
        "business": Business.objects.current().name,
    }


def _address(link: Link, ids: dict[str, str]) -> str:
    secret = new_secret()
    LinkSecret.objects.create(link=link, digest=digest_of(secret))
    return ids["site"].rstrip("/") + reverse("quoting:offer", args=[secret])


def fill_offer(ids: dict[str, str]) -> Filled:
    link = _link_of(ids)
    if link.revision.state(on=timezone.localdate()) in {"withdrawn", "superseded"}:
        raise NotDue(_("The issue was withdrawn or replaced before the letter went out."))
    words = {**_words(link.revision), "who": link.for_whom, "address": _address(link, ids)}
    return words, _document(link.revision, "proposal") if ids.get("pdf") else ()


def _document(revision: Revision, kind: str) -> tuple[tuple[str, bytes, str], ...]:
    kept = revision.files.filter(kind=kind).select_related("file").first()
    if kept is None:
        raise OSError(_("The document is not made yet."))  # tried again later
    with kept.file.file.open("rb") as file:
        return ((f"{revision.number}-{revision.letter}-{kind}.pdf", file.read(), PDF),)


def fill_question(ids: dict[str, str]) -> Filled:
    asked = _found(Question, ids["question"])
    words = _words(asked.revision)
    words |= {"question": asked.text, "about": asked.about_name or words["project"]}
    words["who"] = asked.link.for_whom if asked.link else ""
    words["address"] = ids["site"].rstrip("/") + asked.revision.get_absolute_url()
    return words, ()


def fill_answer(ids: dict[str, str]) -> Filled:
    asked = _found(Question, ids["question"])
    link = _link_of({"link": str(asked.link_id)})
    words = {**_words(asked.revision), "question": asked.text, "answer": asked.answer}
    words |= {"who": link.for_whom, "about": asked.about_name or words["project"]}
    words["address"] = _address(link, ids)
    return words, ()


def fill_accepted(ids: dict[str, str]) -> Filled:
    accepted = _found(Acceptance, ids["acceptance"])
    words = {**_words(accepted.revision), "who": accepted.name}
    words["total"] = amount(accepted.gross_total, read_offer(accepted.revision))
    words["address"] = _where_it_stands(accepted.revision, ids)
    return words, _document(accepted.revision, "certificate")


def _where_it_stands(revision: Revision, ids: dict[str, str]) -> str:
    """The client's own address where the letter goes to them and their link works, else ours."""
    if "link" not in ids:
        return ids["site"].rstrip("/") + revision.get_absolute_url()
    link = Link.objects.filter(pk=ids["link"]).first()
    if link is None or not link.works(at=timezone.now()):
        return _("ask us for a new one, since the link you ordered on no longer works")
    return _address(link, ids)


def fill_declined(ids: dict[str, str]) -> Filled:
    event = _found(RevisionEvent, ids["event"])
    return {**_words(event.revision), "reason": event.note or "–"}, ()


def fill_receipt(ids: dict[str, str]) -> Filled:
    """The receipt of a payment, with what is still open as it stands when the letter goes out."""
    payment = _found(Payment, ids["payment"], "order__quote__project")
    offer = read_offer(payment.order)
    told = {"sum": amount(payment.amount, offer), "day": day(payment.day, offer)}
    told["how"] = payment.how
    what = _what_came(told, is_undone=payment.undoes_id is not None)
    words = _account_words(payment.order, ids) | {"what": what}
    name = f"{payment.order.number}-{payment.order.letter}-receipt.pdf"
    return words, _attached(name, Receipt.objects.filter(payment=payment))


def fill_fee_receipt(ids: dict[str, str]) -> Filled:
    """The receipt of a design fee. There is no offer yet whose words it could take."""
    payment = _found(FeePayment, ids["payment"], "fee__project__client")
    profile, project = Business.objects.current(), payment.fee.project
    told = {
        "sum": printed(payment.gross, currency=payment.currency, locale=profile.locale),
        "day": date_format(payment.day, "j F Y"),
        "how": payment.how,
    }
    words = {
        "who": project.client.name if project.client else project.name,
        "project": project.name,
        "what": _what_came(told, is_undone=payment.undoes_id is not None),
        "business": profile.name,
    }
    return words, _attached("design-fee-receipt.pdf", FeeReceipt.objects.filter(payment=payment))


def fill_fee_due(ids: dict[str, str]) -> Filled:
    """What is to be paid next of a design fee, with today's tax; not due once that part is paid."""
    fee = _found(DesignFee, ids["fee"], "project__client")
    profile, project = Business.objects.current(), fee.project
    stand = fee_stand(project, currency=profile.currency)
    part = stand.next_part if stand else None
    if part is None or str(part.index) != ids["part"]:
        raise NotDue(_("It was paid before the letter went out."))
    try:
        due = reckoned(fee, part.net, currency=profile.currency, day=timezone.localdate())
    except KeyError as error:
        raise NotDue(_("There is no tax rate for this treatment on this day.")) from error
    told = {
        name: printed(value, currency=profile.currency, locale=profile.locale)
        for name, value in (("gross", due.gross), ("net", due.net), ("sum", due.tax))
    }
    told |= {"words": part.words, "tax": profile.tax_name}
    what = _("%(words)s: %(gross)s (%(net)s and %(sum)s %(tax)s)") % told
    if fee.is_credited:
        what += "\n\n" + _(
            "As agreed (%(where)s), it is taken off the order when you place it."
        ) % {"where": fee.agreed_in}
    words = {
        "who": project.client.name if project.client else project.name,
        "project": project.name,
        "what": what,
        "business": profile.name,
    }
    return words, ()


def _attached(name: str, papers: QuerySet[Any]) -> tuple[tuple[str, bytes, str], ...]:
    """The paper that is kept. Raises OSError where it is not made yet: the letter is tried again."""
    kept = papers.select_related("file").first()
    if kept is None:
        raise OSError(_("The document is not made yet."))
    with kept.file.file.open("rb") as file:
        return ((name, file.read(), PDF),)


def _what_came(told: dict[str, str], *, is_undone: bool) -> str:
    if is_undone:
        return _("%(sum)s that we had entered is taken back on %(day)s: %(how)s.") % told
    return _("On %(day)s we received %(sum)s, %(how)s.") % told


def fill_payment_due(ids: dict[str, str]) -> Filled:
    """What is to be paid next, as it stands when the letter goes out; not due once it is paid."""
    order = _found(Revision, ids["order"], "quote__project")
    account = _account(order)
    if account.open_stage is None:
        raise NotDue(_("It was paid before the letter went out."))
    stage = account.open_stage
    told = {"name": stage.name, "sum": amount(stage.open, account.offer), "when": stage.when}
    words = _account_words(order, ids)
    return words | {"stage": _("%(name)s, %(when)s: %(sum)s") % told}, ()


def _account_words(order: Revision, ids: dict[str, str]) -> dict[str, str]:
    account = _account(order)
    link = _found(Link, ids["link"], "revision")
    return {
        **_words(order),
        "who": link.for_whom,
        "total": amount(account.due, account.offer),
        "open": amount(account.open, account.offer),
        "address": _where_it_stands(order, ids),
    }


def _account(order: Revision) -> Account:
    account = account_of(order)
    if account is None:
        raise NotDue(_("What the letter is about is gone."))
    return account


def _found(model: type, key: str, its_project: str = "revision__quote__project"):  # type: ignore[no-untyped-def]
    try:
        return model.objects.select_related(its_project).get(pk=key)
    except ObjectDoesNotExist as error:
        raise NotDue(_("What the letter is about is gone.")) from error


KINDS = (
    KindOfLetter(
        name="offer",
        title=gettext_lazy("The offer, to the client"),
        subject=gettext_lazy("Your lighting for {project}: offer {number}"),
        body=gettext_lazy(
            "Dear {who},\n\nyour offer for {project} is ready. It comes to {total} and holds until "
            "{until}. Read it, try the scenes, ask, and answer here:\n\n{address}\n\nThis address "
            "is yours: whoever has it can read and answer the offer.\n\n{business}"
        ),
        fill=fill_offer,
        sample=_sample(*TO_SOMEBODY),
    ),
    KindOfLetter(
        name="question",
        title=gettext_lazy("A client's question, to us"),
        subject=gettext_lazy("Question on {number}, {about}"),
        body=gettext_lazy("{who} asks about {about}:\n\n{question}\n\nAnswer here: {address}"),
        fill=fill_question,
        sample=_sample(*TO_SOMEBODY, "question", "about"),
    ),
    KindOfLetter(
        name="answer",
        title=gettext_lazy("Our answer, to the client"),
        subject=gettext_lazy("Your question on {project}"),
        body=gettext_lazy(
            "Dear {who},\n\nyou asked about {about}:\n{question}\n\nOur answer:\n{answer}\n\nThe "
            "offer: {address}\n\n{business}"
        ),
        fill=fill_answer,
        sample=_sample(*TO_SOMEBODY, "question", "about", "answer"),
    ),
    KindOfLetter(
        name="accepted",
        title=gettext_lazy("Receipt of an order, to the client and to us"),
        subject=gettext_lazy("Order received: {project}, {number}"),
        body=gettext_lazy(
            "{who} ordered what offer {number} for {project} says, at {total} with tax. The "
            "certificate of it comes with this letter.\n\nThe offer, its documents and the "
            "certificate are here: {address}\n\n{business}"
        ),
        fill=fill_accepted,
        sample=_sample(*TO_SOMEBODY),
    ),
    KindOfLetter(
        name="payment-due",
        title=gettext_lazy("What is to be paid next, to the client"),
        subject=gettext_lazy("To be paid: {project}, {number}"),
        body=gettext_lazy(
            "Dear {who},\n\nfor your order {number} ({project}) this is to be paid now:\n\n{stage}"
            "\n\nOf {total} in all {open} is open. How your order stands, with every receipt: "
            "{address}\n\n{business}"
        ),
        fill=fill_payment_due,
        sample=_sample(*TO_SOMEBODY, "stage", "open"),
    ),
    KindOfLetter(
        name="receipt",
        title=gettext_lazy("Receipt of a payment, to the client"),
        subject=gettext_lazy("Receipt: {project}, {number}"),
        body=gettext_lazy(
            "Dear {who},\n\n{what} The receipt comes with this letter.\n\nOf {total} in all {open} "
            "is open. How your order stands, with every receipt: {address}\n\n{business}"
        ),
        fill=fill_receipt,
        sample=_sample(*TO_SOMEBODY, "what", "open"),
    ),
    KindOfLetter(
        name="fee-due",
        title=gettext_lazy("A design fee that is to be paid, to the client"),
        subject=gettext_lazy("Design fee: {project}"),
        body=gettext_lazy(
            "Dear {who},\n\nfor the design of your lighting ({project}) this is to be paid now:\n\n"
            "{what}\n\nYou get a receipt when it is in.\n\n{business}"
        ),
        fill=fill_fee_due,
        sample=_sample("who", "project", "business")
        | {
            "what": gettext_lazy(
                "Design of the lighting, when we begin: £300.00 (£250.00 and £50.00 VAT)"
            )
        },
    ),
    KindOfLetter(
        name="fee-receipt",
        title=gettext_lazy("Receipt of a design fee, to the client"),
        subject=gettext_lazy("Receipt of your design fee: {project}"),
        body=gettext_lazy(
            "Dear {who},\n\n{what} The receipt of your design fee for {project} comes with this "
            "letter.\n\n{business}"
        ),
        fill=fill_fee_receipt,
        sample=_sample("who", "project", "what", "business"),
    ),
    KindOfLetter(
        name="declined",
        title=gettext_lazy("A client declined, to us"),
        subject=gettext_lazy("Declined: {project}, {number}"),
        body=gettext_lazy("The client declined {number} for {project}.\n\nReason: {reason}"),
        fill=fill_declined,
        sample=_sample(*OF_ISSUE, "reason"),
    ),
)


def register_all() -> None:
    for kind in KINDS:
        register(kind)
