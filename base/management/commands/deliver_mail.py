"""Hand over the letters that are due: `manage.py deliver_mail`, or `--keep-on` beside the worker."""

import time
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from base import outbox


class Command(BaseCommand):
    help = "Hand over the letters that are due, and mark those lost in a hand-over as unknown."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--keep-on", type=int, metavar="SECONDS", help="look again every so many seconds"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        while True:
            sent = outbox.deliver_due()
            if sent or not options["keep_on"]:
                self.stdout.write(f"{sent} sent")
            if not options["keep_on"]:
                return
            time.sleep(options["keep_on"])
