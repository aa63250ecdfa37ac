"""Do simulated breaks and mendings agree with what is known in closed form?

Every bound is stated beside the figure it guards: so many standard errors, with a fixed seed.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import null_space

from falsework.engines.renewal.hours import Hours
from falsework.engines.renewal.plan import Server, Shock, Stock, plan
from falsework.engines.renewal.run import Outages, simulate
from falsework.units import WEEK_S, YEAR_S

pytestmark = pytest.mark.slow

HOUR = 3600.0
DAY = 24 * HOUR


def drawn(system, runs, horizon_s, seed=1):
    """Simulate with a fixed seed."""
    return simulate(system, runs=runs, horizon_s=horizon_s, rng=np.random.default_rng(seed))


def down_share(outages: Outages, n_units: int, skip_s: float) -> np.ndarray:
    """Per run, the share of unit time that is down, after a time to settle."""
    end = outages.horizon_s
    spent = np.clip(np.minimum(outages.up_s, end) - np.maximum(outages.down_s, skip_s), 0.0, None)
    sums = np.bincount(outages.run, spent, minlength=outages.runs)
    return sums / (n_units * (end - skip_s))


def near(by_run: np.ndarray, expected: float, errors: float = 4.0, least: float = 0.0) -> bool:
    """Whether a mean over runs is within so many standard errors of what it should be."""
    error = by_run.std(ddof=1) / np.sqrt(len(by_run))
    return abs(by_run.mean() - expected) <= max(errors * error, least)


def steady(rates: np.ndarray) -> np.ndarray:
    """Steady state of a Markov chain whose off-diagonal rates are given: p Q = 0."""
    q = rates - np.diag(rates.sum(axis=1))
    p = null_space(q.T)[:, 0]
    return p / p.sum()


def test_one_unit_alone_is_up_mtbf_over_mtbf_and_mttr():
    """Two states: availability is MTBF/(MTBF+MTTR), whatever the law of the mending (4 standard errors)."""
    for memoryless in (False, True):
        system = plan(
            np.array([1 / (100 * HOUR)]), np.array([10.0 * HOUR]), spread=0.8, memoryless=memoryless
        )
        share = down_share(drawn(system, 300, 20_000 * HOUR), 1, 500 * HOUR)
        assert near(share, 10 / 110)


@pytest.mark.parametrize(("servers", "published"), [(1, 0.4544), (3, 0.8879), (4, 0.9045)])
def test_machine_repair_toolco(servers, published):
    """M07: 22 machines, a breakdown every 2 h, mended in 12 min by 1, 3 or 4 (4 errors; print ±0.0001).

    Taha, Operations Research, machine-servicing table: 45.44, 88.79 and 90.45 % of machines work.
    """
    system = plan(
        np.full(22, 1 / (2 * HOUR)), np.full(22, HOUR / 5), memoryless=True, servers=(Server(),) * servers
    )
    share = down_share(drawn(system, 100, 120 * HOUR), 22, 20 * HOUR)
    assert near(1 - share, published, least=1e-4)
    assert share.std() / 10 < 0.003  # the bound above means something


def test_patrol_cars():
    """M09: 5 cars, 2 menders, broken every 30 days, 3 days' work: 0.465 down, 3.07 days each (4 errors).

    Winston, Operations Research, patrol-car example; p of 0, 1, 2 down: 0.619, 0.310, 0.062.
    """
    system = plan(np.full(5, 1 / (30 * DAY)), np.full(5, 3 * DAY), memoryless=True, servers=(Server(),) * 2)
    found = drawn(system, 300, 3_000 * DAY)
    assert near(down_share(found, 5, 200 * DAY) * 5, 0.465, least=1e-3)
    stays = np.array([(found.up_s - found.down_s)[found.run == run].mean() for run in range(300)]) / DAY
    assert near(stays, 3.07, least=5e-3)


def test_two_machines_one_repairer():
    """M10: rates 0.25 and 4: 0.12414 down on average, each for 0.26471 (4 errors).

    Own calculation; inputs of exercise 10.13 in the R package queueing.
    """
    system = plan(np.full(2, 0.25), np.full(2, 0.25), memoryless=True, servers=(Server(),))
    found = drawn(system, 400, 1_000.0)
    assert near(down_share(found, 2, 20.0) * 2, 0.12414)
    stays = np.array([(found.up_s - found.down_s)[found.run == run].mean() for run in range(400)])
    assert near(stays, 0.26471)


def test_machine_shop_exponential():
    """M13: 10 machines, 1 repairer, MTTF 300 min, exponential mending of 30 min: 0.78542 up (4 errors, below 0.5 %)."""
    system = plan(np.full(10, 1 / 300), np.full(10, 30.0), memoryless=True, servers=(Server(),))
    up = 1 - down_share(drawn(system, 150, 30_000.0), 10, 2_000.0)
    assert near(up, 0.78542)
    assert abs(up.mean() / 0.78542 - 1) < 0.005


def test_machine_shop_fixed():
    """M12: the same with fixed mending of 30 min; four weeks of 10-minute parts from 4032 make 3277.5 a machine (3 %).

    SimPy documentation, output of the machine-shop example; own simulation elsewhere: 3312, sd 39.
    """
    system = plan(np.full(10, 1 / 300), np.full(10, 30.0), servers=(Server(),))
    parts = 4032 * (1 - down_share(drawn(system, 100, 40_320.0), 10, 0.0))
    assert abs(parts.mean() / 3277.5 - 1) < 0.03
    assert near(parts, 3312, least=12)  # own figure, from few runs itself


def test_unlike_units_share_a_repairer_as_the_markov_chain_says():
    """Two unlike units and one repairer, first come first served: five states, solved as p Q = 0 (4 errors)."""
    a, b, mend_a, mend_b = 0.2, 0.5, 1.0, 2.0
    q = np.zeros((5, 5))  # both up; a down; b down; both, a in hand; both, b in hand
    q[0, 1], q[0, 2], q[1, 0], q[1, 3], q[2, 0], q[2, 4] = a, b, mend_a, b, mend_b, a
    q[3, 2], q[4, 1] = mend_a, mend_b
    p = steady(q)
    system = plan(np.array([a, b]), np.array([1 / mend_a, 1 / mend_b]), memoryless=True, servers=(Server(),))
    found = drawn(system, 300, 2_000.0)
    spent = np.clip(found.up_s, 50, 2_000) - np.clip(found.down_s, 50, 2_000)
    for unit, expected in ((0, p[1] + p[3] + p[4]), (1, p[2] + p[3] + p[4])):
        mine = np.bincount(found.run, np.where(found.unit == unit, spent, 0.0), minlength=300) / 1_950
        assert near(mine, expected)


def test_looked_at_rarely_a_fault_stays_hidden():
    """A fault found only by looking every T: down share 1 - (1 - e^-aT)/(aT) (textbook; 4 errors)."""
    rate, every = 1 / (200 * DAY), 90 * DAY
    system = plan(np.array([rate]), np.array([0.0]), found_s=np.inf, looked_at_s=every)
    share = down_share(drawn(system, 200, 200 * every), 1, 0.0)
    assert near(share, 1 - (1 - np.exp(-rate * every)) / (rate * every))


def test_spares_wait_as_the_stock_formula_says():
    """One on the shelf, replenished one for one: shortages follow a Poisson stock of lambda times lead (4 errors).

    Palm's theorem: orders under way are Poisson with mean m = rate * lead; demands that find none: 1 - P(0).
    With work of no length and many units, demand is nearly Poisson.
    """
    n, lead = 400, 10 * DAY
    rate = 1.0 / (n * 20 * DAY)  # all together every 20 days
    system = plan(
        np.full(n, rate),
        np.zeros(n),
        stocks=(Stock(shelf=1, lead_s=lead),),
        stock=np.zeros(n, dtype=np.int64),
    )
    found = drawn(system, 100, 20_000 * DAY)
    waits = found.up_s - found.down_s
    short = np.array([(waits[found.run == run] > 0).mean() for run in range(100)])
    assert near(short, 1 - np.exp(-0.5), least=0.003)  # units that wait do not break: a little less demand


def test_without_a_shelf_each_waits_the_whole_lead():
    """No spare on the shelf: every mending takes found + lead + work, exactly."""
    system = plan(
        np.full(5, 1 / (50 * DAY)),
        np.full(5, HOUR),
        found_s=HOUR,
        stocks=(Stock(shelf=0, lead_s=9 * DAY),),
        stock=np.zeros(5, dtype=np.int64),
    )
    found = drawn(system, 10, 1_000 * DAY)
    assert np.allclose(found.up_s - found.down_s, 9 * DAY + 2 * HOUR)


def test_work_begins_in_hours_only():
    """Each mending begins within the server's hours, a journey after their opening at the earliest; one at a time."""
    hours = Hours([(day * DAY + 19 * HOUR, day * DAY + 22 * HOUR) for day in range(5)])
    system = plan(
        np.full(20, 1 / (40 * DAY)), np.full(20, 5 * HOUR), servers=(Server(hours=hours, comes_s=600.0),)
    )
    found = drawn(system, 5, 500 * DAY)
    left = (found.begun_s - 600.0) % WEEK_S
    assert (left // DAY < 5).all()
    assert ((left % DAY >= 19 * HOUR - 1e-3) & (left % DAY < 22 * HOUR)).all()
    for run in range(5):
        begun = np.sort(found.begun_s[found.run == run])
        assert (np.diff(begun) >= 5 * HOUR - 1e-3).all()


def test_a_server_is_held_no_longer_than_asked():
    """With `held_s`, the rest of the work goes on alone and the next mending begins meanwhile."""
    system = plan(np.full(30, 1 / (3 * DAY)), np.full(30, 2 * DAY), servers=(Server(),), held_s=HOUR)
    found = drawn(system, 2, 100 * DAY)
    gaps = np.diff(np.sort(found.begun_s[found.run == 0]))
    assert gaps.min() >= HOUR - 1e-3
    assert gaps.min() < 2 * DAY


def test_a_shock_breaks_all_of_its_units_at_once():
    """A shared cause breaks every unit of it at the same moment, at its own rate (Poisson count, 4 sd)."""
    rate = 1 / (100 * DAY)
    system = plan(np.zeros(3), np.full(3, HOUR), shocks=(Shock(rate=rate, units=(0, 2)),))
    found = drawn(system, 10, 10_000 * DAY)
    zero, two = (found.down_s[found.unit == unit] for unit in (0, 2))
    assert np.array_equal(zero, two)
    assert not (found.unit == 1).any()
    assert abs(len(zero) - 1_000) < 4 * np.sqrt(1_000) + 10


def test_found_late_while_no_watch_works():
    """While the only watch is broken, others are found after `unseen_s`; else after `found_s`."""
    system = plan(
        np.array([1 / (30 * DAY), 1 / (10 * DAY)]),
        np.array([5 * DAY, HOUR]),
        found_s=300.0,
        unseen_s=DAY,
        watches=((0,),),
    )
    found = drawn(system, 3, 2_000 * DAY)
    watch = found.unit == 0
    assert np.allclose((found.found_s - found.down_s)[watch], DAY)  # nobody tells of the watch itself
    late = (found.found_s - found.down_s)[~watch]
    for run in range(3):
        mine = ~watch & (found.run == run)
        dark = np.zeros(mine.sum(), dtype=bool)
        for outage in np.flatnonzero(watch & (found.run == run)):
            dark |= (found.down_s[mine] >= found.down_s[outage]) & (found.down_s[mine] < found.up_s[outage])
        assert np.allclose(late[(found.run == run)[~watch]], np.where(dark, DAY, 300.0))


def test_who_may_mend_what():
    """A unit is mended by a server who may, though another is free; one that nobody may mends by itself."""
    can = np.array([[True, False], [False, True], [False, False]])
    never = Hours([(0.0, 60.0)])  # a minute a week
    system = plan(
        np.full(3, 1 / (5 * DAY)), np.full(3, HOUR), servers=(Server(), Server(hours=never)), can=can
    )
    found = drawn(system, 2, 300 * DAY)
    took = found.up_s - found.down_s
    assert np.median(took[found.unit == 1]) > DAY > np.median(took[found.unit == 0])
    assert np.allclose(took[found.unit == 2], HOUR)


def test_the_same_seed_gives_the_same_bytes():
    """Same seed, same outages, to the last bit; another seed, others."""
    system = plan(np.full(9, 1 / (30 * DAY)), np.full(9, 5 * HOUR), spread=1.0, servers=(Server(),))
    one, two, other = (drawn(system, 20, YEAR_S, seed) for seed in (7, 7, 8))
    for name in ("run", "unit", "down_s", "found_s", "begun_s", "up_s"):
        assert getattr(one, name).tobytes() == getattr(two, name).tobytes()
    assert one.down_s.tobytes() != other.down_s.tobytes()


def test_nothing_that_breaks_is_no_trouble():
    """A system without causes lives without outages."""
    assert len(drawn(plan(np.zeros(3), np.zeros(3)), 4, YEAR_S).run) == 0


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"found_s": -1.0}, "found_s holds a number below 0"),
        ({"held_s": np.nan}, "held_s holds a number below 0"),
        ({"stock": np.array([0])}, "stock names a kind beyond the 0 given"),
        ({"shocks": (Shock(rate=1.0, units=()),)}, "no unit"),
        ({"can": np.ones((2, 1), dtype=bool)}, "can has shape"),
    ],
)
def test_a_plan_that_makes_no_sense_is_refused(change, said):
    """A wrong shape, a negative number or a kind that is not there is refused by name."""
    with pytest.raises(ValueError, match=said):
        plan(np.array([1.0]), np.array([1.0]), **change)
