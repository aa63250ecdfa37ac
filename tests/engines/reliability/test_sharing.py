"""Does a guess of a chance move by counted trials as the conjugate update says?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from falsework.engines.reliability.sharing import Beta, as_one, beta_between
from falsework.errors import QuestionError


def test_trials_add_to_what_was_believed():
    """One in fifty, and one of twelve: Beta(1 + 1, 49 + 11), a chance of 2 in 62. Own calculation."""
    found = as_one(0.02).updated(1, 12)
    assert (found.failed, found.worked) == (pytest.approx(2.0), pytest.approx(60.0))
    assert found.mean == pytest.approx(2 / 62)
    assert found.trials == pytest.approx(62.0)


@settings(max_examples=8, deadline=None)
@given(
    low=st.floats(0.001, 0.2),
    factor=st.floats(1.5, 4.0),
    trials=st.integers(1, 40),
    share=st.floats(0.0, 1.0),
)
def test_the_posterior_agrees_with_numerical_integration(low, factor, trials, share):
    """Prior times likelihood on a fine grid has the same mean and the same 5 and 95 percentiles.

    Source: Gelman and others (2013), Bayesian Data Analysis, 3rd edition, sec. 2.4; the grid is the judge.
    """
    failed = round(share * trials)
    prior = beta_between(low, low * factor)
    found = prior.updated(failed, trials)
    x = np.linspace(0.0, 1.0, 400_001)[1:-1]
    density = stats.beta.logpdf(x, prior.failed, prior.worked) + stats.binom.logpmf(failed, trials, x)
    density = np.exp(density - density.max())
    density /= density.sum()
    assert found.mean == pytest.approx(float(density @ x), rel=1e-3)
    below = np.cumsum(density)
    for end, chance in zip(found.between, (0.05, 0.95), strict=True):
        assert float(np.interp(end, x, below)) == pytest.approx(chance, abs=2e-3)


@settings(deadline=None)
@given(low=st.floats(1e-4, 0.5), factor=st.floats(1.05, 1.9))
def test_a_range_is_what_its_ends_say(low, factor):
    """Its ends are the 5 and 95 percentiles, by another library's distribution."""
    found = beta_between(low, low * factor)
    assert stats.beta.ppf([0.05, 0.95], found.failed, found.worked) == pytest.approx(
        [low, low * factor], rel=1e-6
    )


def test_more_trials_make_the_chance_surer():
    """The bounds close in on the share that was counted."""
    found = as_one(0.03)
    widths = [high - low for low, high in (found.updated(n // 10, n).between for n in (10, 100, 1000))]
    assert widths == sorted(widths, reverse=True)
    assert found.updated(100_000, 1_000_000).mean == pytest.approx(0.1, rel=1e-3)


@pytest.mark.parametrize("chance", [0.0, 1.0, -0.1, float("nan")])
def test_a_chance_that_is_none_is_refused(chance):
    """Neither never nor always."""
    with pytest.raises(QuestionError, match="must lie between 0 and 1"):
        as_one(chance)


@pytest.mark.parametrize(
    ("low", "high", "why"),
    [
        (0.5, 0.1, "runs backwards"),
        (0.1, 0.1, "runs backwards"),
        (0.0, 0.1, "must lie between"),
        (0.1, 1.0, "must lie between"),
        (1e-300, 0.99, "no range to work with"),
        (0.02, 0.0200001, "no range to work with"),
    ],
)
def test_a_range_that_is_none_is_refused(low, high, why):
    """With what is wrong about it."""
    with pytest.raises(QuestionError, match=why):
        beta_between(low, high)


@pytest.mark.parametrize(("failed", "trials"), [(3, 2), (-1, 2), (1.5, 2), (0, -1)])
def test_counts_that_are_none_are_refused(failed, trials):
    """Whole numbers, and no more failures than trials."""
    with pytest.raises(QuestionError):
        Beta(failed=1.0, worked=1.0).updated(failed, trials)
