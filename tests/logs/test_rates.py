"""Is a change of rate told from chance as the exact test does?"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from falsework.logs.rates import at_least, at_most


def test_a_published_example():
    """Cases of a disease under two treatments, 60 in 51,477.5 and 30 in 54,308.7 person-years, against a ratio of 1.2.

    K. Gu, H. K. T. Ng, M. L. Tang, W. R. Schucany (2008), Testing the ratio of two Poisson rates, Biometrical Journal
    50, 283-298, example 1; the one-sided exact conditional p-value 0.006651774552714 is what the package exactci of R
    gives, as quoted in the tests of statsmodels.
    """
    assert at_least(60, 1.2 * 51_477.5, 30, 54_308.7) == pytest.approx(0.006651774552714, rel=1e-9)


@given(
    count=st.integers(0, 300),
    before=st.integers(0, 3_000),
    stretch=st.floats(1.0, 1e4),
    before_s=st.floats(1.0, 1e6),
)
@settings(max_examples=80, deadline=None)
def test_it_is_the_binomial_tail(count, before, stretch, before_s):
    """Against the distribution in scipy, whose chances are worked out another way."""
    share = stretch / (stretch + before_s)
    more = float(binom.sf(count - 1, count + before, share))
    fewer = float(binom.cdf(count, count + before, share))
    assert at_least(count, stretch, before, before_s) == pytest.approx(more, rel=1e-6, abs=1e-12)
    assert at_most(count, stretch, before, before_s) == pytest.approx(fewer, rel=1e-6, abs=1e-12)


def test_by_hand():
    """Nothing in three times the stretch and two in it: a quarter of a quarter; none at all is no surprise."""
    assert at_least(2, 1.0, 0, 3.0) == pytest.approx(1 / 16)
    assert at_most(0, 1.0, 2, 3.0) == pytest.approx(9 / 16)
    assert at_least(0, 1.0, 0, 3.0) == 1.0


def test_large_counts_are_quick_and_sound():
    """A million lines before: chances far below what a float of 1 minus something can say."""
    assert 0.0 < at_least(1_000, 60.0, 1_000_000, 86_400.0) < 1e-20
    assert at_most(0, 3_600.0, 1_000_000, 86_400.0) == 0.0
