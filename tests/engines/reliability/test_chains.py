"""Have the chains of groups and pairs the closed forms of their simple cases?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import alternating, chains, markov
from falsework.engines.reliability.queues import machine_repair
from falsework.errors import QuestionError

rates = st.floats(1e-3, 1)


@given(st.integers(1, 6), rates, rates)
def test_a_repairer_each_makes_parts_independent(n, rate, repair):
    """With as many repairers as parts, the number down is binomial."""
    pi = markov.steady(chains.repaired_group(n, rate, repair, repairers=n))
    q = rate / (rate + repair)
    assert pi == pytest.approx(alternating.counts([q] * n))


@given(st.integers(1, 6), st.integers(1, 6), rates, rates)
def test_a_repaired_group_is_a_machine_repair_queue(n, c, rate, repair):
    """The chain's shares are the queue's closed form."""
    pi = markov.steady(chains.repaired_group(n, rate, repair, repairers=c))
    assert pi == pytest.approx(machine_repair(n, rate, repair, c).shares)


def test_an_idle_group_fails_no_further():
    """If two of three are needed the rest stops at two down: states 0, 1, 2."""
    chain = chains.repaired_group(3, 0.1, 1.0, repairers=1, needed=2)
    assert chain.shape == (3, 3)
    assert chain[1] == pytest.approx([1.0, -1.2, 0.2])


@given(rates, rates)
def test_a_hot_pair_is_a_group_of_two(rate, repair):
    """Standing by at the full rate and always taking over is two alike parts that both work."""
    pair = markov.steady(chains.standby_pair(rate, rate, repair_rate=repair))
    both = markov.steady(chains.repaired_group(2, rate, repair, repairers=1))
    assert pair[[chains.BOTH, chains.SINGLE, chains.DOWN]] == pytest.approx(both)
    assert pair[chains.STUCK] == 0


@given(rates, st.floats(0, 1), rates)
def test_colder_is_better_and_repair_helps(rate, share, repair):
    """A colder standby lasts longer, from 1.5 lives (hot) to 2 (cold); with repair longer still."""
    down = [chains.STUCK, chains.DOWN]
    life = markov.mean_time_to(chains.standby_pair(rate, share * rate), down, chains.BOTH) * rate
    assert 1.5 - 1e-9 <= life <= 2 + 1e-9
    assert life == pytest.approx(1 + 1 / (1 + share))  # first failure, then the rest of the other
    mended = markov.mean_time_to(
        chains.standby_pair(rate, share * rate, repair_rate=repair), down, chains.BOTH
    )
    assert mended * rate > life


def test_a_perfect_covered_pair_without_delay_is_a_group_of_two():
    """With coverage 1 and failover in no time, the shares are those of two parts and one repairer."""
    pi = markov.steady(chains.covered_pair(0.01, 0.5, coverage=1, failover_rate=1e12, by_hand_rate=1.0))
    both = markov.steady(chains.repaired_group(2, 0.01, 0.5, repairers=1))
    assert pi[[chains.GOOD, chains.ONE, chains.NONE]] == pytest.approx(both)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: chains.birth_death([1.0], []), "there are 1 ways up and 0 ways down."),
        (lambda: chains.repaired_group(2, 0, 1, repairers=1), "rate is 0."),
        (lambda: chains.repaired_group(2, 1, 1, repairers=0), "repairers is 0."),
        (lambda: chains.repaired_group(2, 1, 1, repairers=1, needed=3), "3 of 2 can't be needed."),
        (lambda: chains.standby_pair(1, switches=2), "chance to take over is 2."),
        (lambda: chains.covered_pair(1, 1, coverage=0.5, failover_rate=0, by_hand_rate=1), "failover rate is 0."),
        (lambda: chains.hidden_standby(1, 1, repair_rate=0), "repair rate is 0."),
    ],
)  # fmt: skip
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)


def test_a_chain_sums_to_nothing():
    """Every builder gives generators: rows sum to 0."""
    for chain in (
        chains.standby_pair(1.0, 0.5, switches=0.9, repair_rate=2, repairers=2, by_hand_rate=3),
        chains.hidden_standby(1.0, 0.5, repair_rate=2, found_rate=0.1),
        chains.repaired_group(4, 1.0, 2.0, repairers=2),
    ):
        assert np.abs(chain.sum(axis=1)).max() < 1e-12
