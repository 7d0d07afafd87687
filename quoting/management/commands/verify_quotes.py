"""Check every issue against its seal: `manage.py verify_quotes`. One line for each bad one."""

import sys
from typing import Any

from django.core.management.base import BaseCommand

from quoting.models import Revision
from quoting.verifying import fee_receipt_flaws, line, missing_guards, verify_all


class Command(BaseCommand):
    help = "Check every issued quote: seals, bytes, sums, documents. Exit code 1 if any is bad."

    def handle(self, *_args: Any, **_options: Any) -> None:
        bad = [line(revision, flaws) for revision, flaws in verify_all()]
        bad += fee_receipt_flaws()
        bad += [f"guard missing in the database: {name}" for name in missing_guards()]
        for each in bad:
            self.stdout.write(each)
        if bad:
            sys.exit(1)
        self.stdout.write(self.style.SUCCESS(f"{Revision.objects.count()} issues hold."))
