"""Bayes' rule and the worth of a question, against sums written out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.diagnosing.posterior import entropy_bits, gains_bits, likelihoods


def test_likelihood_of_two_answers_by_hand() -> None:
    """One probe fails and one is answered: each state has the product of the two chances."""
    stands = np.array([[True, False], [True, True]])
    found = likelihoods(stands, np.array([False, True]), np.array([0.01, 0.02]), np.array([0.1, 0.2]))
    assert found.tolist() == pytest.approx([0.01 * 0.98, 0.9 * 0.98])


def test_entropy_by_hand() -> None:
    """A fair coin is one bit, a sure thing none."""
    assert entropy_bits(np.array([0.5, 0.5])) == pytest.approx(1.0)
    assert entropy_bits(np.array([1.0, 0.0])) == 0.0


@settings(deadline=None, max_examples=50)
@given(st.data())
def test_a_gain_is_the_expected_drop_of_the_entropy(data: st.DataObject) -> None:
    """What a question tells is the entropy now less the mean entropy after either answer."""
    n = data.draw(st.integers(1, 6))
    raw = np.array(data.draw(st.lists(st.floats(0.01, 1.0), min_size=n, max_size=n)))
    posterior = raw / raw.sum()
    answer = np.array(data.draw(st.lists(st.floats(0.0, 1.0), min_size=n, max_size=n)))
    after = 0.0
    for chance in (answer, 1.0 - answer):
        joint = posterior * chance
        if joint.sum() > 0.0:
            after += joint.sum() * entropy_bits(joint / joint.sum())
    drop = entropy_bits(posterior) - after
    assert math.isclose(
        float(gains_bits(posterior, answer[np.newaxis])[0]), max(drop, 0.0), rel_tol=1e-9, abs_tol=1e-9
    )
