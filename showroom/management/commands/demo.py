"""Loads the demo and prints the log-ins. Run again, it changes nothing but the client's address."""

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.urls import reverse

from showroom.demo import build


class Command(BaseCommand):
    help = "Load the demo: an invented showroom with one house."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--no-pictures",
            action="store_true",
            help="Leave out the pictures of rooms in the issued quote, which take some 20 s.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        is_plain = options["no_pictures"] or "NO_DEMO_PICTURES" in os.environ
        project, _made = build.build(pictures=not is_plain)
        for name, email, role in build.PEOPLE:
            self.stdout.write(f"{role.label}: {email}  {build.PASSWORD}  ({name})")
        address = reverse("quoting:offer", args=[build.client_link(project)])
        port = os.environ.get("PORT", "8000")
        self.stdout.write(f"The client's link: http://127.0.0.1:{port}{address}")
