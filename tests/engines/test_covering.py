"""Tests of the smallest cover, against every set of sets."""

from __future__ import annotations

import inspect
import random
import sys
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines import covering
from falsework.engines.covering import cover


def brute(sets, costs, taken=()):
    """The fewest sets and their least cost, by trying all."""
    everything = set().union(*sets) if sets else set()
    rest = [number for number in range(len(sets)) if number not in taken]
    have = set().union(*(sets[number] for number in taken)) if taken else set()
    for many in range(len(rest) + 1):
        fits = [
            sum(costs[number] for number in (*some, *taken))
            for some in combinations(rest, many)
            if have.union(*(sets[number] for number in some)) == everything
        ]
        if fits:
            return many + len(taken), min(fits)
    raise AssertionError


problems = st.lists(
    st.tuples(st.frozensets(st.integers(0, 8), max_size=5), st.integers(0, 9)), min_size=1, max_size=9
)


@given(problems, st.data())
@settings(max_examples=80)
def test_no_smaller_and_no_cheaper_cover_is_found_by_trying_all(problem, data):
    """As few sets as any cover has, and of those the cheapest; what must be taken is."""
    sets, costs = [set(each) for each, _ in problem], [cost for _, cost in problem]
    taken = data.draw(st.sets(st.integers(0, len(sets) - 1), max_size=2))
    found = cover(sets, costs, taken=taken, workers=1)
    assert set().union(*(sets[number] for number in found.chosen)) == set().union(*sets)
    assert taken <= set(found.chosen)
    assert (len(found.chosen), sum(costs[number] for number in found.chosen)) == brute(sets, costs, taken)
    assert found.fewest
    assert found.cheapest


@given(problems)
@settings(max_examples=10)
def test_the_solver_finds_the_same(problem):
    """Where branching is cut off at once, the solver goes on and proves the same optimum."""
    sets, costs = [set(each) for each, _ in problem], [cost for _, cost in problem]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(covering, "MOST_NODES", 1)
        found = cover(sets, costs, workers=1)
    assert (len(found.chosen), sum(costs[number] for number in found.chosen)) == brute(sets, costs)
    assert found.fewest


def test_a_ring_needs_a_search():
    """Pairs around a ring of nine: no set is forced, none is dominated, and five are needed."""
    sets = [{number, (number + 1) % 9} for number in range(9)]
    found = cover(sets, [1] * 9, workers=1)
    assert len(found.chosen) == found.least == 5


def test_a_piece_of_very_many_sets_is_branched_no_deeper_than_a_small_one(monkeypatch):
    """Some 130 sets of one piece are needed, and a hundred calls in calls are enough to look for them."""
    monkeypatch.setattr(covering, "MOST_NODES", 400)
    monkeypatch.setattr(covering, "_solved", lambda _masks, _weights, hint, *_: (list(hint), 0))
    chance = random.Random(1)
    sets = [set(chance.sample(range(600), 3)) for _ in range(600)]
    limit = sys.getrecursionlimit()
    sys.setrecursionlimit(len(inspect.stack(0)) + 100)
    try:
        found = cover(sets, [1] * 600, workers=1)
    finally:
        sys.setrecursionlimit(limit)
    assert len(found.chosen) > 200
    assert set().union(*(sets[number] for number in found.chosen)) == set().union(*sets)


def test_nothing_to_cover_takes_nothing():
    """Empty sets are not taken; no sets give an empty cover."""
    assert cover([set(), set()], [1, 1]).chosen == ()
    assert cover([], []).chosen == ()
