"""What the edge of a switch could ask of its uplinks."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from tests.analyses.wire.test_traffic import GIGA, MEGA, SWITCH, node, standing_of
from tests.strategies import lab_of
from tests.wires import wires

from falsework.analyses.wire.oversubscription import subscribed
from falsework.support.standing import Standing

MACHINES = {f"n-{at}": node() for at in range(1, 7)} | {
    "core": SWITCH,
    "leaf": SWITCH | {"forwards": "4 Gb/s"},
}
CABLES = [f"n-{at} -- leaf.{at}" for at in range(1, 7)]


def of(standing, switch):
    """What is told of one switch."""
    return next(each for each in subscribed(standing) if each.switch == switch)


def test_six_machines_on_two_uplinks_in_a_group_are_three_to_one():
    """Six gigabits at the edge against two: 3:1, and 6:1 with one cable lost; 8 Gb/s of ports against 4 forwarded."""
    cables = [*CABLES, {"run": "core.up1..2 -- leaf.up1..2", "group": "trunk"}]
    services = {"store": {"on": "n-6"}, "busy": {"on": "n-1", "sends": "300 Mb/s to core"}}
    found = of(standing_of(MACHINES, cables, services), "leaf")
    assert (found.edge, found.uplinks, found.ratio) == (6 * GIGA, 2 * GIGA, 3.0)
    assert (found.worst, found.worst_ratio) == (GIGA, 6.0)
    assert found.worst_lost == "core.up1 -- leaf.up1"
    assert (found.cut_off_by, found.free) == ("core", 2 * GIGA)
    assert found.inner == pytest.approx(2.0)
    assert found.usual == 300 * MEGA
    assert found.by == {f"n-{at}": GIGA for at in range(1, 7)}


def test_a_cable_that_waits_is_no_uplink():
    """Of two cables without a group one waits: 6:1, although both together could carry more."""
    cables = [*CABLES, "core.up1..2 -- leaf.up1..2"]
    found = of(standing_of(MACHINES, cables, {"any": {"on": "n-1"}}), "leaf")
    assert (found.uplinks, found.all_uplinks, found.ratio) == (GIGA, 2 * GIGA, 6.0)
    assert (found.worst, found.worst_lost) == (GIGA, "")


def test_a_switch_alone_has_no_ratio():
    """With no other switch there is nothing to be too much for."""
    found = of(standing_of({**MACHINES}, CABLES, {"any": {"on": "n-1"}}), "leaf")
    assert (found.uplinks, found.ratio, found.worst_ratio, found.cut_off_by) == (0.0, None, None, "")


@given(wires())
@settings(max_examples=20)
@pytest.mark.slow
def test_a_loss_is_as_if_the_part_were_out(text):
    """The least that is told of after a loss is the least over all parts out, one at a time, that leave anything."""
    standing = Standing(lab_of(text))
    found = {each.switch: each for each in subscribed(standing)}
    least = {switch: each.uplinks for switch, each in found.items()}
    cut = set()
    for part in standing.parts:
        for each in subscribed(Standing(lab_of(text), out=[part])):
            if each.switch in least and found[each.switch].uplinks:
                if each.uplinks:
                    least[each.switch] = min(least[each.switch], each.uplinks)
                else:
                    cut.add(each.switch)
    for switch, each in found.items():
        assert each.worst == least[switch]
        if switch in cut:
            assert each.cut_off_by
