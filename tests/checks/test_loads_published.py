"""Loads and efficacy against published figures; 'as quoted' means that the original was not read."""

import pytest

from engineering import efficacy, loads
from engineering.efficacy import Nation
from engineering.existing_wiring import NOTIFIABLE, NOTIFIABLE_SOURCE, Work
from engineering.loads import Premises
from engineering.published import Certainty


def test_diversity_of_lighting():
    # On-Site Guide Tables A1/A2 and Whitfield Table 6.2: 66 % households, 90 % shops, 75 % hotels.
    assert loads.DIVERSITY == {
        Premises.HOUSEHOLD: 0.66,
        Premises.SHOP: 0.90,
        Premises.HOTEL: 0.75,
    }


def test_twelve_lampholders():
    # Same tables, 100 W a lampholder from memory: 1200 W is 5.217 A; 66 % of it 3.443 A.
    watts = loads.lampholders_w(holders=12)
    assert watts == 1200
    assert loads.LAMPHOLDER_W.source.certainty is Certainty.MEMORY
    after = loads.after_diversity(connected_va=watts)
    assert after.connected_a == pytest.approx(5.217, rel=0.005)
    assert after.after_a == pytest.approx(3.443, rel=0.005)


def test_efficacy_of_homes_in_england():
    # Approved Document L volume 1, 2021, 6.57 to 6.60, as quoted clause by clause: 75 light-source
    # lumens per circuit-watt for each internal fitting. (Older pages with 45 lm/W are superseded.)
    figure = efficacy.least_for_dwelling(nation=Nation.ENGLAND)
    assert (figure.value, figure.source.edition) == (75, "2021")
    assert efficacy.against_setting(source_lm=750, circuit_w=10, setting_lm_per_w=75).is_met
    assert not efficacy.against_setting(source_lm=749, circuit_w=10, setting_lm_per_w=75).is_met
    for nation in (Nation.WALES, Nation.SCOTLAND, Nation.NORTHERN_IRELAND, Nation.OTHER):
        assert efficacy.least_for_dwelling(nation=nation) is None


def test_outside_fittings_of_homes_in_england():
    # Same clauses: daylight-off always; presence-off too where the efficacy is 75 or less.
    def codes(lm_per_w, presence):
        found = efficacy.external_codes(
            lm_per_w=lm_per_w, has_daylight_off=True, has_presence_off=presence
        )
        return [reason.code for reason in found]

    assert codes(75, False) == ["needs-presence-off"]
    assert codes(75.1, False) == []
    assert codes(60, True) == []


def test_efficacy_of_other_buildings_in_england():
    # Approved Document L volume 2, 2021, as quoted: 95 luminaire lm/W; display 80 light-source lm/W
    # or 0.3 W/m²; high excitation purity 65.
    values = (
        efficacy.GENERAL_LUMINAIRE_LM_PER_W.value,
        efficacy.DISPLAY_LM_PER_W.value,
        efficacy.DISPLAY_W_PER_M2.value,
        efficacy.SATURATED_COLOUR_LM_PER_W.value,
    )
    assert values == (95, 80, 0.3, 65)


def test_what_is_notifiable_in_england():
    # Approved Document P, 2013, as quoted: new circuit, consumer unit, work in a special location.
    assert {
        Work.NEW_CIRCUIT,
        Work.CONSUMER_UNIT,
        Work.ALTERATION_IN_SPECIAL_LOCATION,
    } == NOTIFIABLE
    assert NOTIFIABLE_SOURCE.edition == "2013"


def test_points_on_a_lighting_circuit_are_common_practice():
    # Common practice, no source: B6, about 8 to 12 points.
    assert 8 <= loads.POINTS_ON_6_A_GUIDE.value <= 12
    assert loads.POINTS_ON_6_A_GUIDE.source.certainty is Certainty.COMMON_PRACTICE
