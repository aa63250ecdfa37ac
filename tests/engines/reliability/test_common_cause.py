"""Do shared causes add up, and never make a group better?"""

from __future__ import annotations

from itertools import combinations
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import common_cause
from falsework.engines.reliability.alternating import at_least
from falsework.errors import QuestionError

chances = st.floats(0, 1)


@given(st.floats(0, 1e3), chances)
def test_the_split_adds_up(rate, beta):
    """Alone and shared are together the whole."""
    alone, shared = common_cause.split(rate, beta)
    assert alone + shared == pytest.approx(rate)


@given(st.floats(0, 0.3), chances)
def test_the_pair_formula_is_on_the_dark_side(q, beta):
    """The sum of the two chances is never below the exact value, and above it by their product only."""
    exact, simple = float(common_cause.group(2, 2, q, beta)), float(common_cause.pair(q, beta))
    assert simple == pytest.approx(exact + beta * q * ((1 - beta) * q) ** 2, abs=1e-15)


@given(st.integers(1, 5), st.integers(1, 5), chances, chances)
def test_a_group_lies_between_independent_and_one(down, m, q, beta):
    """Without shared causes it is the binomial; with nothing else it is one part."""
    down = min(down, m)
    assert common_cause.group(down, m, q, 0) == pytest.approx(float(at_least(down, m, q)), abs=1e-14)
    assert common_cause.group(down, m, q, 1) == pytest.approx(q)
    assert 0 <= common_cause.group(down, m, q, beta) <= 1


@given(st.floats(1e-9, 1), st.lists(chances, min_size=1, max_size=5))
def test_greek_letters_share_out_the_whole(total, letters):
    """Summed over all sets that hold a given part, the faults are all of its faults."""
    m = len(letters) + 1
    found = common_cause.greek_letters(total, letters)
    assert found.shape == (m,)
    assert sum(comb(m - 1, k - 1) * found[k - 1] for k in range(1, m + 1)) == pytest.approx(total)
    # The same by listing the sets that hold part 0, and those that hold it and another: the latter are beta of it.
    sets = [chosen for k in range(1, m + 1) for chosen in combinations(range(m), k) if 0 in chosen]
    more = sum(found[len(chosen) - 1] for chosen in sets if len(chosen) > 1)
    assert more == pytest.approx(letters[0] * total, abs=1e-12)


def test_one_letter_is_the_beta_factor():
    """In a group of two, Q_1 is (1 - beta) Q and Q_2 is beta Q."""
    assert common_cause.greek_letters(0.01, [0.1]) == pytest.approx(np.array([0.009, 0.001]))
    assert common_cause.greek_letters(np.ones((2, 3)), [0.1, 0.5]).shape == (3, 2, 3)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: common_cause.pair(1.5, 0.1), "unavailability is 1.5."),
        (lambda: common_cause.pair(0.5, -0.1), "beta is -0.1."),
        (lambda: common_cause.split(float("inf"), 0.1), "rate is inf."),
        (lambda: common_cause.group(0, 2, 0.1, 0.1), "number down is 0."),
        (lambda: common_cause.group(3, 2, 0.1, 0.1), "at least 3 of 2 can't be."),
        (lambda: common_cause.greek_letters(1, []), "no letter is given."),
    ],
)
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)
