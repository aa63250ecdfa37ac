"""Waiting for hands: are the published values met?

Rows M01 to M13 of the collected checks, but for M12.
"""

from __future__ import annotations

import pytest

from falsework.engines.reliability import queues


def test_m01_two_servers():
    """M01: arrivals 9, service 5, two servers: 7.674 waiting, 1.053 in the system.

    Source: tests of mmarzolla/queueing (qsmmm), from public course slides.
    """
    found = queues.mmc(9, 5, 2)
    assert found.waiting == pytest.approx(7.674, abs=1e-3)
    assert found.time_inside == pytest.approx(1.053, abs=1e-3)


def test_m03_three_servers_with_room_for_seven():
    """M03: arrivals 40, service 30: empty 0.255037, time in the system 0.036517.

    Source: tests of mmarzolla/queueing (qsmmmk).
    """
    assert queues.mmck_shares(40, 30, 3, 7)[0] == pytest.approx(0.255037, abs=1e-6)
    assert queues.mmck(40, 30, 3, 7).time_inside == pytest.approx(0.036517, abs=1e-6)


def test_m04_four_servers_with_room_for_six():
    """M04: arrivals 50, service 10: turned away with the chance 0.293543. Source: tests of mmarzolla/queueing (qsmmmk)."""
    assert queues.mmck(50, 10, 4, 6).refused == pytest.approx(0.293543, abs=1e-6)


def test_m06_one_server_with_room_for_ten():
    """M06: arrivals as quick as service: 5 inside. Source: tests of mmarzolla/queueing (qsmm1k)."""
    assert queues.mmck(1, 1, 1, 10).inside == pytest.approx(5, abs=1e-12)


@pytest.mark.parametrize(("repairers", "printed"), [(1, 45.44), (3, 88.79), (4, 90.45)])
def test_m07_machines_working(repairers, printed):
    """M07: 22 machines, a breakdown every 2 h, repaired in 12 min: 45.44, 88.79, 90.45 % work with 1, 3, 4 repairers.

    Source: Taha, Operations Research, machine-servicing table, from memory.
    """
    found = queues.machine_repair(22, 1 / 2, 60 / 12, repairers)
    assert found.availability * 100 == pytest.approx(printed, abs=0.01)


def test_m09_five_cars_and_two_repairers():
    """M09: a breakdown every 30 days, 3 days of repair: 0.619, 0.310, 0.062, 0.009, 0.001; 0.465 down; 3.07 days each.

    Source: Winston, Operations Research, patrol-car example, from memory. The printed numbers down are made of rounded shares.
    """
    found = queues.machine_repair(5, 1 / 30, 1 / 3, 2)
    assert found.shares[:5] == pytest.approx([0.619, 0.310, 0.062, 0.009, 0.001], abs=2e-3)
    assert found.down == pytest.approx(0.465, abs=2e-3)
    assert found.time_down == pytest.approx(3.07, rel=2e-3)


def test_m10_two_machines_and_one_repairer():
    """M10: rates 0.25 and 4: all work 0.88276, down 0.12414, each for 0.26471.

    Source: inputs from the R package queueing (Sixto Rios, exercise 10.13); numbers own calculation.
    """
    found = queues.machine_repair(2, 0.25, 4, 1)
    assert found.shares[0] == pytest.approx(0.88276, abs=1e-5)
    assert found.down == pytest.approx(0.12414, abs=1e-5)
    assert found.time_down == pytest.approx(0.26471, abs=1e-5)


def test_m13_a_shop_with_exponential_repair():
    """M13: ten machines, one repairer, failures every 300 min, repair of 30 min: availability 0.78542.

    Source: machine repair with one server, from memory; number own calculation.
    """
    assert queues.machine_repair(10, 1 / 300, 1 / 30, 1).availability == pytest.approx(0.78542, abs=1e-4)
