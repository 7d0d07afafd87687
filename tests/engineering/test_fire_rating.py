"""Evidence of fire resistance belongs to fitting, board and joist together."""

import pytest

from engineering.fire_rating import Ceiling, FireTest, evidence_codes

# Trade texts, read: 30 minutes were tested with joists at 600 mm under one layer of board.
TESTED = Ceiling(joists="solid", centres_m=0.6, board_layers=1)
REPORT = FireTest(minutes=30, ceiling=TESTED)


def codes(ceiling, needed_minutes=30, tests=(REPORT,)):
    found = evidence_codes(needed_minutes=needed_minutes, ceiling=ceiling, tests=tests)
    return [reason.code for reason in found]


def test_a_test_of_this_ceiling_is_still_to_be_checked():
    assert codes(TESTED) == ["evidence-to-be-checked"]
    stronger = Ceiling(joists="solid", centres_m=0.4, board_layers=2)
    assert codes(stronger) == ["evidence-to-be-checked"]


@pytest.mark.parametrize(
    "built",
    [
        Ceiling(joists="i-joist", centres_m=0.6, board_layers=1),
        Ceiling(joists="metal-web", centres_m=0.6, board_layers=1),
        Ceiling(joists="solid", centres_m=0.61, board_layers=1),
    ],
)
def test_another_ceiling_is_not_covered(built):
    assert codes(built) == ["evidence-not-on-file"]


def test_fewer_layers_or_more_minutes_are_not_covered():
    double = FireTest(minutes=60, ceiling=Ceiling(joists="solid", centres_m=0.6, board_layers=2))
    assert codes(TESTED, tests=(double,)) == ["evidence-not-on-file"]
    assert codes(TESTED, needed_minutes=60) == ["evidence-not-on-file"]
    assert codes(TESTED, tests=()) == ["evidence-not-on-file"]


def test_an_unknown_ceiling_is_never_covered():
    assert codes(Ceiling()) == ["ceiling-not-known", "evidence-not-on-file"]
    vague = FireTest(minutes=90, ceiling=Ceiling())
    assert codes(TESTED, tests=(vague,)) == ["evidence-not-on-file"]


def test_bad_values_are_refused():
    with pytest.raises(ValueError, match="minutes"):
        FireTest(minutes=45, ceiling=TESTED)
    with pytest.raises(ValueError, match="needed_minutes"):
        codes(TESTED, needed_minutes=20)
    with pytest.raises(ValueError, match="board_layers"):
        Ceiling(board_layers=0)
