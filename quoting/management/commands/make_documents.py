"""Make the documents that issues lack: `manage.py make_documents`. Safe to repeat."""

import sys
from typing import Any

from django.core.management.base import BaseCommand

from quoting.documents import keep_documents, lacking
from quoting.documents.fee import keep_fee_receipt
from quoting.models import FeePayment, Receipt, Revision


def _kept(revision: Revision) -> int:
    return revision.files.count() + Receipt.objects.filter(payment__order=revision).count()


class Command(BaseCommand):
    help = "Make missing proposals, packs, certificates and receipts. Exit code 1 if one cannot be made."

    def handle(self, *_args: Any, **_options: Any) -> None:
        made, failed = 0, 0
        for revision in lacking():
            before = _kept(revision)
            try:
                keep_documents(str(revision.pk))
            except ExceptionGroup as group:
                failed += 1
                said = "; ".join(f"{type(e).__name__}: {e}" for e in group.exceptions)
                self.stderr.write(f"{revision}: {said}")
            made += _kept(revision) - before
        for payment in FeePayment.objects.filter(receipt=None).select_related(
            "fee__project__client"
        ):
            keep_fee_receipt(payment)
            made += 1
        self.stdout.write(f"{made} documents made.")
        if failed:
            sys.exit(1)
