"""Load a catalogue from a folder of CSV files; without a folder, the demo's."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalogue import loading

DEMO = Path(__file__).resolve().parents[2] / "data"


class Command(BaseCommand):
    help = "Loads products, prices, norms and rates from CSV files. Doing it again changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--folder", type=Path, default=DEMO)

    def handle(self, *args: Any, **options: Any) -> None:
        folder: Path = options["folder"]
        if not folder.is_dir():
            raise CommandError(f"There is no folder {folder}.")
        try:
            changed = loading.load(folder=folder, today=timezone.localdate())
        except loading.NotLoaded as refusal:
            raise CommandError(f"Nothing was loaded.\n{refusal}") from refusal
        loading.mend_search()
        self.stdout.write(f"Loaded: {changed} rows new or changed.")
