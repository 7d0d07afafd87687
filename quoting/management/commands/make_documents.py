"""Make the documents that issues lack: `manage.py make_documents`. Safe to repeat."""

import sys
from typing import Any

from django.core.management.base import BaseCommand

from quoting.documents import keep_documents, lacking


class Command(BaseCommand):
    help = "Make missing proposals, packs and certificates. Exit code 1 if one cannot be made."

    def handle(self, *_args: Any, **_options: Any) -> None:
        made, failed = 0, 0
        for revision in lacking():
            before = revision.files.count()
            try:
                keep_documents(str(revision.pk))
            except ExceptionGroup as group:
                failed += 1
                said = "; ".join(f"{type(e).__name__}: {e}" for e in group.exceptions)
                self.stderr.write(f"{revision}: {said}")
            made += revision.files.count() - before
        self.stdout.write(f"{made} documents made.")
        if failed:
            sys.exit(1)
