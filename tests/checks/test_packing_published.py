"""Packing against published instances and counts."""

import math

import pytest

from engineering.control import LOAD_KINDS
from engineering.packing import pack
from engineering.receivers import CircuitLoad, ReceiverOption, plan

# OR-Library, bin packing file binpack1, instance u120_00: capacity 150, 120 items, best known 48 bins (its
# header); best fit and first fit, largest first, give 49.
U120_00 = [
    int(size)
    for size in [
        "42",
        "69",
        "67",
        "57",
        "93",
        "90",
        "38",
        "36",
        "45",
        "42",
        "33",
        "79",
        "27",
        "57",
        "44",
        "84",
        "86",
        "92",
        "46",
        "38",
        "85",
        "33",
        "82",
        "73",
        "49",
        "70",
        "59",
        "23",
        "57",
        "72",
        "74",
        "69",
        "33",
        "42",
        "28",
        "46",
        "30",
        "64",
        "29",
        "74",
        "41",
        "49",
        "55",
        "98",
        "80",
        "32",
        "25",
        "38",
        "82",
        "30",
        "35",
        "39",
        "57",
        "84",
        "62",
        "50",
        "55",
        "27",
        "30",
        "36",
        "20",
        "78",
        "47",
        "26",
        "45",
        "41",
        "58",
        "98",
        "91",
        "96",
        "73",
        "84",
        "37",
        "93",
        "91",
        "43",
        "73",
        "85",
        "81",
        "79",
        "71",
        "80",
        "76",
        "83",
        "41",
        "78",
        "70",
        "23",
        "42",
        "87",
        "43",
        "84",
        "60",
        "55",
        "49",
        "78",
        "73",
        "62",
        "36",
        "44",
        "94",
        "69",
        "32",
        "96",
        "70",
        "84",
        "58",
        "78",
        "25",
        "80",
        "58",
        "66",
        "83",
        "24",
        "98",
        "60",
        "42",
        "43",
        "43",
        "39",
    ]
]


def _check(found, sizes, capacity):
    assert sorted(size for held in found.bins for size in held) == sorted(sizes)
    assert all(sum(held) <= capacity for held in found.bins)
    assert len(found.bins) == found.count


def test_the_published_instance_of_120_items_needs_48_bins():
    """Source: OR-Library binpack1, u120_00."""
    assert len(U120_00) == 120
    found = pack(sizes=U120_00, capacity=150)
    _check(found, U120_00, 150)
    assert (found.count, found.lower_bound, found.is_proven) == (48, 48, True)


@pytest.mark.parametrize(
    ("capacity", "sizes", "bins"),
    [
        # Computed: the sum 299 needs 3; largest-first greedy packing gives 4.
        (100, [49, 41, 34, 33, 29, 26, 26, 22, 20, 19], 3),
        # Computed: the sum is 180, so three bins are filled to the last.
        (60, [44, 24, 24, 22, 21, 17, 8, 8, 6, 6], 3),
    ],
)
def test_where_greedy_packing_is_wrong_or_just_right(capacity, sizes, bins):
    found = pack(sizes=sizes, capacity=capacity)
    _check(found, sizes, capacity)
    assert (found.count, found.is_proven) == (bins, True)


def test_thirty_seven_circuits_on_eight_outputs_need_five_receivers():
    """Source: counting, ceil(37 / 8) = 5."""
    receiver = ReceiverOption(
        reference="R8", outputs=8, limits={"switched": (0, 100)}, unit_max_w=800, cost_minor=1
    )
    circuits = [
        CircuitLoad(code=f"C{n:02}", load_kind=LOAD_KINDS[0], fittings_w=(10,)) for n in range(37)
    ]
    found = plan(circuits=circuits, receivers=[receiver])
    assert (len(found.units), found.is_proven) == (math.ceil(37 / 8), True)
