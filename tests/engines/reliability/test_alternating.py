"""Are shares, counts and overlaps what adding up every state gives?"""

from __future__ import annotations

from itertools import product
from math import prod

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import alternating
from falsework.errors import QuestionError

chances = st.floats(0, 1, allow_subnormal=False)
several = st.lists(chances, min_size=1, max_size=6)


def states(each):
    """Every state of independent things with its chance."""
    for state in product((False, True), repeat=len(each)):
        yield state, prod(p if so else 1 - p for p, so in zip(each, state, strict=True))


@given(several)
def test_counts_agree_with_enumeration(each):
    """The chance of exactly j things is the sum over all states with j of them."""
    found = alternating.counts(each)
    for j in range(len(each) + 1):
        expected = sum(p for state, p in states(each) if sum(state) == j)
        assert found[j] == pytest.approx(expected, abs=1e-12)


@given(several, st.integers(0, 6))
def test_at_least_of_agrees_with_enumeration(each, k):
    """At least k of n unlike things: the sum over all states with k or more, as is all and any."""
    k = min(k, len(each))
    expected = sum(p for state, p in states(each) if sum(state) >= k)
    assert alternating.at_least_of(k, each) == pytest.approx(expected, abs=1e-12)
    assert alternating.all_of(each) == pytest.approx(alternating.at_least_of(len(each), each), abs=1e-12)
    assert alternating.any_of(each) == pytest.approx(alternating.at_least_of(1, each), abs=1e-12)


@given(st.integers(1, 8), st.integers(0, 8), chances)
def test_alike_things_are_a_case_of_unlike_ones(n, k, p):
    """The binomial form and the recursion agree, and what is up and what is down add up to all."""
    k = min(k, n)
    assert alternating.at_least(k, n, p) == pytest.approx(alternating.at_least_of(k, [p] * n), abs=1e-12)
    if k:
        down = alternating.at_least(n - k + 1, n, 1 - p)
        assert alternating.at_least(k, n, p) + down == pytest.approx(1, abs=1e-12)


def test_small_chances_keep_their_digits():
    """Three of three at 1e-9 is 1e-27, and any of two is their sum but for the overlap."""
    assert alternating.at_least(3, 3, 1e-9) == pytest.approx(1e-27, rel=1e-12, abs=0)
    assert alternating.at_least_of(3, [1e-9] * 3) == pytest.approx(1e-27, rel=1e-12, abs=0)
    assert alternating.any_of([1e-13, 1e-15]) == pytest.approx(1.01e-13, rel=1e-10, abs=0)


def test_arguments_broadcast():
    """Rows of chances against columns of k give a table."""
    table = alternating.at_least(np.array([[1], [2]]), 2, np.array([0.5, 0.9]))
    assert table == pytest.approx(np.array([[0.75, 0.99], [0.25, 0.81]]))
    assert alternating.counts(np.full((3, 2), 0.5)).shape == (4, 2)
    assert alternating.availability(np.array([9.0, 99.0]), 1) == pytest.approx(np.array([0.9, 0.99]))


@given(st.lists(st.tuples(st.floats(1, 1e4), st.floats(1e-3, 1)), min_size=1, max_size=4))
def test_an_overlap_is_its_share_over_its_length(parts):
    """Frequency x mean length of an overlap is the share of time that all are down."""
    life, repair = (np.array(column) for column in zip(*parts, strict=True))
    q, w = alternating.unavailability(life, repair), alternating.frequency(life, repair)
    often, long = alternating.overlap_frequency(q, w), alternating.overlap_length(repair)
    assert often * long == pytest.approx(alternating.all_of(q), rel=1e-9)


def test_an_overlap_with_what_never_fails_never_comes():
    """A part with q = 0 and w = 0 in a cut makes its frequency 0, and nothing is divided by it."""
    assert alternating.overlap_frequency([0.0, 0.1], [0.0, 0.5]) == 0


def test_nines_and_their_share_are_inverse():
    """Three nines are 1e-3; no time out is nines without end."""
    assert alternating.unavailability_of_nines(alternating.nines(3e-4)) == pytest.approx(3e-4)
    assert alternating.nines(0.0) == np.inf
    assert alternating.nines(1.0) == 0


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: alternating.availability(0, 1), "mean time between failures is 0. It must be a finite number above 0."),
        (lambda: alternating.availability(float("nan"), 1), "is nan"),
        (lambda: alternating.availability(float("inf"), 1), "is inf"),
        (lambda: alternating.availability(10, -1), "mean time to repair is -1. It must be a finite number, 0 or more."),
        (
            lambda: alternating.unavailability(4, 5000),
            "a repair of 5000 is longer than the life of 4 before it. "
            "Give both in the same unit of time, the life first.",
        ),
        (lambda: alternating.all_of([0.5, 1.5]), "chance is 1.5. It must lie from 0 to 1."),
        (lambda: alternating.at_least(3, 2, 0.5), "at least 3 of 2 can't be. Give k from 0 to n."),
        (lambda: alternating.at_least(1.5, 2, 0.5), "k is 1.5. It must be a whole number, 0 or more."),
        (lambda: alternating.at_least_of(3, [0.5, 0.5]), "at least 3 of 2 can't be"),
        (lambda: alternating.counts(0.5), "one number is given, and several chances are wanted"),
        (lambda: alternating.at_least([1, 2], [1, 2, 3], 0.5), "these don't go together: k (2,), n (3,), chance ()"),
        (lambda: alternating.all_of(["x"]), "chance is not a number or an array of numbers. Give numbers."),
    ],
)  # fmt: skip
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words, with the value and how to mend it."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)
