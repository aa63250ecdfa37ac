from __future__ import annotations

from falsework.engines import convergence


def test_classic_spanning_tree_g14():
    """Checks G14 (IEEE 802.1D defaults): hello 2 s, max age 20 s, forward delay 15 s: 30 s direct, 50 s indirect."""
    assert (convergence.HELLO_S, convergence.MAX_AGE_S, convergence.FORWARD_DELAY_S) == (2.0, 20.0, 15.0)
    assert convergence.spanning_tree_s(direct=True) == 30.0
    assert convergence.spanning_tree_s() == 50.0


def test_link_group_fast_g15():
    """Checks G15 (IEEE 802.1AX constants): period 1 s, timeout 3 s, aggregate wait 2 s; slow is 90 s."""
    assert convergence.FAST_S == 1.0
    assert convergence.link_group_s() == 3.0
    assert convergence.AGGREGATE_WAIT_S == 2.0
    assert convergence.link_group_s(fast=False) == 90.0


def test_rapid_spanning_tree_g17():
    """Checks G17 (IEEE 802.1D-2004): three hellos of 2 s make 6 s at the worst."""
    assert convergence.rapid_spanning_tree_s() == 6.0
