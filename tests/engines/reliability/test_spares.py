"""Is waiting for spares what the Poisson pipeline, summed term by term, gives?"""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import spares
from falsework.errors import QuestionError


def poisson(mean, most=400):
    """The chances of 0, 1, 2, ... by multiplying on."""
    found = [exp(-mean)]
    for x in range(1, most):
        found.append(found[-1] * mean / x)
    return found


@given(st.integers(0, 8), st.floats(1e-6, 5), st.floats(1e-3, 10))
def test_waiting_agrees_with_the_sum(s, demand, resupply):
    """The chance of an empty shelf, those waiting and the wait are sums over the number on the way."""
    p = poisson(demand * resupply)
    assert spares.shelf_empty(s, demand, resupply) == pytest.approx(sum(p[s:]), rel=1e-9, abs=1e-300)
    late = sum((x - s) * p[x] for x in range(s, len(p)))
    assert spares.expected_waiting(s, demand, resupply) == pytest.approx(late, rel=1e-9, abs=1e-300)
    assert spares.mean_wait(s, demand, resupply) == pytest.approx(late / demand, rel=1e-9, abs=1e-300)
    assert spares.enough_for(s, demand, resupply) == pytest.approx(sum(p[: s + 1]), rel=1e-9)


def test_the_ends_are_plain():
    """Without a shelf one waits for the delivery; with one and next to no demand, not at all."""
    assert spares.mean_wait(0, 0.3, 5) == pytest.approx(5)
    assert spares.mean_wait([0, 1], 0, 5) == pytest.approx(np.array([5, 0]))
    assert spares.shelf_empty([0, 1], 0, 5) == pytest.approx(np.array([1, 0]))
    assert spares.mean_wait(3, 0.3, 0) == 0


@given(st.floats(1e-6, 5), st.floats(1e-3, 10))
def test_each_spare_shortens_the_wait(demand, resupply):
    """More on the shelf never means a longer wait, and no wait is longer than the delivery."""
    wait = spares.mean_wait(np.arange(12), demand, resupply)
    assert (np.diff(wait) <= 1e-12).all()
    assert (wait <= resupply).all()
    assert (wait >= 0).all()


def test_one_spare_has_its_closed_form():
    """With one on the shelf the wait is T - (1 - exp(-m)) / L. Source: the sum for s = 1, by hand."""
    demand, resupply = 0.2, 4.0
    expected = resupply - (1 - exp(-demand * resupply)) / demand
    assert spares.mean_wait(1, demand, resupply) == pytest.approx(expected, rel=1e-12)


def test_the_shelf_asked_for_is_the_smallest():
    """One spare fewer than `shelf_for` says would not do."""
    s = spares.shelf_for(0.01, 0.5, 3)
    assert spares.shelf_empty(s, 0.5, 3) <= 0.01 < spares.shelf_empty(s - 1, 0.5, 3)


@pytest.mark.parametrize(
    ("args", "said"),
    [
        ((-1, 1, 1), "number of spares is -1. It must be a whole number, 0 or more."),
        ((1, -1, 1), "demand is -1. It must be a finite number, 0 or more."),
        ((1, 1, float("inf")), "time is inf."),
        ((1, float("nan"), 1), "demand is nan."),
    ],
)
def test_nonsense_is_refused(args, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        spares.mean_wait(*args)
    assert said in str(caught.value)
