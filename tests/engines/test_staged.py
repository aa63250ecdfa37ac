"""Are the stages of a source what long runs of it show, and what integrals say?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from falsework.engines.staged import Outages, stage_effects, stages


def one(wait=0.0, mean=10.0, sigma=0.0):
    """Outages in one column."""
    return Outages(wait=np.array([wait]), mean=np.array([mean]), sigma=sigma)


def test_age_0_is_plain_availability():
    """Unavailability MTTR / (MTBF + MTTR), frequency 1 / (MTBF + MTTR): textbook, here 10 of 100 hours."""
    found = stages(np.array([1 / 90.0]), one(), [0.0], year=1.0)
    assert found.chance[0, 0] == pytest.approx(0.1)
    assert found.per_year[0, 0] == pytest.approx(0.01)


@settings(deadline=None)
@given(wait=st.floats(0, 20), mean=st.floats(0.5, 50), sigma=st.floats(0.1, 1.5), age=st.floats(0.01, 80))
def test_what_is_longer_and_beyond_an_age_are_the_integrals(wait, mean, sigma, age):
    """P(D > a) and E[(D - a)+] of a wait and a lognormal time, against scipy's distribution and quadrature."""
    outages = one(wait, mean, sigma)
    law = stats.lognorm(s=sigma, scale=mean * np.exp(-(sigma**2) / 2))
    assert outages.longer(age)[0] == pytest.approx(law.sf(age - wait), abs=1e-9)
    k = max(age - wait, 1e-9)  # over logarithms: the tail is long
    tail, _ = integrate.quad(
        lambda u: law.sf(np.exp(u)) * np.exp(u), np.log(k), np.log(mean) + 12 * sigma, limit=400
    )
    assert outages.beyond(age)[0] == pytest.approx(tail + max(wait - age, 0), rel=1e-5, abs=1e-7 * mean)


def test_a_fixed_time_has_no_tail():
    """By hand: 3 + 10 fixed is longer than 12, not than 13, and beyond 12 there is 1 left."""
    outages = one(3.0, 10.0)
    assert outages.longer(12.9)[0] == 1.0
    assert outages.longer(13.0)[0] == 0.0
    assert outages.beyond(12.0)[0] == pytest.approx(1.0)
    assert outages.beyond(14.0)[0] == 0.0
    assert outages.beyond(0.0)[0] == 13.0


@settings(deadline=None)
@given(st.lists(st.floats(0.01, 0.99), min_size=1, max_size=4), st.data())
def test_effects_of_stages_are_differences_of_conditional_chances(chances, data):
    """A chain of n events and a random value for each state it can be in: P is linear, its derivatives taken
    numerically; the effects must be the steps between the values.
    """
    values = [
        data.draw(st.floats(0, 1)) for _ in range(len(chances) + 1)
    ]  # in state k ages have been reached

    def total(p):
        found, reached = 0.0, 1.0
        for k, chance in enumerate(p):
            found += reached * (1 - chance) * values[k]
            reached *= chance
        return found + reached * values[-1]

    steps = np.eye(len(chances)) * 1e-6
    p = np.array(chances)
    gradient = np.array([(total(p + step) - total(p - step)) / 2e-6 for step in steps])[:, None]
    effects = stage_effects(gradient, p[:, None])[:, 0]
    reach = np.prod(p)
    assert effects == pytest.approx(np.diff(values), abs=1e-7 / reach)
