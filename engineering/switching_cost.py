"""What ordinary switching costs beside the control plan: honest where it is the cheaper one."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from engineering import refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class SideBySide:
    """Cost of both ways in whole minor units; `cheaper` None where they cost the same.

    `unpriced` names the pieces without a price: while there are any, the conventional cost is a lower
    bound, and it is never called the cheaper one.
    """

    conventional_minor: int
    planned_minor: int
    unpriced: tuple[str, ...]

    @property
    def is_complete(self) -> bool:
        """Whether every piece of the conventional way had a price."""
        return not self.unpriced

    @property
    def cheaper(self) -> Literal["conventional", "planned"] | None:
        """The cheaper way, or None where they are equal or a price is missing that may turn it."""
        if self.planned_minor < self.conventional_minor:
            return "planned"
        if self.unpriced or self.planned_minor == self.conventional_minor:
            return None
        return "conventional"


def side_by_side(
    *,
    items: Mapping[str, int],
    prices_minor: Mapping[str, int],
    labour_and_cable_minor: int,
    planned_minor: int,
) -> SideBySide:
    """Return the cost of the conventional way beside that of the control plan.

    Parameters: items, pieces by code as `RoomSwitches.items` gives them; prices_minor, price of one
    piece in whole minor units, 0 or more; labour_and_cable_minor and planned_minor, 0 or more.

    >>> side_by_side(items={"box-1-25": 2}, prices_minor={"box-1-25": 90},
    ...              labour_and_cable_minor=1000, planned_minor=5000).cheaper
    'conventional'
    """
    refusal.count("labour_and_cable_minor", labour_and_cable_minor, at_least=0)
    refusal.count("planned_minor", planned_minor, at_least=0)
    total = labour_and_cable_minor
    for code, pieces in items.items():
        refusal.count(f"pieces of {code}", pieces, at_least=0)
        if code in prices_minor:
            price = refusal.count(f"price of {code}", prices_minor[code], at_least=0)
            total += pieces * price
    return SideBySide(
        conventional_minor=total,
        planned_minor=planned_minor,
        unpriced=tuple(sorted(code for code in items if code not in prices_minor)),
    )
