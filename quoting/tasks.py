"""Work done after a request: documents of an issue."""

from django.tasks import task


@task
def make_documents(revision_id: str) -> None:
    """Render the documents of an issue and keep them with their digests. Safe to repeat."""
    from quoting.documents import keep_documents

    keep_documents(revision_id)


@task
def make_fee_receipt(payment_id: str) -> None:
    """Make the receipt of a design fee and keep it with its digest. Safe to repeat."""
    from quoting.documents.fee import keep_fee_receipt
    from quoting.models import FeePayment

    keep_fee_receipt(FeePayment.objects.get(pk=payment_id))
