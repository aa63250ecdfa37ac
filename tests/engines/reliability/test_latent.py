"""Are shares of hidden faults the integrals that they stand for?"""

from __future__ import annotations

from math import comb, exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import latent
from falsework.errors import QuestionError


@given(st.floats(1e-3, 500))
def test_the_exact_share_is_the_mean_of_the_chance_to_have_failed(x):
    """The middle rule with many steps comes to the same."""
    steps = (np.arange(200_000) + 0.5) / 200_000
    assert latent.hidden_share(x, 1) == pytest.approx(float(-np.expm1(-x * steps).mean()), rel=1e-6)


@given(st.floats(1e-300, 1e-5))
def test_tiny_shares_keep_their_digits(x):
    """For tiny x the share is x/2 - x^2/6, to full relative precision."""
    assert latent.hidden_share(x, 1) == pytest.approx(x / 2 - x**2 / 6, rel=1e-9, abs=0)


def test_series_and_closed_form_meet():
    """On either side of the place where one takes over from the other, nothing jumps."""
    places = np.array([0.1 - 1e-12, 0.1, 0.1 + 1e-12])
    found = latent.hidden_share(places, 1)
    assert np.ptp(found) < 1e-12
    assert found[1] == pytest.approx(1 - (1 - exp(-0.1)) / 0.1, rel=1e-13)


def test_ends_of_the_share():
    """Never tested it tends to 1; without faults, or tested all the time, it is 0."""
    assert latent.hidden_share([0, 1, 1e12], [5, 0, 1]) == pytest.approx([0, 0, 1])


@given(st.floats(1e-6, 50))
def test_the_rule_of_thumb_is_on_the_dark_side(x):
    """x/2 is never below the exact share, nor above it by more than x/2 of it for small x."""
    exact, linear = float(latent.hidden_share(x, 1)), float(latent.hidden_share_linear(x, 1))
    assert linear >= exact
    if x < 0.1:
        assert linear - exact < x / 2 * exact


def by_terms(k, n, x):
    """The exact share of a group, term by term: each power of exp(-x t) has a plain mean."""

    def mean_up(j):  # j of n up throughout: binomial expansion of (1 - e)^(n - j) e^j
        return comb(n, j) * sum(
            comb(n - j, i) * (-1) ** i * (1 - exp(-(j + i) * x)) / ((j + i) * x) if j + i else 1.0
            for i in range(n - j + 1)
        )

    return 1 - sum(mean_up(j) for j in range(k, n + 1))


@given(st.integers(1, 5), st.integers(1, 5), st.floats(0.3, 40))
def test_a_group_agrees_with_its_expansion(k, n, x):
    """The quadrature gives what expanding and integrating every term gives."""
    k = min(k, n)
    assert latent.hidden_share_group(k, n, x, 1) == pytest.approx(by_terms(k, n, x), abs=1e-10)


@given(st.floats(1e-9, 300))
def test_a_group_of_one_is_one_part(x):
    """1-of-1 is the share of one part, and n-of-n that of one with n times the rate."""
    assert latent.hidden_share_group(1, 1, x, 1) == pytest.approx(latent.hidden_share(x, 1), rel=1e-11)
    assert latent.hidden_share_group(3, 3, x, 1) == pytest.approx(latent.hidden_share(3 * x, 1), rel=1e-11)


@given(st.integers(1, 5), st.integers(1, 5), st.floats(1e-6, 1))
def test_the_first_term_is_on_the_dark_side_and_holds_for_small_x(k, n, x):
    """The simple formula is never below the exact share; it is right to a share n x of itself."""
    k = min(k, n)
    exact = float(latent.hidden_share_group(k, n, x, 1))
    simple = float(latent.hidden_share_group_simple(k, n, x, 1))
    assert simple >= exact * (1 - 1e-9)
    assert simple - exact <= n * x * simple


def test_where_the_simple_formula_stops_holding():
    """For 1-of-3 it is 4 % too dark at x = 0.03, 13 % at 0.1, and 77 % at 0.5.

    Own calculation by series: the ratio of the two is 1 + 6/5 x + (36/25 - 5/6) x^2 + ...
    """
    x = np.array([0.03, 0.1, 0.5])
    ratio = latent.hidden_share_group_simple(1, 3, x, 1) / latent.hidden_share_group(1, 3, x, 1)
    assert ratio == pytest.approx(1 + 6 / 5 * x + (36 / 25 - 5 / 6) * x**2, rel=0.02)
    assert ratio == pytest.approx([1.04, 1.13, 1.77], abs=0.01)


@given(st.integers(1, 4), st.floats(0.01, 3), st.floats(0.1, 100))
def test_the_frequency_of_a_group_ends_in_its_chance(n, rate, interval):
    """Frequency x interval is the chance that too many have failed by the next test."""
    often = float(latent.hidden_frequency_group(1, n, rate, interval))
    assert often * interval == pytest.approx((1 - exp(-rate * interval)) ** n, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: latent.hidden_share(-1, 1), "rate is -1."),
        (lambda: latent.hidden_share(1, float("inf")), "interval is inf."),
        (lambda: latent.hidden_share(float("nan"), 1), "rate is nan."),
        (lambda: latent.hidden_share(1e300, 1e300), "rate x interval is inf."),
        (lambda: latent.hidden_share_group(3, 2, 1, 1), "3 of 2 can't be needed. Give k from 1 to n."),
        (lambda: latent.hidden_share_group(0, 2, 1, 1), "k is 0."),
        (lambda: latent.hidden_frequency_group(1, 2, 1, 0), "interval is 0."),
    ],
)
@pytest.mark.filterwarnings("ignore:overflow")
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)
