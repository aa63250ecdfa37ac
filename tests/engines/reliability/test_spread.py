"""Have the distributions the percentiles that they were made from?"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability.spread import (
    Fixed,
    Gamma,
    Lognormal,
    gamma_between,
    latin_hypercube,
    lognormal_between,
)
from falsework.errors import QuestionError

ranges = st.tuples(st.floats(1e-6, 1e3), st.floats(1.001, 1e4)).map(lambda pair: (pair[0], pair[0] * pair[1]))


@given(ranges)
def test_a_gamma_has_the_ends_of_its_range_as_percentiles(ends):
    """5 % lie below the low end and 5 % above the high end."""
    found = gamma_between(*ends)
    assert found.quantile([0.05, 0.95]) == pytest.approx(ends, rel=1e-6)
    assert found.below(list(ends)) == pytest.approx([0.05, 0.95], rel=1e-6)
    assert ends[0] < found.mean < ends[1] * 2


@given(ranges)
def test_a_lognormal_has_the_ends_of_its_range_as_percentiles(ends):
    """5 % lie below the low end, 5 % above the high end, and the median is the geometric middle."""
    found = lognormal_between(*ends)
    assert found.quantile([0.05, 0.95]) == pytest.approx(ends, rel=1e-9)
    assert found.median == pytest.approx(math.sqrt(ends[0] * ends[1]), rel=1e-9)


@pytest.mark.parametrize("between", [gamma_between, lognormal_between])
def test_what_is_exact_stays_exact(between):
    """A range of one value, 0 included, is that value at every percentile and in every draw."""
    for value in (0.0, 3.0):
        found = between(value, value)
        assert found == Fixed(value=value)
        assert found.mean == value
        assert (found.quantile([0.1, 0.9]) == value).all()
        assert (found.sample(np.random.default_rng(1), 3) == value).all()


def test_a_range_narrower_than_numbers_tell_is_one_value():
    """Ends that differ in the last digit give a value between them, not an endless search."""
    high = np.nextafter(1.0, 2.0)
    assert gamma_between(1.0, float(high)).mean == pytest.approx(1.0, rel=1e-12)


SPREADS = [Gamma(shape=3, rate=2), Lognormal(median=5, sigma=0.7), gamma_between(0.02, 0.05)]


@pytest.mark.parametrize("spread", SPREADS, ids=["gamma", "lognormal", "from a range"])
def test_draws_have_the_mean_that_is_told(spread):
    """Independent draws and evenly spread ones have the distribution's mean, within five standard errors."""
    generator = np.random.default_rng(7)
    independent = spread.sample(generator, 20_000)
    error = independent.std() / math.sqrt(len(independent))
    assert abs(independent.mean() - spread.mean) < 5 * error
    (even,) = latin_hypercube([spread], 20_000, generator)
    assert abs(even.mean() - spread.mean) < 5 * error


def test_evenly_spread_draws_fill_every_slice():
    """Each of n slices of equal chance holds one draw of each number; the same seed gives the same draws."""
    spreads = [Gamma(shape=0.5, rate=2), Lognormal(median=5, sigma=0.7), Fixed(value=4)]
    n = 50
    found = latin_hypercube(spreads, n, np.random.default_rng(3))
    assert found.shape == (3, n)
    for row, spread in zip(found[:2], spreads[:2], strict=True):
        edges = spread.quantile(np.arange(1, n) / n)
        assert sorted(np.searchsorted(edges, row)) == list(range(n))
    assert (found[2] == 4).all()
    assert (latin_hypercube(spreads, n, np.random.default_rng(3)) == found).all()


@given(st.integers(0, 20), st.floats(0, 1e5))
def test_updating_adds_up(failures, time):
    """Two looks one after the other teach what one look at both does."""
    prior = Gamma(shape=2, rate=100)
    both = prior.updated(failures, time).updated(1, 10)
    once = prior.updated(failures + 1, time + 10)
    assert both.shape == once.shape
    assert both.rate == pytest.approx(once.rate)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: gamma_between(5, 2), "the range 5..2 runs backwards. Write 2..5."),
        (lambda: gamma_between(0, 2), "low end is 0. It must be a finite number above 0."),
        (lambda: lognormal_between(0, 2), "low end is 0."),
        (lambda: gamma_between(1e-300, 1e300), "is too wide a range to work with"),
        (lambda: gamma_between(1, float("nan")), "high end is nan."),
        (lambda: lognormal_between(-1, -1), "value is -1."),
        (lambda: gamma_between(1, 2, low_chance=0.9, high_chance=0.1), "run backwards"),
        (lambda: Gamma(shape=1, rate=1).updated(1.5, 1), "number of failures is 1.5."),
        (lambda: Gamma(shape=1, rate=1).updated(1, -1), "observed time is -1."),
        (lambda: Gamma(shape=1, rate=1).quantile(1), "chance is 1. It must lie between 0 and 1, neither of them."),
        (lambda: latin_hypercube([], 0, np.random.default_rng(1)), "number of draws is 0."),
    ],
)  # fmt: skip
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)
