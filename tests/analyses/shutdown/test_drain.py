from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.shutdown.invented import lab, on_battery
from tests.analyses.shutdown.watch import Watched
from tests.strategies import lab_of

from falsework.analyses.shutdown import stop
from falsework.analyses.shutdown.drain import NEVER, Wiring, drained
from falsework.support import power
from falsework.support.standing import Standing

TWO = """
falsework: 1
lab: Two batteries
outside: {mains: the wall}
power:
  left:  {is: ups, fed by: mains, LEFT}
  right: {is: ups, fed by: mains, RIGHT}
machines:
  n1: {is: node, fed by: [left, right], draws: 100 W, stops in: 2 min}
"""
CURVE = "runs: {50 W: 20 min, 100 W: 10 min}"


def drain(text, ends=None, *, cuts=False):
    """The batteries of a lab drained."""
    found = lab_of(text)
    return drained(Wiring(found, power.Draws(found), ["mains"]), ends=ends or {}, cuts=cuts)


def test_a_load_that_falls_half_way_worked_out_by_hand():
    """100 W for 5 min take 5/10 of the battery; 50 W take the other half in 10 min, a half of 20."""
    text = TWO.replace("LEFT", CURVE).replace("RIGHT", CURVE).replace("[left, right]", "left")
    text += "  n2: {is: node, fed by: left, draws: 0 W}\n"
    text = text.replace("draws: 100 W", "draws: 50 W").replace("draws: 0 W", "draws: 50 W")
    assert drain(text).ends_s["left"] == pytest.approx(600)
    assert drain(text, {"n1": 300.0}).ends_s["left"] == pytest.approx(900)
    assert drain(text, {"n1": 300.0, "n2": 450.0}).ends_s["left"] == pytest.approx(
        900
    )  # the curve is flat below 50 W


def test_no_load_takes_nothing_from_a_battery_of_which_only_the_energy_is_known():
    """100 W out of 125 Wh, of which 90 Wh come out, last 54 min; stopped after 27 they leave half of it for ever."""
    text = TWO.replace("LEFT", "battery: 125 Wh").replace("RIGHT", CURVE).replace("[left, right]", "left")
    assert drain(text).ends_s["left"] == pytest.approx(54 * 60)
    assert drain(text, {"n1": 27 * 60.0}).ends_s["left"] == NEVER


def test_what_one_battery_leaves_the_other_takes_over():
    """50 W each: the left is empty at 10 min; the right, half full then, has 100 W for half of its 10 min."""
    text = TWO.replace("LEFT", "runs: {50 W: 10 min, 100 W: 4 min}").replace("RIGHT", CURVE)
    found = drain(text)
    assert found.ends_s["left"] == pytest.approx(600)
    assert found.ends_s["right"] == pytest.approx(900)
    assert found.off_s["n1"] == pytest.approx(900)


def test_what_needs_both_its_supplies_is_dark_with_the_first():
    """The right one goes on without a load."""
    text = TWO.replace("LEFT", "runs: {50 W: 10 min, 100 W: 4 min}").replace("RIGHT", CURVE)
    assert drain(text.replace("[left, right],", "[left, right], enough: 2,")).off_s["n1"] == pytest.approx(
        600
    )


def test_what_takes_over_too_much_trips():
    """80 W at the most: when the left is empty at 10 min, the right is asked for 100 W and shuts off at once."""
    text = TWO.replace("LEFT", "runs: {50 W: 10 min, 100 W: 4 min}").replace(
        "RIGHT", f"{CURVE}, carries: 80 W"
    )
    found = drain(text)
    assert found.trips == {"right": pytest.approx(600)}
    assert found.off_s["n1"] == found.ends_s["right"] == pytest.approx(600)


def test_a_battery_behind_a_battery_begins_when_the_first_is_empty():
    """10 min of the first, then 20 of the second, since nothing else is on it."""
    text = TWO.replace("LEFT", "runs: {100 W: 10 min}").replace("RIGHT", "runs: {100 W: 20 min}")
    text = text.replace("right: {is: ups, fed by: mains", "right: {is: ups, fed by: left").replace(
        "[left, right]", "right"
    )
    found = drain(text)
    assert found.begins_s == {"left": 0, "right": pytest.approx(600)}
    assert found.off_s["n1"] == pytest.approx(1800)


@settings(deadline=None, max_examples=40)
@given(on_battery())
def test_batteries_drain_as_somebody_who_watches_sees_them(data):
    """Constant and falling: empty, dark and told at the same seconds, but for the one that a watcher can be late."""
    standing = Standing(lab(data))
    watched = Watched(standing.lab)
    wiring = Wiring(standing.lab, power.Draws(standing.lab), ["mains"])
    found = stop(standing)
    done = {each.name: each.done_s for each in found.machines}
    for ends in ({}, done):
        by_thing = {
            thing: max((ends.get(each, NEVER) for each in _inside(standing.lab, thing)), default=NEVER)
            for parts in wiring.draws.shares.values()
            for thing, _ in parts
        }
        drain = drained(wiring, ends=by_thing, cuts=False)
        empty, dark, signal, _ = watched.drain(ends)
        late = 4 * (
            len(empty) + 1
        )  # a second for each time the load changes hands, at most four times as fast
        assert drain.ends_s == pytest.approx(empty, abs=late)
        machines = {name: at for name, at in drain.off_s.items() if at < NEVER}
        assert machines == pytest.approx(dark, abs=late)
        # A battery that is empty just when it would speak may speak or not.
        asked = {name: each.signals_at for name, each in watched.ups.items() if each.signals_at is not None}
        sure = {name for name, at in asked.items() if abs(drain.ends_s[name] - at) > late}
        sent = {name: at for name, at in signal.items() if name in sure}
        assert {name: at for name, at in drain.signals_s.items() if name in sure} == pytest.approx(sent)


@settings(deadline=None, max_examples=25)
@given(on_battery(), st.sampled_from([30, 90, 150]))
def test_outlets_switch_off_as_somebody_who_watches_sees_them(data, seconds):
    """With `then cuts` too: the moment counts from a signal that was really sent."""
    for name, each in data["power"].items():
        if name in ("u0", "u2"):
            each["then cuts"] = f"{seconds} s"
    found = lab(data)
    drain = drained(Wiring(found, power.Draws(found), ["mains"]), ends={}, cuts=True)
    empty, dark, signal, off = Watched(found).drain({}, cuts=True)
    late = 4 * (len(data["power"]) + 1)
    # A battery that is empty just when it would speak or switch off may do either.
    near = [
        name
        for name in (*drain.cuts_s, *off)
        if min(drain.ends_s[name], empty.get(name, NEVER)) < signal.get(name, 0.0) + seconds + late
    ]
    assert {name: at for name, at in drain.cuts_s.items() if name not in near} == pytest.approx(
        {name: at for name, at in off.items() if name not in near}
    )
    assert {name: at for name, at in drain.off_s.items() if at < NEVER} == pytest.approx(dark, abs=late)


@settings(deadline=None, max_examples=40)
@given(on_battery())
def test_a_falling_load_never_ends_sooner(data):
    """Where any one supply will do, no battery and no machine has less time at the load as it falls."""
    for machine in data["machines"].values():
        machine.pop("enough", None)
    found = stop(Standing(lab(data)))
    for each in found.batteries:
        assert each.falling_s >= each.runtime_s - 1e-6
        assert set(each.cut_falling) <= set(each.cut_hard)
    for machine in found.machines:
        assert machine.falling_s >= machine.power_s - 1e-6


def _inside(lab, thing):
    """The nodes whose stop ends a draw."""
    part = lab.things[thing]
    if part.IS == "drive":
        return _inside(lab, part.in_.ids[0])
    if part.IS == "enclosure":
        return [
            node.id
            for node in lab.things.values()
            if node.IS == "node" and node.in_ and node.in_.ids[0] == thing
        ]
    return [thing] if part.IS == "node" else []
