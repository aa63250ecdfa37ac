"""The likeliest sets of independent events, against trying every set."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.diagnosing.likely import Sets, all_odds, left_out, likely_sets

ODDS = st.lists(st.floats(1e-6, 3.0), min_size=0, max_size=8).map(np.array)


def every(n: int) -> list[tuple[int, ...]]:
    """All sets of n events."""
    return [each for size in range(n + 1) for each in combinations(range(n), size)]


def rows_of(found: Sets) -> list[tuple[int, ...]]:
    """The events of each set, as tuples."""
    items = found.members.items.tolist()
    return [tuple(items[start:stop]) for start, stop in pairwise(found.members.indptr.tolist())]


@settings(deadline=None, max_examples=30)
@given(ODDS)
def test_all_sets_where_there_is_room(odds: np.ndarray) -> None:
    """With room for all of them, every set is found once, with the product of its odds."""
    found = likely_sets(odds, most=1 << 8)
    assert found.whole
    assert sorted(rows_of(found)) == sorted(every(len(odds)))
    for row, weight in zip(rows_of(found), found.odds.tolist(), strict=True):
        assert weight == pytest.approx(float(odds[list(row)].prod()), rel=1e-12)
    assert found.odds.sum() == pytest.approx(all_odds(odds), rel=1e-12)


@settings(deadline=None, max_examples=30)
@given(ODDS.filter(lambda odds: len(odds) >= 3), st.integers(9, 40))
def test_the_likeliest_where_there_is_not(odds: np.ndarray, most: int) -> None:
    """Found are the empty set, all single ones, and of the rest none that is less likely than one left out."""
    found = likely_sets(odds, most=most)
    rows = set(rows_of(found))
    assert len(rows) == len(found.odds)
    assert {(), *((number,) for number in range(len(odds)))} <= rows
    larger = [float(odds[list(row)].prod()) for row in rows if len(row) > 1]
    left = [float(odds[list(row)].prod()) for row in every(len(odds)) if row not in rows]
    if larger and left and odds.max() <= 1.0:
        assert min(larger) >= max(left) * (1 - 1e-12)


@settings(deadline=None, max_examples=30)
@given(ODDS.filter(lambda odds: len(odds) >= 3), st.data())
def test_what_is_left_out_weighs_no_more_than_said(odds: np.ndarray, data: st.DataObject) -> None:
    """The bound holds for the sum over all sets that were not found, those with a harmful event weighing less."""
    harmful = np.array(data.draw(st.lists(st.booleans(), min_size=len(odds), max_size=len(odds))))
    factor = data.draw(st.floats(0.0, 1.0))
    found = likely_sets(odds, most=max(9, len(odds) + 1))
    rows = set(rows_of(found))
    true = sum(
        float(odds[list(row)].prod()) * (factor if harmful[list(row)].any() else 1.0)
        for row in every(len(odds))
        if row not in rows
    )
    assert left_out(found, odds, harmful, factor) == pytest.approx(true, rel=1e-9, abs=1e-9)
