"""Findings: what stops the job, what to look at. One small rule each, kept in one registry.

A rule is one function over a `Case` (the house, its plan). It yields what it found as codes and
values; title, reason, source and mend stand beside it, translatable. To add one: write the function
in the module of its subject, decorate it by `rule`, and write its test. See docs/calculations/findings.md.
"""

from consult.findings import (
    bathrooms,
    bench,
    cables,
    catalogue,
    ceilings,
    dimming,
    enclosures,
    faults,
    light,
    no_wall,
    openings,
    plans,
    positions,
    radio,
    scenes,
    wiring,
)
from consult.findings.registry import RULES, Case, Found, Rule, find_all, rule

__all__ = [
    "RULES",
    "Case",
    "Found",
    "Rule",
    "bathrooms",
    "bench",
    "cables",
    "catalogue",
    "ceilings",
    "dimming",
    "enclosures",
    "faults",
    "find_all",
    "light",
    "no_wall",
    "openings",
    "plans",
    "positions",
    "radio",
    "rule",
    "scenes",
    "wiring",
]
