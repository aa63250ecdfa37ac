"""How much gets from one thing to another is at most a largest flow, as forwarded a tree, and for one stream less."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.wire.test_traffic import GIGA, MEGA, PAIR, SWITCH, node, standing_of
from tests.strategies import lab_of
from tests.wires import wires

from falsework.analyses.wire.throughput import between
from falsework.analyses.wire.traffic import wires_of
from falsework.analyses.wire.ways import most
from falsework.errors import LimitError, QuestionError
from falsework.support.standing import Standing

WIDE = {
    "machines": {
        "left": node("a", "b") | {"cards": {"one": ["a"], "two": ["b"]}},
        "right": node("a", "b"),
        "sw-1": SWITCH,
        "sw-2": SWITCH,
    },
    "cables": [
        "left.a -- sw-1.1",
        "left.b -- sw-2.1",
        "right.a -- sw-1.2",
        "right.b -- sw-2.2",
        {"run": "sw-1.up1..2 -- sw-2.up1..2", "group": "trunk"},
    ],
    "services": {"any": {"on": "left"}},
}


def test_two_feet_carry_twice_at_most_and_once_as_forwarded():
    """A foot in both switches is two gigabits at most; a machine sends over one foot, so one as forwarded."""
    found = between(standing_of(**WIDE), "left", "right")
    assert (found.now.at_most, found.now.forwarded, found.now.one_stream) == (2 * GIGA, GIGA, GIGA)
    assert (found.cable_ways, found.switch_ways) == (2, 2)
    assert found.now.way == ("left.a -- sw-1.1", "sw-1", "right.a -- sw-1.2")
    assert set(found.now.full) in (
        {"left.a -- sw-1.1", "left.b -- sw-2.1"},
        {"right.a -- sw-1.2", "right.b -- sw-2.2"},
    )


def test_a_lost_switch_or_card_or_cable_leaves_half():
    """Each of what one foot hangs on leaves a gigabit; the trunk between the switches nothing less."""
    found = between(standing_of(**WIDE), "left", "right")
    less = {part: after.gets.at_most for after in found.after for part in after.lost}
    assert less == dict.fromkeys(
        (
            *("sw-1", "sw-2", "left.one", "left.two"),
            *("left.a -- sw-1.1", "left.b -- sw-2.1", "right.a -- sw-1.2", "right.b -- sw-2.2"),
        ),
        GIGA,
    )
    assert set(found.with_an_end) == {"left", "right"}
    assert found.harmless == 2  # the two cables of the trunk


def test_one_card_is_one_way():
    """Two ports on one card are two ways without a common cable, and one without a common card."""
    machines = WIDE["machines"] | {"left": node("a", "b") | {"cards": {"one": ["a", "b"]}}}
    found = between(standing_of(machines, WIDE["cables"], WIDE["services"]), "left", "right")
    assert (found.cable_ways, found.switch_ways) == (2, 1)


def test_a_group_carries_its_sum_for_many_streams():
    """Between two switches with two cables in one group: two gigabits, one for a single stream, one with a cable lost."""
    found = between(standing_of(**PAIR, services={"any": {"on": "left"}}), "sw-1", "sw-2")
    assert (found.now.at_most, found.now.forwarded, found.now.one_stream) == (2 * GIGA, 2 * GIGA, GIGA)
    less = {part: after.gets.forwarded for after in found.after for part in after.lost}
    assert less == {"sw-1.up1 -- sw-2.up1": GIGA, "sw-1.up2 -- sw-2.up2": GIGA}


def test_cables_that_are_no_group_wait_for_each_other():
    """The same two cables without a group: two at most, one as bridges forward."""
    cables = [*PAIR["cables"][:2], "sw-1.up1..2 -- sw-2.up1..2"]
    found = between(standing_of(PAIR["machines"], cables, {"any": {"on": "left"}}), "sw-1", "sw-2")
    assert (found.now.at_most, found.now.forwarded) == (2 * GIGA, GIGA)


def test_what_a_switch_forwards_bounds_all_of_it():
    """A switch that passes on 300 Mb/s is what is full."""
    machines = PAIR["machines"] | {"sw-2": SWITCH | {"forwards": "300 Mb/s"}}
    found = between(standing_of(machines, PAIR["cables"], {"any": {"on": "left"}}), "left", "right")
    assert (found.now.at_most, found.now.forwarded) == (300 * MEGA, 300 * MEGA)
    assert found.now.full == ("sw-2",)


def test_a_cable_straight_between_two_nodes_is_a_way():
    """Two nodes with a cable between them and no switch."""
    machines = {"left": node(), "right": node(speed="10 Gb/s")}
    found = between(standing_of(machines, ["left -- right"], {"any": {"on": "left"}}), "left", "right")
    assert (found.now.at_most, found.now.forwarded, found.cable_ways) == (GIGA, GIGA, 1)
    assert [after.gets.at_most for after in found.after] == [0.0]


def test_over_a_router_it_is_the_narrower_leg():
    """From one network to another over the router's machine, whose second plug is slow."""
    machines = {
        "left": node(),
        "right": node(),
        "gate": {"is": "node", "ports": {"a": "1 Gb/s", "b": "100 Mb/s"}},
        "sw-1": SWITCH,
        "sw-2": SWITCH,
    }
    cables = ["left -- sw-1.1", "gate.a -- sw-1.2", "gate.b -- sw-2.2", "right -- sw-2.1"]
    networks = {"house": {"over": "sw-1"}, "care": {"over": "sw-2"}}
    services = {"router": {"on": "gate", "joins": ["house", "care"]}}
    found = between(standing_of(machines, cables, services, networks=networks), "left", "right")
    assert (found.now.at_most, found.via, found.network) == (100 * MEGA, ("gate",), "house and care")
    assert found.now.full == ("gate.b -- sw-2.2",)
    assert any("gate" in after.lost and not after.gets.at_most for after in found.after)


def test_a_service_is_where_it_serves():
    """A service may be named for the machine that it runs on."""
    standing = standing_of(**PAIR, services={"busy": {"on": "left"}})
    assert between(standing, "busy", "right").now == between(standing, "left", "right").now


@pytest.mark.parametrize(
    ("one", "other", "what"),
    [
        ("left", "rigth", "nothing is called 'rigth'"),
        ("left", "left", "left and left are the same machine, left"),
        ("left", "alone", "'alone' has no cable"),
    ],
)
def test_ends_that_are_none_are_told(one, other, what):
    """A misspelt end, the same end twice, and a machine without a cable: each is told with a mend."""
    machines = PAIR["machines"] | {"alone": node()}
    with pytest.raises(QuestionError) as caught:
        between(standing_of(machines, PAIR["cables"], {"any": {"on": "left"}}), one, other)
    assert caught.value.what == what
    assert caught.value.mend


@given(wires(), st.data())
@settings(max_examples=25)
@pytest.mark.slow
def test_losing_more_never_adds_and_what_is_kept_is_right(text, data):
    """After each loss the largest flow is that of the lab with the part out, and never more than now."""
    standing = Standing(lab_of(text))
    nodes = sorted(wires_of(standing).networks["house"].plugs)
    if len(nodes) < 2:
        return
    one, other = data.draw(st.permutations(nodes))[:2]
    found = between(standing, one, other)
    less = {part: after.gets for after in found.after for part in after.lost}
    assert found.now.one_stream <= found.now.forwarded <= found.now.at_most
    for part in standing.parts:
        if part in found.with_an_end:
            continue
        alone = between(Standing(lab_of(text), out=[part]), one, other).now
        then = less.get(part)
        if then is None:
            assert alone.at_most == found.now.at_most
            assert alone.forwarded >= found.now.forwarded
        else:
            assert (then.at_most, then.forwarded, then.one_stream) == (
                alone.at_most,
                alone.forwarded,
                alone.one_stream,
            )
        assert alone.at_most <= found.now.at_most


@given(wires())
@settings(max_examples=20)
def test_the_cut_parts_the_two(text):
    """What is told to be full carries what is told to flow; with it lost, nothing does."""
    standing = Standing(lab_of(text))
    known = wires_of(standing)
    house = known.networks["house"]
    nodes = sorted(house.plugs)
    if len(nodes) < 2:
        return
    stands = standing.baseline.back
    found = most(known, house, (nodes[0], nodes[1]), stands)
    carries = known.speed | known.forwards
    assert sum(carries[name] for name in found.full) == found.value
    gone = set(found.full)
    assert not most(known, house, (nodes[0], nodes[1]), lambda name: name not in gone and stands(name)).value


def test_speeds_that_do_not_add_up_are_a_limit():
    """Ports of 1,000 Eb/s are more than the tool adds up: told with where to look, and no trace."""
    machines = {name: node(speed="1000000000000 Gb/s") for name in ("left", "right")}
    machines["sw"] = {"is": "switch", "ports": {"1..2": "1000000000000 Gb/s"}}
    standing = standing_of(machines, ["left -- sw.1", "right -- sw.2"], {"any": {"on": "left"}})
    with pytest.raises(LimitError, match=r"carry more than 1\.15 Eb/s together"):
        between(standing, "left", "right")
