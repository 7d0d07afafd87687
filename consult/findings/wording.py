"""A finding in words: its codes become sentences here, and nowhere else."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext

from catalogue.kinds import LoadKind
from consult import words
from consult.findings.registry import RULES, Found
from consult.kinds import Laid
from consult.light import words as light_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentences:
    """A finding as it is read."""

    title: str
    why: str
    mend: str
    source: str


def sentences(finding: Found) -> Sentences:
    """The finding's sentences, with its values in words."""
    rule = RULES[finding.rule]
    values = {name: _worded(name, value) for name, value in finding.values}
    return Sentences(
        title=str(rule.title),
        why=str(rule.why) % values,
        mend=str(rule.mend) % values,
        source=str(rule.source),
    )


def _worded(name: str, value: str) -> str:
    make = WORDED.get(name)
    return make(value) if make else value


def _one_of(known: Mapping[str, str | Promise]) -> Callable[[str], str]:
    return lambda code: str(known.get(code, code))


def _each_of(known: Mapping[str, str | Promise]) -> Callable[[str], str]:
    return lambda codes: ", ".join(str(known.get(code, code)) for code in codes.split())


WORDED: Mapping[str, Callable[[str], str]] = {
    "load_kind": lambda code: str(dict(LoadKind.choices).get(code, code)).lower(),
    "gap": lambda code: words.gap(code)[:1].lower() + words.gap(code)[1:],
    "reason": lambda code: words.reason(code)[:1].lower() + words.reason(code)[1:],
    "code": _one_of(words.CHECKS),
    "codes": _each_of(words.CHECKS),
    "prompts": _each_of(words.CHECKS),
    "day": lambda day: date_format(datetime.date.fromisoformat(day), "j M Y"),
    "ends": _one_of(words.CHECKS),
    "mend_code": _one_of(words.CHECKS),
    "laid": _one_of({**dict(Laid.choices), **words.CHECKS}),
    "stand": _one_of(words.CHECKS),
    "zone_words": _one_of(words.CHECKS),
    "ceiling": _one_of(words.CHECKS),
    "basis": _each_of(words.CHECKS),
    "wall_side": _one_of(light_words.WALLS),
    "opens_to": lambda name: name or gettext("what is no room of this job"),
}
