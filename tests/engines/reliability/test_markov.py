"""Do chains spend their time where plain linear algebra and closed forms say?"""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import sparse

from falsework.engines.reliability import markov
from falsework.engines.reliability.chained import rates_between
from falsework.errors import LimitError, QuestionError


@st.composite
def connected(draw, most=7):
    """Generators with a ring of rates, so that everywhere is reached, and others besides."""
    n = draw(st.integers(2, most))
    rate = st.floats(1e-3, 1e3)
    arcs = [(i, (i + 1) % n, draw(rate)) for i in range(n)]
    other = st.tuples(st.integers(0, n - 1), st.integers(0, n - 1), rate).filter(lambda arc: arc[0] != arc[1])
    return markov.generator(n, arcs + draw(st.lists(other, max_size=12)))


@given(connected())
def test_steady_shares_leave_nothing_over(chain):
    """What flows into each state flows out of it: pi Q is 0 to rounding, and pi sums to 1."""
    pi = markov.steady(chain)
    assert np.abs(pi @ chain).max() <= 1e-12 * (pi @ np.abs(chain)).max()
    assert pi.sum() == pytest.approx(1)
    assert (pi > 0).all()


@given(connected())
def test_sparse_and_dense_agree(chain):
    """A generator given sparse has the same answers, and so has the sparse solver."""
    assert markov.steady(sparse.csc_array(chain)) == pytest.approx(markov.steady(chain))
    assert markov._solved(rates_between(chain)) == pytest.approx(markov.steady(chain), rel=1e-6)


@given(connected(most=5), st.floats(0, 3))
def test_transient_chances_flow_together(chain, time):
    """Chances sum to 1; waiting twice is waiting for twice as long; long waits end in the steady shares."""
    chain = chain / np.abs(chain).max()
    once = markov.transient(chain, 0, time)
    assert once.sum() == pytest.approx(1)
    assert markov.transient(chain, once / once.sum(), time) == pytest.approx(
        markov.transient(chain, 0, 2 * time), abs=1e-10
    )
    pi = markov.steady(chain)
    assert markov.transient(chain, pi, time) == pytest.approx(pi, abs=1e-10)


@given(connected(), st.integers(1, 6))
def test_the_mean_time_is_that_of_the_inverse(chain, target):
    """The time to a target is the row sum of -inv(Q) among the others, from one state or from several."""
    n = len(chain)
    target = target % n or 1
    others = [state for state in range(n) if state != target]
    times = -np.linalg.inv(chain[np.ix_(others, others)]).sum(axis=1)
    assert markov.mean_time_to(chain, [target], 0) == pytest.approx(times[others.index(0)], rel=1e-6)
    spread = np.full(n, 1 / n)
    assert markov.mean_time_to(chain, [target], spread) == pytest.approx(times.sum() / n, rel=1e-6)


@given(connected(), st.integers(1, 6))
def test_what_goes_in_comes_out(chain, state):
    """Entering a set is as frequent as entering its complement, and the two stays fill the cycle."""
    state = state % len(chain) or 1
    others = [each for each in range(len(chain)) if each != state]
    often = markov.entry_frequency(chain, [state])
    assert often == pytest.approx(markov.entry_frequency(chain, others), rel=1e-9)
    cycle = markov.mean_stay(chain, [state]) + markov.mean_stay(chain, others)
    assert cycle == pytest.approx(1 / often, rel=1e-9)
    assert markov.mean_stay(chain, [state]) == pytest.approx(-1 / chain[state, state], rel=1e-9)


def test_two_states_have_their_closed_form():
    """Up and down with rates a and b: p_down(t) = a/(a+b) (1 - exp(-(a+b) t)). Source: elementary."""
    a, b = 0.3, 1.7
    chain = markov.generator(2, [(0, 1, a), (1, 0, b)])
    times = np.array([0.0, 0.5, 4.0])
    found = markov.transient(chain, 0, times)
    assert found[:, 1] == pytest.approx(a / (a + b) * (1 - np.exp(-(a + b) * times)), abs=1e-12)
    assert markov.steady(chain) == pytest.approx([b / (a + b), a / (a + b)])
    assert markov.mean_time_to(chain, [1], 0) == pytest.approx(1 / a)


def test_tiny_shares_have_all_their_digits():
    """A chain of ten failures at 1e-6 per repair has its last share at 1e-60, right to 12 digits."""
    n = 10
    arcs = [(i, i + 1, 1e-6) for i in range(n)] + [(i + 1, i, 1.0) for i in range(n)]
    pi = markov.steady(markov.generator(n + 1, arcs))
    expected = (1 - 1e-6) * 1e-60
    assert pi[-1] == pytest.approx(expected, rel=1e-12, abs=0)
    # The mean time to get there: about 1 over its share times the rate out, and not noise.
    assert markov.mean_time_to(markov.generator(n + 1, arcs), [n], 0) == pytest.approx(1e60, rel=1e-5)


def test_large_chains_go_by_the_sparse_way():
    """Two thousand states in a row have geometric shares, as closed form has it."""
    n, ratio = 2000, 0.99
    arcs = [(i, i + 1, ratio) for i in range(n - 1)] + [(i + 1, i, 1.0) for i in range(n - 1)]
    chain = markov.generator(n, arcs)
    assert sparse.issparse(chain)
    expected = ratio ** np.arange(n)
    assert markov.steady(chain) == pytest.approx(expected / expected.sum(), rel=1e-6, abs=1e-15)
    # Upwards only: so many steps of the mean time of one.
    line = markov.generator(n, [(i, i + 1, 2.0) for i in range(n - 1)])
    assert markov.mean_time_to(line, [n - 1], 0) == pytest.approx((n - 1) / 2)
    early = markov.transient(line, 0, 1.0)
    assert early[:3] == pytest.approx([exp(-2), 2 * exp(-2), 2 * exp(-2)], rel=1e-9)


def test_very_different_rates_and_long_times_end_in_the_steady_shares():
    """Rates from 1e-4 to 1e2 over a year of hours: within 1e-9 of where it ends."""
    arcs = [(0, 1, 4e-4), (1, 2, 120.0), (2, 0, 0.25), (2, 3, 2e-4), (3, 2, 0.25)]
    chain = markov.generator(4, arcs)
    assert markov.transient(chain, 0, 8760.0) == pytest.approx(markov.steady(chain), abs=1e-9)


def test_states_left_for_good_have_no_share():
    """What is only passed through at the start is not counted in the long run."""
    chain = markov.generator(3, [(0, 1, 1.0), (1, 2, 1.0), (2, 1, 3.0)])
    assert markov.steady(chain) == pytest.approx([0, 0.75, 0.25])


def test_what_may_never_happen_takes_for_ever():
    """If it can get stuck elsewhere the mean time is infinite; from within the target it is 0."""
    chain = markov.generator(4, [(0, 1, 1.0), (0, 2, 1.0), (1, 0, 1.0), (3, 2, 1.0)])
    assert markov.mean_time_to(chain, [1], 0) == float("inf")
    assert markov.mean_time_to(chain, [1, 2], 0) == pytest.approx(0.5)
    assert markov.mean_time_to(chain, [2], 3) == pytest.approx(1.0)
    assert markov.mean_time_to(chain, [0], 0) == 0
    assert markov.mean_stay(markov.generator(2, [(0, 1, 1.0)]), [1]) == float("inf")


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: markov.steady([[1, 1], [1, 1]]), "row 0 sums to 2. Put minus the sum of its rates on the diagonal"),
        (lambda: markov.steady([[1, 1, 1]]), "a matrix of shape (1, 3) has no rates between states. Give it square."),
        (lambda: markov.steady([[1, -1], [0, 0]]), "a rate between states is -1."),
        (lambda: markov.steady([[float("nan"), 1], [0, 0]]), "a rate is not a finite number."),
        (lambda: markov.steady([["a"]]), "this is not a matrix of rates."),
        (
            lambda: markov.steady(markov.generator(3, [(0, 1, 1), (0, 2, 1)])),
            "it can get stuck in more than one place, around state 1 or around state 2.",
        ),
        (lambda: markov.generator(2, [(0, 2, 1)]), "an arc leads from 0 to 2. States are 0 to 1."),
        (lambda: markov.generator(2, [(1, 1, 1)]), "an arc leads from 1 to itself."),
        (lambda: markov.generator(2, [(0, 1, -1)]), "rate is -1."),
        (lambda: markov.generator(2, [(0, 1, float("inf"))]), "rate is inf."),
        (lambda: markov.transient([[0.0]], 1, 1), "there is no state 1. States are 0 to 0."),
        (lambda: markov.transient([[0.0]], 0, -1), "time is -1."),
        (lambda: markov.transient(np.zeros((2, 2)), [0.5, 0.4], 1), "the chances sum to 0.9. Let them sum to 1."),
        (lambda: markov.transient(np.zeros((2, 2)), [1.0], 1), "chances have the shape (1,)."),
        (lambda: markov.mean_time_to([[0.0]], [], 0), "no state is named."),
        (lambda: markov.mean_time_to([[0.0]], [-1], 0), "there is no state -1."),
    ],
)  # fmt: skip
def test_nonsense_is_refused(call, said):
    """What is no chain, state or time is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)


def test_too_many_states_are_refused():
    """A bound is named before memory is taken."""
    with pytest.raises(LimitError, match="200001 states are more than 200000"):
        markov.generator(200_001, [])
