"""The settings of a served installation, with one path more: the bare edit."""

from pathlib import Path

from showroom.settings import *  # noqa: F403
from showroom.settings import TEMPLATES

ROOT_URLCONF = "tests.bench.load.urls"
TEMPLATES[0]["DIRS"].append(Path(__file__).parent / "templates")  # type: ignore[attr-defined]
