"""Do queues agree with their chains and with each other?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import chains, markov, queues
from falsework.errors import LimitError, QuestionError

rates = st.floats(0.05, 20)


@given(rates, rates, st.integers(1, 4), st.integers(0, 6))
def test_a_queue_with_room_is_its_chain(a, m, c, more):
    """Shares are those of the chain, all numbers are sums over them, and what goes in is served."""
    k = c + more
    p = markov.steady(chains.birth_death([a] * k, [min(j + 1, c) * m for j in range(k)]))
    assert queues.mmck_shares(a, m, c, k) == pytest.approx(p)
    found = queues.mmck(a, m, c, k)
    assert found.inside == pytest.approx(sum(j * p[j] for j in range(k + 1)))
    assert found.waiting == pytest.approx(sum((j - c) * p[j] for j in range(c, k + 1)), abs=1e-12)
    assert found.refused == pytest.approx(p[k])
    assert a * (1 - p[k]) == pytest.approx(m * found.busy, rel=1e-9)
    assert found.time_inside == pytest.approx(found.time_waiting + 1 / m, rel=1e-9)
    assert found.must_wait == pytest.approx(p[c:k].sum() / (1 - p[k]), rel=1e-9, abs=1e-12)


@given(st.floats(0.05, 0.9), rates, st.integers(1, 6))
def test_endless_room_is_the_limit_of_much_room(use, m, c):
    """With room for 600 the queue is the one without end."""
    a = use * c * m
    endless, roomy = queues.mmc(a, m, c), queues.mmck(a, m, c, 600)
    for name in ("inside", "waiting", "time_inside", "time_waiting", "busy", "must_wait"):
        assert getattr(endless, name) == pytest.approx(getattr(roomy, name), rel=1e-8, abs=1e-12)


@given(st.floats(0.05, 0.95))
def test_one_server_has_its_closed_form(use):
    """M/M/1: u / (1 - u) inside, and one waits with the chance u. Source: elementary."""
    found = queues.mmc(use, 1, 1)
    assert found.inside == pytest.approx(use / (1 - use))
    assert found.must_wait == pytest.approx(use)


@given(st.integers(1, 12), st.integers(1, 5), rates, rates)
def test_a_workshop_obeys_littles_law(n, c, rate, repair):
    """Machines down are failures per time x time down; each waits and is then mended for 1/m."""
    found = queues.machine_repair(n, rate, repair, c)
    assert found.shares.sum() == pytest.approx(1)
    assert found.availability == pytest.approx(1 - found.down / n)
    assert found.time_down == pytest.approx(found.time_waiting + 1 / repair, rel=1e-9)
    assert repair * found.busy == pytest.approx(rate * (n - found.down), rel=1e-9)
    if c >= n:
        assert found.waiting == 0
        assert found.availability == pytest.approx(repair / (rate + repair))


def test_rates_broadcast_and_large_numbers_do_not_run_over():
    """Rows of rates give rows of answers; 2,000 machines are no trouble."""
    found = queues.machine_repair(3, np.array([[0.1], [0.2]]), np.array([1.0, 2.0, 4.0]), 1)
    assert found.shares.shape == (4, 2, 3)
    assert found.availability[1, 2] == pytest.approx(queues.machine_repair(3, 0.2, 4.0, 1).availability)
    large = queues.machine_repair(2000, 1.0, 50.0, 10)
    assert large.availability == pytest.approx(
        500 / 2000, rel=1e-9
    )  # all ten always busy: 500 repairs, 500 failures
    assert queues.mmck(1e3, 1.0, 2, 2000).refused == pytest.approx(1 - 2 / 1e3)
    assert queues.mmc(np.array([0.5, 0.9]), 1.0, 1).inside == pytest.approx([1, 9])


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: queues.mmc(2, 1, 2), "2 servers' work arrives and there are 2. Give more servers, or faster ones."),
        (lambda: queues.mmc(0, 1, 1), "rate is 0."),
        (lambda: queues.mmc(1, float("nan"), 1), "service rate is nan."),
        (lambda: queues.mmck(1, 1, 3, 2), "there is room for 2 and there are 3 servers."),
        (lambda: queues.machine_repair(0, 1, 1, 1), "number of machines is 0."),
        (lambda: queues.machine_repair(2, 1, 1, 0), "number of servers is 0."),
        (lambda: queues.birth_death_shares([1.0], [0.0]), "death rate is 0."),
    ],
)  # fmt: skip
def test_nonsense_is_refused(call, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        call()
    assert said in str(caught.value)


def test_too_much_is_refused():
    """A bound is named before memory is taken."""
    with pytest.raises(LimitError, match="200000 are more than 100000"):
        queues.machine_repair(200_000, 1, 1, 1)
