"""Do bounds hold as often as they say, and does no failure teach what it must?"""

from __future__ import annotations

from math import ceil, comb, exp, factorial, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import observed
from falsework.errors import QuestionError

sure = st.floats(0.5, 0.999)


@given(st.integers(0, 12), st.floats(1, 1e5), sure)
def test_a_rate_bound_is_where_what_was_seen_gets_unlikely(r, time, confidence):
    """At the upper bound, r or fewer failures have the chance alpha; at the lower one, r or more do."""
    mean = float(observed.rate_at_most(r, time, confidence)) * time
    few = sum(exp(-mean) * mean**j / factorial(j) for j in range(r + 1))
    assert few == pytest.approx(1 - confidence, rel=1e-8)
    mean = float(observed.rate_at_least(r, time, confidence)) * time
    if r == 0:
        assert mean == 0
    else:
        fewer = sum(exp(-mean) * mean**j / factorial(j) for j in range(r))
        assert 1 - fewer == pytest.approx(1 - confidence, rel=1e-8)


@given(st.integers(0, 12), st.integers(1, 40), sure)
def test_a_chance_bound_is_where_what_was_seen_gets_unlikely(r, n, confidence):
    """The same for trials, by the binomial sum."""
    r = min(r, n)

    def at_most(k, p):
        return sum(comb(n, j) * p**j * (1 - p) ** (n - j) for j in range(k + 1))

    upper = float(observed.chance_at_most(r, n, confidence))
    assert at_most(r, upper) == pytest.approx(1 if r == n else 1 - confidence, rel=1e-7)
    lower = float(observed.chance_at_least(r, n, confidence))
    if r == 0:
        assert lower == 0
    else:
        assert 1 - at_most(r - 1, lower) == pytest.approx(1 - confidence, rel=1e-6)


@given(st.floats(0.5, 0.999), sure)
def test_the_trials_needed_are_the_fewest(reliability, confidence):
    """So many good trials show it, one fewer does not."""
    n = int(observed.trials_needed(reliability, confidence))
    assert reliability**n <= (1 - confidence) * (1 + 1e-9)
    assert n <= 1 or reliability ** (n - 1) > (1 - confidence) * (1 - 1e-9)
    assert n == pytest.approx(ceil(log(1 - confidence) / log(reliability)), abs=1)


def test_a_whole_number_of_trials_stays_whole():
    """Three at 0.5 show 0.875, not four because of rounding."""
    assert observed.trials_needed(0.5, 0.875) == 3


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: observed.rate_at_most(1, 0, 0.9), "observed time is 0."),
        (lambda: observed.rate_at_most(-1, 5, 0.9), "number of failures is -1."),
        (lambda: observed.mtbf_at_least(1, 5, 1), "confidence is 1."),
        (lambda: observed.chance_at_most(3, 2, 0.9), "there are more failures than trials"),
        (lambda: observed.rule_of_three(0), "number of trials is 0."),
        (lambda: observed.trials_needed(1, 0.9), "reliability is 1."),
        (lambda: observed.longer_than_all(-1), "number of drills is -1."),
    ],
)
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)
