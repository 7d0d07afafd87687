"""Every form carries its forgery token: a part of a page that is given only some values is given it too."""

import re
from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(settings.BASE_DIR) / "templates"
INCLUDE = re.compile(r'\{%\s*include\s+"([^"]+)"([^%]*?)%\}')
SOURCES = {str(each.relative_to(ROOT)): each.read_text() for each in ROOT.rglob("*.html")}


def with_forms() -> set[str]:
    """Templates with a form of their own, or with a part that has one."""
    found = {name for name, source in SOURCES.items() if "{% csrf_token %}" in source}
    while True:
        more = {
            name
            for name, source in SOURCES.items()
            if any(part in found for part, _given in INCLUDE.findall(source))
        }
        if more <= found:
            return found
        found |= more


@pytest.mark.parametrize("name", sorted(SOURCES))
def test_parts_with_forms_are_given_the_token(name):
    needing = with_forms()
    without = [
        part
        for part, given in INCLUDE.findall(SOURCES[name])
        if part in needing and given.split()[-1:] == ["only"] and "csrf_token=" not in given
    ]
    assert without == []
