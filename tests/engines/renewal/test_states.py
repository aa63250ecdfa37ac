"""Are lives cut into stretches and spans as counting moment by moment says?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.renewal.plan import Server, Shock, plan
from falsework.engines.renewal.run import simulate
from falsework.engines.renewal.spans import begun_by_year, by_year, joined
from falsework.engines.renewal.states import states
from falsework.engines.renewal.sure import mean
from falsework.units import YEAR_S

pytestmark = pytest.mark.slow

DAY = 86_400.0


def test_every_stretch_has_the_units_that_are_broken_then():
    """In the middle of each stretch just its units are broken; stretches leave no gap and share no set name."""
    rates = np.linspace(0.01, 0.2, 12) / DAY
    system = plan(
        rates,
        np.full(12, 4 * DAY),
        spread=0.7,
        servers=(Server(),),
        shocks=(Shock(rate=0.02 / DAY, units=(1, 2, 3)),),
    )
    outages = simulate(system, runs=4, horizon_s=300 * DAY, rng=np.random.default_rng(3))
    cut = states(outages)
    assert cut.sets[0] == ()
    assert len(set(cut.sets)) == len(cut.sets)
    for at in range(len(cut.run)):
        middle = (cut.start_s[at] + cut.end_s[at]) / 2
        mine = (outages.run == cut.run[at]) & (outages.down_s <= middle) & (outages.up_s > middle)
        assert cut.sets[cut.state[at]] == tuple(sorted(outages.unit[mine]))
        if cut.event[at] >= 0:
            changed = set(cut.sets[cut.state[at]]) ^ set(cut.sets[cut.before[at]])
            assert changed == {outages.unit[cut.event[at]]}
    assert (cut.end_s > cut.start_s).all()
    assert (cut.event >= 0).mean() > 0.5
    assert np.array_equal(cut.end_s[:-1][~cut.first[1:]], cut.start_s[1:][~cut.first[1:]])
    assert (cut.before[cut.first] == 0).all()
    assert np.isclose((cut.end_s - cut.start_s).sum(), 4 * 300 * DAY)


def test_a_quiet_life_is_one_stretch():
    """With nothing broken, each run is one stretch with the empty set."""
    outages = simulate(plan(np.zeros(2), np.zeros(2)), runs=3, horizon_s=DAY, rng=np.random.default_rng(0))
    cut = states(outages)
    assert list(cut.state) == [0, 0, 0]
    assert list(cut.end_s) == [DAY] * 3


spans = st.lists(st.tuples(st.integers(0, 2), st.integers(0, 60), st.integers(0, 20)), max_size=12)


@given(spans)
def test_joined_covers_the_same_moments(drawn):
    """Joined spans cover just the moments that some span covers, in order and apart from each other."""
    run = np.array([each[0] for each in drawn], dtype=np.int64)
    start = np.array([each[1] for each in drawn], dtype=float)
    end = start + np.array([each[2] for each in drawn], dtype=float)
    found = joined(run, start, end)
    for life in range(3):
        for moment in np.arange(0.5, 90):
            given_ = bool(((run == life) & (start < moment) & (end > moment)).any())
            here = (found.run == life) & (found.start_s < moment) & (found.end_s > moment)
            assert here.sum() == given_
    for before in range(len(found.run) - 1):
        assert (found.run[before], found.end_s[before]) < (found.run[before + 1], found.start_s[before + 1])


@given(spans)
def test_years_add_up(drawn):
    """Seconds down by year add up to the spans' length, each in its own year."""
    run = np.array([each[0] for each in drawn], dtype=np.int64)
    start = np.array([each[1] for each in drawn], dtype=float) * YEAR_S / 8
    end = start + np.array([each[2] for each in drawn], dtype=float) * YEAR_S / 8
    found = joined(run, start, end)
    table = by_year(found, runs=3, skip=1, years=6)
    for life in range(3):
        for year in range(6):
            low, high = (year + 1) * YEAR_S, (year + 2) * YEAR_S
            inside = np.minimum(found.end_s, high) - np.maximum(found.start_s, low)
            expected = np.clip(inside, 0, None)[found.run == life].sum()
            assert np.isclose(table[life, year], expected, atol=1.0)
    counts = begun_by_year(found, runs=3, skip=0, years=20)
    assert counts.sum() == len(found.run)


def test_a_mean_is_as_sure_as_its_runs():
    """The 95 % interval of 400 drawn means holds the true mean in 95 % of cases (4 sd of a binomial)."""
    rng = np.random.default_rng(5)
    found = [mean(rng.exponential(3.0, 200)) for _ in range(400)]
    held = sum(each.low <= 3.0 <= each.high for each in found)
    assert abs(held - 380) < 4 * np.sqrt(400 * 0.95 * 0.05) + 6  # exponential values are a little skewed
    assert mean(np.zeros(5)).off == 0.0
    assert mean(np.array([1.0])).error == np.inf
