"""Is usable space what stripes laid one by one come to?"""

from __future__ import annotations

from functools import cache
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.usable import (
    filled,
    shares_each,
    usable_array,
    usable_pairs,
    usable_spread,
)


@cache
def most_stripes(capacities, shares):
    """How many stripes of one unit a piece can be laid at most, all ways tried."""
    ways = (
        places
        for places in combinations(range(len(capacities)), shares)
        if all(capacities[place] for place in places)
    )
    best = 0
    for places in ways:
        left = tuple(sorted(have - (number in places) for number, have in enumerate(capacities)))
        best = max(best, 1 + most_stripes(left, shares))
    return best


@given(st.lists(st.integers(0, 4), min_size=1, max_size=5), st.integers(1, 4))
@settings(max_examples=150)
def test_whole_stripes_laid_in_every_way_come_to_the_formula(capacities, shares):
    """With whole units the most stripes that any way of laying them gives is the formula, rounded down."""
    assert most_stripes(tuple(sorted(capacities)), shares) == int(shares_each(capacities, shares) + 1e-9)


@given(st.lists(st.integers(0, 30), min_size=1, max_size=8), st.integers(1, 5))
def test_the_formula_is_the_largest_that_keeps_its_inequality(capacities, shares):
    """At V the pieces fit, and just above V they do not."""
    most = shares_each(capacities, shares)

    def fits(size):
        return sum(min(have, size) for have in capacities) >= shares * size - 1e-9

    assert fits(most)
    assert not fits(most + 0.01)


@given(
    st.lists(st.integers(1, 30), min_size=2, max_size=8), st.integers(1, 4), st.floats(0, 1, allow_nan=False)
)
def test_an_even_filling_keeps_what_it_must(capacities, shares, part):
    """All pieces lie somewhere, no domain holds more than it has, nor two pieces of one stripe."""
    each = part * shares_each(capacities, shares)
    lies = filled(capacities, shares=shares, each=each)
    assert sum(lies) == pytest.approx(shares * each, abs=1e-6)
    for amount, have in zip(lies, capacities, strict=True):
        assert -1e-9 <= amount <= min(have, each) + 1e-6


@pytest.mark.parametrize(
    ("data", "check", "drives", "share"),
    [(17, 3, 20, 0.85), (4, 2, 6, 2 / 3), (4, 2, 9, 2 / 3), (1, 1, 2, 0.5)],
)
def test_the_usable_share_of_equal_drives_is_by_definition(data, check, drives, share):
    """17+3 gives 85 %, 4+2 gives 66.7 %, two copies give 50 %: k / (k + m) of the whole, by definition."""
    assert usable_spread([4.0] * drives, data=data, check=check) == pytest.approx(share * 4.0 * drives)


@pytest.mark.parametrize("drives", [3, 4, 8])
def test_parity_of_n_equal_drives_leaves_all_but_one(drives):
    """One parity over n drives gives (n - 1) / n of the whole, a mirror a half."""
    assert usable_array([2.0] * drives, check=1) == pytest.approx((drives - 1) / drives * 2.0 * drives)
    assert usable_pairs([2.0] * 2) == pytest.approx(0.5 * 4.0)


def test_unequal_domains_by_hand():
    """Three copies over 10, 4 and 4 hold 4; over 10, 4, 4 and 4 they hold 6, not 22 / 3."""
    assert usable_spread([10, 4, 4], data=1, check=2) == 4
    assert usable_spread([10, 4, 4, 4], data=1, check=2) == 6
    assert usable_spread([10, 4], data=1, check=2) == 0
    assert usable_array([4, 2, 4, 4], check=1) == 6
    assert usable_pairs([4, 2, 3, 3]) == 5
