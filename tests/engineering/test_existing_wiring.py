"""Prompts about kept wiring and about notification."""

import pytest

from engineering.efficacy import Nation
from engineering.existing_wiring import (
    ExistingWiring,
    NeutralAt,
    OnKeptWiring,
    Work,
    kept_wiring_codes,
    notification_codes,
)

FULL = OnKeptWiring(class_one=2, metal_plates=1, receivers_at_switch=3, switches_left=4)


def codes(wiring, design=FULL):
    return [reason.code for reason in kept_wiring_codes(wiring=wiring, design=design)]


def test_what_is_not_known_is_asked_for():
    assert codes(ExistingWiring()) == [
        "class-one-without-earth-not-known",
        "metal-plate-without-earth-not-known",
        "receiver-without-neutral-not-known",
        "no-test-report",
        "old-switches-to-link-out",
    ]


def test_what_is_missing_is_named():
    bare = ExistingWiring(has_earth=False, neutral_at=NeutralAt.ROSE, has_test_report=False)
    assert codes(bare) == [
        "class-one-without-earth",
        "metal-plate-without-earth",
        "receiver-without-neutral",
        "no-test-report",
        "old-switches-to-link-out",
    ]


def test_good_wiring_leaves_the_old_switches_only():
    good = ExistingWiring(has_earth=True, neutral_at=NeutralAt.SWITCH, has_test_report=True)
    assert codes(good) == ["old-switches-to-link-out"]
    assert codes(good, OnKeptWiring()) == []


def test_pieces_are_counted():
    found = kept_wiring_codes(wiring=ExistingWiring(has_earth=False), design=FULL)
    assert found[0].values == {"pieces": 2}
    with pytest.raises(ValueError, match="class_one"):
        OnKeptWiring(class_one=-1)


def test_notification_never_says_that_none_is_needed():
    for nation in Nation:
        for work in Work:
            found = notification_codes(nation=nation, works=[work])
            assert found[-1].code == "ask-local-authority-or-registered-electrician"
    wales = notification_codes(nation=Nation.WALES, works=[Work.NEW_CIRCUIT])
    assert wales[0].code == "rules-of-nation-not-held"
    alteration = notification_codes(nation=Nation.ENGLAND, works=[Work.ALTERATION])
    assert [reason.code for reason in alteration] == [
        "ask-local-authority-or-registered-electrician"
    ]
