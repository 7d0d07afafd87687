"""Packing: limits, laws and refusals."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.packing import pack

sizes_lists = st.lists(st.integers(1, 50), max_size=14)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(sizes=sizes_lists)
def test_every_bin_holds_and_nothing_is_lost(sizes):
    found = pack(sizes=sizes, capacity=50)
    assert sorted(size for held in found.bins for size in held) == sorted(sizes)
    assert all(sum(held) <= 50 for held in found.bins)
    assert math.ceil(sum(sizes) / 50) <= found.lower_bound <= found.count


def _fewest(sizes, capacity):
    """Exhaustive: put each size in every bin in turn."""
    best = len(sizes)

    def place(index, bins):
        nonlocal best
        if len(bins) >= best and index < len(sizes):
            return
        if index == len(sizes):
            best = min(best, len(bins))
            return
        for number in range(len(bins)):
            if bins[number] + sizes[index] <= capacity:
                place(index + 1, [*bins[:number], bins[number] + sizes[index], *bins[number + 1 :]])
        place(index + 1, [*bins, sizes[index]])

    place(0, [])
    return best


def test_small_cases_need_what_exhaustive_search_finds():
    rng = random.Random(4)
    for _ in range(60):
        sizes = [rng.randint(8, 40) for _ in range(rng.randint(1, 9))]
        found = pack(sizes=sizes, capacity=60)
        assert (found.count, found.is_proven) == (_fewest(sizes, 60), True), sizes


def test_the_order_of_sizes_does_not_matter():
    sizes = [49, 41, 34, 33, 29, 26, 26, 22, 20, 19]
    shuffled = sizes[:]
    random.Random(1).shuffle(shuffled)
    assert pack(sizes=sizes, capacity=100) == pack(sizes=shuffled, capacity=100)


def test_decimal_sizes_add_up_exactly():
    assert pack(sizes=[0.1] * 10, capacity=1.0).count == 1
    assert pack(sizes=[0.1] * 3, capacity=0.3).count == 1


def test_nothing_needs_no_bin():
    assert pack(sizes=[], capacity=1).count == 0


@pytest.mark.parametrize("capacity", [0, -1, math.nan, math.inf])
def test_it_refuses_a_capacity_out_of_range(capacity):
    with pytest.raises(ValueError, match="capacity"):
        pack(sizes=[1], capacity=capacity)


@pytest.mark.parametrize("size", [0, -1, math.nan, 11])
def test_it_refuses_a_size_out_of_range(size):
    with pytest.raises(ValueError, match="a size"):
        pack(sizes=[size], capacity=10)
