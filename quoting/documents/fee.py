"""The receipt of a design fee: a sale of its own, before there is an offer to read it from."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from base.models import Business as Profile
from quoting import words
from quoting.documents.keeping import keep_paper
from quoting.documents.rendering import render_pdf
from quoting.models import FeePayment, FeeReceipt
from quoting.money import rounded
from quoting.offer import Business, Party, Project
from quoting.offering import business_of, client_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What documents read of an offer, where there is none yet."""

    business: Business
    client: Party
    project: Project
    currency: str
    locale: str
    tax_name: str
    number: str
    revision: str = ""


def fee_receipt_pdf(payment: FeePayment) -> bytes:
    """The receipt of a design fee, or of its taking back, by the profile of the day it is made."""
    profile, project = Profile.objects.current(), payment.fee.project
    sign = -1 if payment.undoes_id else 1
    net, tax, gross = (
        rounded(sign * each, payment.currency) for each in (payment.net, payment.tax, payment.gross)
    )
    context: dict[str, object] = {
        "payment": payment,
        "net": net,
        "tax": tax,
        "gross": gross,
        "rate": payment.tax_rate,
        "tax_note": " ".join(words.fee_tax_note(payment.tax_treatment, profile.tax_name)),
        "credited": payment.fee.is_credited and not payment.undoes_id,
        "offer": Head(
            business=business_of(profile),
            client=client_of(project),
            project=Project(name=project.name),
            currency=payment.currency,
            locale=profile.locale,
            tax_name=profile.tax_name,
            number=_("Design fee"),
        ),
    }
    return render_pdf("documents/fee_receipt.html", context)


def keep_fee_receipt(payment: FeePayment) -> FeeReceipt:
    """Make the receipt of a design fee and keep it; the one that is there stays."""
    return keep_paper(FeeReceipt, payment, lambda: fee_receipt_pdf(payment))
