"""Plans of issues: units of an accepted one stay where they are, those of the last one if they can.

This package does not know quotes. Whoever keeps issued plans registers a source here, when the
program starts. A source says what was issued as a query, which is read together with the design,
and gives the units of one issue. An issued plan is kept as content by `content_of` and read back by
`units_of`, exact to the last digit.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from django.db.models import QuerySet

from consult.models import Project
from engineering.control_plan import CircuitPart, Output, PowerSupply, Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """Units of earlier plans: `held` are wired; `previous` were issued last, and not accepted."""

    held: tuple[Unit, ...] = ()
    previous: tuple[Unit, ...] = ()


NOTHING = Earlier()


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Who keeps issued plans.

    `issues` gives what was issued in a project, in no order, each with the names `ISSUE`: its key,
    when it was issued, and whether it is accepted. `units` gives the units of the issue of a key.
    """

    issues: Callable[[Project], QuerySet[Any]]
    units: Callable[[str], tuple[Unit, ...]]


ISSUE = ("key", "since", "is_accepted")
_sources: list[Source] = []


def register(source: Source) -> None:
    """Set who keeps issued plans; there is one in a program."""
    _sources[:] = [source]


def issues_of(project: Project) -> list[QuerySet[Any]]:
    """What was issued in this project, as queries; none where nobody keeps issues."""
    return [source.issues(project) for source in _sources]


def earlier_units(issues: Iterable[Mapping[str, Any]]) -> Earlier:
    """The units of the newest accepted issue, and of the newest one if that is not accepted."""
    if not issues:
        return NOTHING
    ordered = sorted(issues, key=lambda issue: str(issue["since"]), reverse=True)
    in_force = next((issue for issue in ordered if issue["is_accepted"]), None)
    newest = ordered[0] if ordered else None
    return Earlier(held=_units(in_force), previous=_units(newest) if newest is not in_force else ())


def _units(issue: Mapping[str, Any] | None) -> tuple[Unit, ...]:
    return () if issue is None else _sources[0].units(str(issue["key"]))


def content_of(units: Iterable[Unit]) -> list[dict[str, Any]]:
    """Units as JSON knows them; floats become text, so that they come back as they were."""
    return [_content(unit) for unit in units]


def _content(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        kept = [each.name for each in fields(value) if each.name != "reasons"]
        return {name: _content(getattr(value, name)) for name in kept}
    if isinstance(value, tuple):
        return [_content(each) for each in value]
    return repr(value) if isinstance(value, float) else value


def units_of(content: Iterable[Mapping[str, Any]]) -> tuple[Unit, ...]:
    """Units from their content. Raises KeyError or ValueError where it is not what was written."""
    return tuple(_unit(each) for each in content)


def _unit(given: Mapping[str, Any]) -> Unit:
    return Unit(
        enclosure=given["enclosure"],
        number=given["number"],
        reference=given["reference"],
        outputs=tuple(_output(each) for each in given["outputs"]),
        supplies=tuple(_supply(each) for each in given["supplies"]),
        max_w=float(given["max_w"]),
        cost_minor=given["cost_minor"],
        is_held=given["is_held"],
    )


def _output(given: Mapping[str, Any]) -> Output:
    return Output(
        number=given["number"],
        parts=tuple(
            CircuitPart(
                circuit=part["circuit"],
                pieces=tuple(part["pieces"]),
                power_w=float(part["power_w"]),
                channel=part["channel"],
                supplies=tuple(_supply(each) for each in part["supplies"]),
            )
            for part in given["parts"]
        ),
        min_w=None if given["min_w"] is None else float(given["min_w"]),
        max_w=None if given["max_w"] is None else float(given["max_w"]),
    )


def _supply(given: Mapping[str, Any]) -> PowerSupply:
    return PowerSupply(
        reference=given["reference"],
        count=given["count"],
        volts=float(given["volts"]),
        load_w=float(given["load_w"]),
        rating_w=float(given["rating_w"]),
        share_loaded=float(given["share_loaded"]),
        cost_minor=given["cost_minor"],
    )
