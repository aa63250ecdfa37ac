"""States and rates: are the published values met?

Rows A13, A14 and D01 to D12 of the collected checks.
"""

from __future__ import annotations

from math import exp

import pytest

from falsework.engines.reliability import alternating, chains, markov

HEIMANN = (
    "Heimann, Mittal, Trivedi (1990), Availability and reliability modeling for computer systems, sec. 2.5, "
    "as in tests and pages of mmarzolla/queueing"
)
TIJMS = "Tijms (2003), p. 172, as in a test of mmarzolla/queueing (ctmc)"


def test_a13_three_units_and_one_crew():
    """A13: births at 1, deaths at 2, states 0 to 3: 8/15, 4/15, 2/15, 1/15.

    Source: Bolch et al., Example 3.1, as in a test of mmarzolla/queueing (ctmc).
    """
    chain = chains.birth_death([1.0] * 3, [2.0] * 3)
    assert markov.steady(chain) == pytest.approx([8 / 15, 4 / 15, 2 / 15, 1 / 15], abs=1e-9)


def test_a14_a_pair_with_one_crew():
    """A14: MTTF = (3L + m)/(2L^2) = 51,500 h and U = 2L^2/(m^2 + 2Lm + 2L^2) = 1.96040e-4, L = 1/1000, m = 1/10.

    Source: standard Markov result, from memory; numbers own calculation.
    """
    rate, repair = 1 / 1000, 1 / 10
    chain = chains.repaired_group(2, rate, repair, repairers=1)
    life = markov.mean_time_to(chain, [2], 0)
    assert life == pytest.approx(51_500, rel=1e-6)
    assert life == pytest.approx((3 * rate + repair) / (2 * rate**2), rel=1e-9)
    share = markov.steady(chain)[2]
    assert share == pytest.approx(1.96040e-4, rel=1e-5)
    assert share == pytest.approx(2 * rate**2 / (repair**2 + 2 * rate * repair + 2 * rate**2), rel=1e-9)


def test_d01_a_warm_standby_pair():
    """D01: rate 0.5, dormant 0.15: failed by t = 1 with the chance 0.1118531.

    Source: closed form for exponential lifetimes (own calculation).
    """
    chain = chains.standby_pair(0.5, 0.3 * 0.5)
    assert markov.transient(chain, chains.BOTH, 1.0)[chains.DOWN] == pytest.approx(0.1118531, abs=1e-7)


def test_d02_two_in_series_with_one_warm_spare():
    """D02: two primaries, both needed, one warm spare for either: failed by t = 1 with the chance 0.2905027.

    Source: closed form for exponential lifetimes (own calculation).
    """
    rate, dormant = 0.5, 0.15
    chain = markov.generator(3, [(0, 1, 2 * rate + dormant), (1, 2, 2 * rate)])
    assert markov.transient(chain, 0, 1.0)[2] == pytest.approx(0.2905027, abs=1e-7)


def test_d04_and_or_and_first_this_then_that():
    """D04: two at rate 0.5, t = 1: both failed 0.1548181, any 0.6321206, both in the given order 0.0774091.

    Source: closed form for exponential lifetimes (own calculation).
    """
    rate = 0.5
    # None, first only, second only, first then second, second then first.
    chain = markov.generator(5, [(0, 1, rate), (0, 2, rate), (1, 3, rate), (2, 4, rate)])
    found = markov.transient(chain, 0, 1.0)
    assert found[3] + found[4] == pytest.approx(0.1548181, abs=1e-7)
    assert 1 - found[0] == pytest.approx(0.6321206, abs=1e-7)
    assert found[3] == pytest.approx(0.0774091, abs=1e-7)
    q = alternating.unreliability(rate, 1.0)
    assert alternating.all_of([q, q]) == pytest.approx(0.1548181, abs=1e-7)
    assert alternating.any_of([q, q]) == pytest.approx(0.6321206, abs=1e-7)


def heimann():
    """Two processors, MTTF 5000 h, MTTR 4 h, coverage 0.9, failover 30 s, reboot 10 min; in hours."""
    return chains.covered_pair(1 / 5000, 1 / 4, coverage=0.9, failover_rate=120.0, by_hand_rate=6.0)


def test_d05_covered_and_uncovered_failover():
    """D05: shares of both up, failover, reboot, one up, none up. Source: HEIMANN above."""
    printed = [0.9983916, 2.995e-6, 6.6559e-6, 1.59742e-3, 1.2779e-6]
    found = markov.steady(heimann())
    assert found == pytest.approx(printed, abs=1e-6), HEIMANN
    # The small ones to their printed digits, which the tolerance of the row would not tell apart.
    assert found[1:] == pytest.approx(printed[1:], rel=2e-4), HEIMANN


def test_d06_minutes_a_year():
    """D06: in a year of 365 days 1.5743 min of failover, 3.4984 min of reboot, 0.6717 min with both down.

    Source: HEIMANN above.
    """
    pi = markov.steady(heimann())
    for state, printed in ((chains.FAILOVER, 1.5743), (chains.BY_HAND, 3.4984), (chains.NONE, 0.6717)):
        minutes = alternating.minutes_out_per_year(pi[state], year_days=alternating.CALENDAR_YEAR_DAYS)
        assert minutes == pytest.approx(printed, abs=5e-4), HEIMANN


def test_d08_availability_of_the_pair():
    """D08: with only "both" and "one" as up, 0.999989. Source: HEIMANN above."""
    pi = markov.steady(heimann())
    assert pi[chains.GOOD] + pi[chains.ONE] == pytest.approx(0.999989, abs=1e-6), HEIMANN


def shuttle(*, comes):
    """Six units at 0.1 a year; at two left a shuttle is called (rate 100) and comes at rate 5 while units go on failing.

    States: 0 none, 1 to 6 left, 7 called at two, 8 called at one.
    """
    each, called = 0.1, 100.0
    arcs = [(left, left - 1, left * each) for left in range(1, 7)]
    arcs += [(2, 7, called), (1, 8, called)]
    if comes:
        arcs += [(7, 8, 2 * each), (8, 0, each), (7, 6, 5.0), (8, 6, 5.0)]
    return markov.generator(9, arcs)


def test_d09_units_left_after_two_years():
    """D09: after two years three are left with the chance 0.0654032, four 0.2216998, five 0.4016008, six 0.3079701.

    Source: TIJMS above; the source's eleven transitions and, with the last unit, the twelfth into "none".
    """
    found = markov.transient(shuttle(comes=True), 6, 2.0)
    assert found[[3, 4, 5, 6]] == pytest.approx([0.0654032, 0.2216998, 0.4016008, 0.3079701], abs=1e-5), TIJMS


def test_d11_no_resupply_in_ten_years():
    """D11: with the waiting states made absorbing, no shuttle was called in ten years, nor all lost, with the chance 0.3901.

    Source: TIJMS above.
    """
    found = markov.transient(shuttle(comes=False), 6, 10.0)
    assert found[1:7].sum() == pytest.approx(0.3901, abs=1e-4), TIJMS


def test_d12_a_cold_standby():
    """D12: x = 0.1: survives with e^-x (1 + x) = 0.995321, and with a switch that works in 0.9 of cases 0.986273.

    Source: standard, from memory; numbers own calculation.
    """
    x = 0.1
    for s, printed in ((1.0, 0.995321), (0.9, 0.986273)):
        found = markov.transient(chains.standby_pair(1.0, switches=s), chains.BOTH, x)
        works = found[chains.BOTH] + found[chains.SINGLE]
        assert works == pytest.approx(printed, abs=1e-6)
        assert works == pytest.approx(exp(-x) * (1 + s * x), abs=1e-12)
