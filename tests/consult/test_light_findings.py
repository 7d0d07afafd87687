"""Where the findings of light begin and end: each bound, from both sides."""

from dataclasses import replace
from decimal import Decimal

import pytest

from consult import planning
from consult.findings import find_all
from consult.findings import light as rules
from consult.findings.registry import RULES, Case
from consult.light.figures import PlaneFigures
from consult.light.quick import quick_light
from consult.light.targets import GUIDES, Targets
from tests.consult.houses import a_circuit, a_feed, a_fitting, a_house, a_room, findings, hung


def told(rule, house, targets):
    case = Case(house=house, plan=planning.plan(house), targets=targets)
    return find_all(case, {rule: RULES[rule]})


def test_a_room_is_too_dark_below_nine_tenths_of_the_least_asked_for():
    room = a_room(use="study")
    house = a_house(a_circuit("C1", hung(arrangement="grid", pieces=6)), rooms=(room,))
    average = quick_light(house, room, GUIDES).average_lx

    def asked(low):
        target = replace(GUIDES.of("study"), low_lx=low, high_lx=2 * low)
        return told("room-too-dark", house, Targets(by_use=(target,)))

    assert not asked(average / 0.905)
    (found,) = asked(average / 0.895)
    assert dict(found.values)["lux"] == f"{average:.0f}"
    assert not told("room-too-dark", house, Targets(by_use=()))


@pytest.mark.parametrize(("least", "speaks"), [(39.9, True), (40.1, False)])
def test_work_asks_for_a_darkest_place_of_four_tenths(monkeypatch, least, speaks):
    figures = PlaneFigures(
        average_lx=100.0, minimum_lx=least, maximum_lx=150.0, uniformity=least / 100
    )
    monkeypatch.setattr(rules, "full_figures", lambda _stated, _light: figures)
    monkeypatch.setattr(rules, "solved", lambda _problem: None)
    for use in sorted(rules.EVEN_USES):
        house = a_house(rooms=(a_room(use=use),))
        assert bool(told("room-uneven", house, GUIDES)) is speaks
    assert not told("room-uneven", a_house(rooms=(a_room(use="living"),)), GUIDES)


@pytest.mark.parametrize(("beam_deg", "speaks"), [(53, True), (54, False)])
def test_spots_stand_at_most_one_and_a_half_pools_apart(beam_deg, speaks):
    """Two over 5 m are 2.5 m apart; 1.65 m below, a pool of 2.5 / 1.5 m has a beam of 53.6°."""
    house = a_house(
        a_circuit("C1", hung(arrangement="grid", pieces=2)),
        products=(a_fitting(feed=a_feed(beam_deg=Decimal(beam_deg))),),
    )
    assert bool(findings(house, "spots-too-far-apart")) is speaks


@pytest.mark.parametrize(
    ("offset", "speaks"), [("0.47", True), ("0.49", False), ("1.19", False), ("1.21", True)]
)
def test_a_wash_stands_a_fifth_to_a_half_of_the_height_off_its_wall(offset, speaks):
    row = hung(arrangement="along-wall", offset_m=Decimal(offset), tilt_deg=25)
    house = a_house(a_circuit("C1", row))  # 2.4 m high
    assert bool(findings(house, "wash-off-its-wall")) is speaks


@pytest.mark.parametrize(("tilt", "speaks"), [(4, False), (5, True), (60, True), (61, False)])
def test_only_what_is_tilted_to_its_wall_is_a_wash(tilt, speaks):
    row = hung(arrangement="along-wall", offset_m=Decimal("0.1"), tilt_deg=tilt)
    assert bool(findings(a_house(a_circuit("C1", row)), "wash-off-its-wall")) is speaks
