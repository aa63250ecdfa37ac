"""Does a guess move by measured times as the conjugate update says?"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from falsework.engines.reliability.timing import SINGLE, Belief, Z, believed, believed_between, measured
from falsework.errors import QuestionError

TIMES = st.floats(0.1, 1e5)


def test_the_middle_is_the_weighted_mean_of_the_logarithms():
    """A guess of 40 that counts for 4, and 28 and 33: exp((4 ln 40 + ln 28 + ln 33) / 6). Own calculation."""
    found = believed(40.0, 4.0).updated([28.0, 33.0])
    assert found.middle == pytest.approx((40.0**4 * 28.0 * 33.0) ** (1 / 6), rel=1e-12)
    assert found.weight == 6.0


@settings(max_examples=6, deadline=None)
@given(guess=TIMES, weight=st.floats(0.1, 8), times=st.lists(TIMES, min_size=1, max_size=5))
def test_the_posterior_agrees_with_numerical_integration(guess, weight, times):
    """Prior times likelihood on a fine grid has the same mean of the logarithm, and the same bounds of the next time.

    Source: Gelman and others (2013), Bayesian Data Analysis, 3rd edition, sec. 2.5; the grid is the judge.
    """
    prior = believed(guess, weight)
    found = prior.updated(times)
    low = min(math.log(each) for each in (guess, *times)) - 12 * SINGLE / math.sqrt(min(weight, 1.0))
    high = max(math.log(each) for each in (guess, *times)) + 12 * SINGLE / math.sqrt(min(weight, 1.0))
    mu = np.linspace(low, high, 40_001)
    density = stats.norm.logpdf(mu, math.log(guess), SINGLE / math.sqrt(weight))
    for each in times:
        density += stats.norm.logpdf(math.log(each), mu, SINGLE)
    density = np.exp(density - density.max())
    density /= density.sum()
    assert math.log(found.middle) == pytest.approx(float(density @ mu), abs=1e-4)
    for end, chance in zip(found.next, (0.05, 0.95), strict=True):
        below = float(density @ stats.norm.cdf(math.log(end), mu, SINGLE))
        assert below == pytest.approx(chance, abs=1e-3)


@given(low=TIMES, factor=st.floats(1.01, 100), weight=st.floats(0.1, 8))
def test_a_range_is_what_its_ends_say(low, factor, weight):
    """Before anything is measured the next time lies between the ends of the range, nine times in ten."""
    found = believed_between(low, low * factor, weight)
    assert found.next == pytest.approx((low, low * factor), rel=1e-9)
    assert found.middle == pytest.approx(low * math.sqrt(factor), rel=1e-9)


def test_more_times_make_the_next_surer_and_never_surer_than_their_own_spread():
    """The bounds narrow towards the spread of a single time, a factor of 1.5."""
    widths = [believed(60.0, 0.1).updated([60.0] * n).next[1] / 60.0 for n in (0, 1, 4, 1000)]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] == pytest.approx(1.5 ** math.sqrt(11), rel=1e-12)
    assert widths[-1] == pytest.approx(1.5, rel=1e-3)


def test_without_a_guess_the_times_speak_alone():
    """Nothing believed, two measured: their geometric mean, and a weight of two."""
    found = measured([20.0, 45.0])
    assert (found.middle, found.weight) == (pytest.approx(30.0), 2.0)
    assert Belief(middle=1.0, spread=SINGLE, weight=1.0).updated([]).middle == 1.0


@pytest.mark.parametrize("times", [[0.0], [-1.0], [math.inf], [math.nan], [3.0, 0.0]])
def test_what_is_no_time_is_refused(times):
    """Nothing takes no time, or for ever."""
    for ask in (measured, believed(1.0, 1.0).updated):
        with pytest.raises(QuestionError, match="is no time that was measured"):
            ask(times)
    with pytest.raises(QuestionError, match="nothing was measured"):
        measured([])


def test_nine_in_ten_lie_within_the_bounds():
    """The percentile that the bounds are made of is the 95th of the standard normal distribution."""
    assert stats.norm.cdf(Z) == pytest.approx(0.95, abs=1e-12)
