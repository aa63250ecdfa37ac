"""The traffic of services gets through or is short, now and after each single loss."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of
from tests.wires import plain, wires

from falsework.analyses.wire.after_loss import Losing
from falsework.analyses.wire.loads import Flowing
from falsework.analyses.wire.passing import Fate
from falsework.analyses.wire.traffic import flowing, traffic
from falsework.support.single_losses import single_losses
from falsework.support.standing import Standing

pytestmark = pytest.mark.slow

GIGA, MEGA = 1e9, 1e6


def standing_of(machines, cables, services, *, out=(), networks=None, **more):
    """A lab with a wire, ready for questions."""
    wire = {"cables": cables} | ({"networks": networks} if networks else {})
    data = {
        "falsework": 1,
        "lab": "By hand",
        "machines": machines,
        "wire": wire,
        "services": services,
        **more,
    }
    return Standing(lab_of(plain(data)), out=out)


def node(*ports, speed="1 Gb/s"):
    """A node with such ports."""
    return {"is": "node", "ports": dict.fromkeys(ports or ("a",), speed)}


SWITCH = {"is": "switch", "ports": {"1..8": "1 Gb/s", "up1..2": "1 Gb/s"}}
PAIR = {
    "machines": {"left": node(), "right": node(), "sw-1": SWITCH, "sw-2": SWITCH},
    "cables": [
        "left -- sw-1.1",
        "right -- sw-2.1",
        {"run": "sw-1.up1..2 -- sw-2.up1..2", "group": "trunk"},
    ],
}


def passed(found, service, to):
    """What becomes of one line."""
    return next(each for each in found.passed if (each.stream.service, each.stream.to) == (service, to))


def test_what_fits_gets_through():
    """600 Mb/s over links of a gigabit get through, and fill the plug to 60 %."""
    standing = standing_of(
        **PAIR, services={"store": {"on": "right"}, "busy": {"on": "left", "sends": "600 Mb/s to store"}}
    )
    found = traffic(standing)
    one = passed(found.now, "busy", "store")
    assert (one.fate, one.gets, one.short) == (Fate.PASSES, 600 * MEGA, 0.0)
    assert (one.tightest, one.share) == ("left.a -- sw-1.1", pytest.approx(0.6))
    assert found.now.root == "sw-1"
    assert found.together is not None
    assert found.together.share == pytest.approx(1 / 0.6)


def test_two_that_share_a_plug_get_their_shares():
    """900 and 600 Mb/s over one plug of 1,000: two thirds of each arrive."""
    standing = standing_of(
        **PAIR,
        services={
            "store": {"on": "right"},
            "busy": {"on": "left", "sends": ["900 Mb/s to store", "600 Mb/s to right"]},
        },
    )
    found = traffic(standing)
    first, second = passed(found.now, "busy", "store"), passed(found.now, "busy", "right")
    assert (first.fate, second.fate) == (Fate.SHORT, Fate.SHORT)
    assert first.gets == pytest.approx(600 * MEGA)
    assert second.short == pytest.approx(200 * MEGA)
    assert found.now.filled[0].share == pytest.approx(1.5)
    assert found.together is not None
    assert found.together.share == pytest.approx(2 / 3)


def test_a_group_carries_its_sum_and_one_stream_its_part():
    """Two cables of a gigabit carry 1.5 Gb/s of many, a single stream one gigabit; with one lost they are short."""
    wide = {"left": node("a", "b"), "right": node("a", "b"), "sw-1": SWITCH, "sw-2": SWITCH}
    cables = [
        {"run": "left.a..b -- sw-1.1..2", "group": "l"},
        {"run": "right.a..b -- sw-2.1..2", "group": "r"},
        {"run": "sw-1.up1..2 -- sw-2.up1..2", "group": "trunk"},
    ]
    standing = standing_of(
        wide, cables, {"store": {"on": "right"}, "busy": {"on": "left", "sends": "1.5 Gb/s to store"}}
    )
    found = traffic(standing)
    one = passed(found.now, "busy", "store")
    assert (one.fate, one.one_stream) == (Fate.PASSES, GIGA)
    worst = {part: moment for moment in found.after for part in moment.lost}
    cut = worst["sw-1.up1 -- sw-2.up1"]
    assert passed(cut, "busy", "store").short == pytest.approx(500 * MEGA)
    assert cut.filled[0].share == pytest.approx(1.5)
    assert "sw-1" not in worst  # who has lost all its wire has fallen, and sends nothing


def test_a_tree_leaves_one_side_of_a_ring_waiting():
    """Of three switches in a ring one cable waits; what the tree can't carry could go the other way round."""
    machines = {f"n-{at}": node(speed="10 Gb/s") for at in (1, 2, 3)}
    machines |= {
        f"sw-{at}": {"is": "switch", "ports": {"1..4": "10 Gb/s", "r1..2": "1 Gb/s"}} for at in (1, 2, 3)
    }
    cables = [f"n-{at} -- sw-{at}.1" for at in (1, 2, 3)]
    cables += ["sw-1.r1 -- sw-2.r1", "sw-2.r2 -- sw-3.r1", "sw-3.r2 -- sw-1.r2"]
    services = {"store": {"on": "n-3"}, "busy": {"on": "n-2", "sends": "1.6 Gb/s to store"}}
    found = traffic(standing_of(machines, cables, services))
    one = passed(found.now, "busy", "store")
    assert one.short == pytest.approx(600 * MEGA)  # over sw-1, the root: sw-2 -- sw-3 waits
    assert one.tightest in ("sw-1.r1 -- sw-2.r1", "sw-3.r2 -- sw-1.r2")
    assert found.together is not None
    assert found.together.share == pytest.approx(2 / 1.6)


def test_who_took_over_sends_from_elsewhere():
    """The active copy alone sends; when its host is lost the other does, over a plug that is too narrow."""
    machines = {"fast": node(), "slow": node(speed="100 Mb/s"), "sink": node(), "sw": SWITCH}
    cables = ["fast -- sw.1", "slow -- sw.2", "sink -- sw.3"]
    services = {"busy": {"on": ["fast", "slow"], "takes over": "9 s", "sends": "300 Mb/s to sink"}}
    found = traffic(standing_of(machines, cables, services))
    assert passed(found.now, "busy", "sink").tightest == "fast.a -- sw.1"
    after = next(moment for moment in found.after if "fast" in moment.lost)
    assert passed(after, "busy", "sink").short == pytest.approx(200 * MEGA)
    assert after.filled[0].link == "slow.a -- sw.2"


def test_copies_that_serve_share_it_and_the_survivor_carries_all():
    """Two copies send half each; the one that is left sends all of it."""
    wide = {"is": "switch", "ports": {"1..2": "1 Gb/s", "ten": "10 Gb/s"}}
    machines = {"one": node(), "two": node(), "sink": node(speed="10 Gb/s"), "sw": wide}
    cables = ["one -- sw.1", "two -- sw.2", "sink -- sw.ten"]
    services = {"busy": {"on": ["one", "two"], "sends": "1.8 Gb/s to sink"}}
    found = traffic(standing_of(machines, cables, services))
    assert {each.link: each.asked for each in found.now.filled}["one.a -- sw.1"] == 900 * MEGA
    after = next(moment for moment in found.after if "two" in moment.lost)
    assert {each.link: each.asked for each in after.filled}["one.a -- sw.1"] == 1800 * MEGA


def test_what_has_fallen_sends_nothing_and_nobody_wails():
    """With the only host lost, or its only cable, nothing is sent; who stands and is not reached is cut off."""
    standing = standing_of(
        **PAIR, services={"store": {"on": "right"}, "busy": {"on": "left", "sends": "600 Mb/s to store"}}
    )
    found = traffic(standing)
    lost = {part for moment in found.after for part in moment.lost}
    assert not lost & {"left", "right", "left.a -- sw-1.1", "sw-1"}
    assert {moment.passed[0].fate for moment in found.after} <= {Fate.CUT_OFF}
    gone = traffic(
        standing_of(
            **PAIR,
            services={"store": {"on": "right"}, "busy": {"on": "left", "sends": "600 Mb/s to store"}},
            out=["left"],
        )
    )
    assert passed(gone.now, "busy", "store").fate is Fate.NOT_SENT
    assert not gone.now.filled


def test_users_take_equal_shares_where_they_sit():
    """400 Mb/s to a network go to its two switches; who sits at a lost switch asks for nothing."""
    standing = standing_of(
        **PAIR,
        services={"busy": {"on": "left", "sends": "400 Mb/s to house"}},
        networks={"house": {"over": ["sw-1", "sw-2"]}},
    )
    found = traffic(standing)
    trunk = next(each for each in found.now.filled if "up1" in each.link)
    assert (trunk.asked, trunk.towards) == (200 * MEGA, "sw-2")
    assert not any("sw-2" in moment.lost for moment in found.after)
    assert [(each.key, each.things) for each in found.taken] == [("users at", ("house",))]


def test_what_goes_out_goes_over_whoever_leads_out():
    """Traffic to the outside fills the plug of the router that serves, and moves with it."""
    machines = {"left": node(), "gate-1": node(), "gate-2": node(speed="100 Mb/s"), "sw": SWITCH}
    cables = ["left -- sw.1", "gate-1 -- sw.2", "gate-2 -- sw.3"]
    services = {
        "router": {"on": ["gate-1", "gate-2"], "takes over": "5 s"},
        "busy": {"on": "left", "sends": "300 Mb/s to street"},
    }
    standing = standing_of(
        machines,
        cables,
        services,
        networks={"house": {"over": "sw", "way out": "router"}},
        outside={"street": "the line"},
    )
    found = traffic(standing)
    assert [each.link for each in found.now.filled] == ["left.a -- sw.1", "gate-1.a -- sw.2"]
    after = next(moment for moment in found.after if "gate-1" in moment.lost)
    assert passed(after, "busy", "street").short == pytest.approx(200 * MEGA)


def test_between_networks_it_passes_the_router_twice():
    """From one network to another traffic goes into the router's machine over one plug and out over the other."""
    machines = {"left": node(), "right": node(), "gate": node("a", "b"), "sw-1": SWITCH, "sw-2": SWITCH}
    cables = ["left -- sw-1.1", "gate.a -- sw-1.2", "gate.b -- sw-2.2", "right -- sw-2.1"]
    services = {
        "router": {"on": "gate", "joins": ["house", "care"]},
        "busy": {"on": "left", "sends": "300 Mb/s to right"},
    }
    networks = {"house": {"over": "sw-1"}, "care": {"over": "sw-2"}}
    found = traffic(standing_of(machines, cables, services, networks=networks))
    assert {(each.link, each.towards) for each in found.now.filled} == {
        ("left.a -- sw-1.1", "sw-1"),
        ("gate.a -- sw-1.2", "gate"),
        ("gate.b -- sw-2.2", "sw-2"),
        ("right.a -- sw-2.1", "right"),
    }
    after = next(moment for moment in found.after if "gate" in moment.lost)
    assert passed(after, "busy", "right").fate is Fate.CUT_OFF


def test_a_switch_that_forwards_less_is_what_is_full():
    """A switch that passes on 500 Mb/s lets 600 through only in part."""
    machines = {"left": node(), "right": node(), "sw": SWITCH | {"forwards": "500 Mb/s"}}
    services = {"busy": {"on": "left", "sends": "600 Mb/s to right"}}
    found = traffic(standing_of(machines, ["left -- sw.1", "right -- sw.2"], services))
    one = passed(found.now, "busy", "right")
    assert (one.tightest, one.share, one.short) == ("sw", pytest.approx(1.2), pytest.approx(100 * MEGA))


def test_without_traffic_nothing_is_told():
    """Where nobody sends anything there is nothing to tell, now or after a loss."""
    found = traffic(standing_of(**PAIR, services={"store": {"on": "right"}}))
    assert (found.streams, found.after, found.together, found.taken, found.tried) == ((), (), None, (), 0)


def test_speeds_that_nobody_says_are_told():
    """Ports without a speed count as a gigabit, and what hangs on that is told at both ends of what is usual."""
    machines = {"left": {"is": "node"}, "right": {"is": "node"}, "sw": {"is": "switch"}}
    services = {"busy": {"on": "left", "sends": "300 Mb/s to right"}}
    found = traffic(standing_of(machines, ["left -- sw", "right -- sw"], services))
    (speed,) = found.taken
    assert (speed.key, speed.value) == ("speed", "1 Gb/s")
    assert (speed.low, speed.high) == ("300% at 100 Mb/s", "3% at 10 Gb/s")


def test_how_long_a_whole_copy_takes_is_told():
    """450 GB at a gigabit take an hour; a backup on the same machine takes nothing of the wire."""
    standing = standing_of(
        **PAIR,
        services={"busy": {"on": "left"}},
        data={
            "book": {
                "of": "busy",
                "in": "left",
                "size": "450 GB",
                "backed up": {"to": "right", "every": "1 day"},
            },
            "note": {"of": "busy", "in": "left", "size": "1 GB", "backed up": "left"},
        },
    )
    (copy,) = traffic(standing).copying
    assert (copy.of, copy.to, copy.takes_s, copy.every_s) == ("book", "right", pytest.approx(3600.0), 86400.0)


@given(wires())
@settings(max_examples=60)
def test_every_loss_is_as_if_reckoned_from_the_start(text):
    """What is worked out anew only where a loss can change it is what all of it worked out anew gives."""
    standing = Standing(lab_of(text))
    flows = flowing(standing)
    losing = Losing(flows)
    names = [name for name in losing.names if name in standing.support.things]
    seen = set()
    for change in single_losses(standing, names):
        for part, view in zip(change.parts, standing.views([(part,) for part in change.parts]), strict=True):
            seen.add(part)
            slow = Flowing(flows.talk, view).now
            less = losing.after(change.there, change.changed)
            asked = dict(flows.now.asked) | (
                {place: much for place, (much, _) in less.asked.items()} if less else {}
            )
            assert {place: much for place, much in asked.items() if much} == {
                place: much for place, much in slow.asked.items() if much
            }, part
            for number, want in enumerate(slow.passed):
                got = (less.passed if less else {}).get(number, flows.now.passed[number])
                assert (got.fate, got.gets, got.short, got.cut_off) == (
                    want.fate,
                    pytest.approx(want.gets, abs=2),
                    pytest.approx(want.short, abs=2),
                    want.cut_off,
                ), (part, want.stream)
    for part in standing.parts:
        if part not in seen:
            (view,) = standing.views([(part,)])
            assert Flowing(flows.talk, view).now.asked == flows.now.asked


@given(wires())
@settings(max_examples=40)
def test_what_is_told_adds_up(text):
    """No line gets more than it asks for, none is short where nothing is too full or cut off, worst come first."""
    found = traffic(Standing(lab_of(text)))
    for moment in (found.now, *found.after, found.fullest):
        for each in moment.passed:
            assert 0.0 <= each.gets <= each.stream.rate + 1e-6
            assert not each.short or each.share > 1.0 or each.cut_off
    shorts = [moment.short for moment in found.after]
    assert all(later <= first + 1e-6 for first, later in pairwise(shorts))
    if found.together is not None:
        fullest = max((each.share for each in found.now.filled), default=0.0)
        assert not fullest or found.together.share >= 1 / fullest - 1e-6
