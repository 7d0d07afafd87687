"""Papers are made once, kept with their digest, and never made again."""

from collections.abc import Callable

from base.services import store_file
from quoting.models import FeePayment, FeeReceipt, Payment, Receipt


def keep_paper[K: (Receipt, FeeReceipt)](
    kind: type[K], payment: Payment | FeePayment, render: Callable[[], bytes]
) -> K:
    """The paper of a payment: the one that is kept, else made and kept now. Safe to repeat."""
    found = kind.objects.filter(payment=payment).select_related("file").first()
    if found is not None:
        return found
    stored = store_file(content=render(), media_type="application/pdf")
    kept, _made = kind.objects.get_or_create(
        payment=payment, defaults={"file": stored, "sha256": stored.sha256}
    )
    return kept
