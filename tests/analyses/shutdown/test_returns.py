from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.shutdown.invented import lab, on_battery
from tests.analyses.shutdown.watch import Watched
from tests.strategies import lab_of

from falsework.analyses.shutdown import stop
from falsework.analyses.shutdown.result import Waking
from falsework.analyses.shutdown.returns import window
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: Power comes back half-way
outside: {mains: the wall}
power:
  cell:  {is: ups, fed by: mains, runs: {100 W: 20 min, 200 W: 10 min}, signals at: 3 min, THEN}
  other: {is: ups, fed by: mains, runs: {200 W: 40 min}, OTHER}
  plain: {is: strip, fed by: mains}
machines:
  n1: {is: node, fed by: FEED, draws: 100 W, stops in: 2 min, power back: BACK}
  n2: {is: node, fed by: cell, draws: 100 W, stops in: 4 min, power back: on}
"""


def stopped(then="", *, feed="cell", back="on", other=""):
    """The whole stop."""
    text = LAB.replace("THEN", then).replace("FEED", feed).replace("BACK", back).replace("OTHER", other)
    return stop(Standing(lab_of(text)))


def minutes(found, name):
    """Between which minutes a return leaves a machine off."""
    machine = next(each for each in found.machines if each.name == name)
    return None if machine.stays_off is None else tuple(at / 60 for at in machine.stays_off)


def test_what_has_stopped_stays_off_until_its_battery_is_empty():
    """Told at 3 min. 200 W for 5 min take half of it, 100 W for 2 min a tenth, none for 8 min the last two fifths."""
    found = stopped()
    assert minutes(found, "n1") == minutes(found, "n2") == pytest.approx((3, 15))
    back = found.batteries[0].returns
    assert (back.worst_s, back.off, back.elsewhere) == (180, ("n1", "n2"), ())


def test_outlets_that_are_switched_off_after_the_stop_wake_all():
    """At 8 min both have stopped, and see the power go and come back whenever it returned."""
    found = stopped("then cuts: 5 min")
    assert minutes(found, "n1") is minutes(found, "n2") is None
    assert found.batteries[0].returns is None
    assert found.batteries[0].cut_off == ()
    assert not found.broken


def test_outlets_that_are_switched_off_too_soon_cut_hard():
    """At 6 min n2 is still stopping, until 7."""
    found = stopped("then cuts: 3 min")
    assert found.batteries[0].cut_off == ("n2",)
    assert found.batteries[0].cut_hard == ()
    assert found.broken


def test_a_second_cord_keeps_a_machine_from_seeing_the_power_go():
    """A plain strip has power again with the return, so switching off the battery's outlets does nothing for n1."""
    found = stopped("then cuts: 5 min", feed="[cell, plain]")
    assert minutes(found, "n1") == pytest.approx((3, 8))
    assert minutes(found, "n2") is None
    assert found.batteries[0].returns.elsewhere == ("n1",)


def test_two_batteries_must_switch_off_at_one_moment():
    """Both at 8 min wake n1; one of them later does not."""
    both = "signals at: 3 min, tells: n1, then cuts: 5 min"
    assert minutes(stopped("then cuts: 5 min", feed="[cell, other]", other=both), "n1") is None
    late = both.replace("5 min", "6 min")
    assert minutes(stopped("then cuts: 5 min", feed="[cell, other]", other=late), "n1") == pytest.approx(
        (3, 9)
    )


@pytest.mark.parametrize("back", ["as it was", "stays off"])
def test_what_is_not_set_to_come_on_never_does(back):
    """As it was means off, once it was stopped in order; switching outlets does not help."""
    found = stopped("then cuts: 5 min", back=back)
    machine = found.machines[0]
    assert (machine.after, machine.stays_off) == (Waking.SETTING, None)
    assert found.batteries[0].returns.set_off == ("n1",)
    assert found.batteries[0].returns.window_s is None


def test_where_another_feed_goes_on_nothing_ever_wakes_it():
    """Only the feed of the battery is cut: n1 stops when told though its other cord has power, and is never woken."""
    text = LAB.replace("THEN", "").replace("FEED", "[cell, far]").replace("BACK", "on").replace("OTHER", "")
    text = text.replace("{mains: the wall}", "{mains: the wall, far: another wall}")
    found = stop(Standing(lab_of(text)))
    assert minutes(found, "n1") == (3, float("inf"))
    assert found.batteries[0].needless == ("n1",)
    assert stop(Standing(lab_of(text)), ["mains", "far"]).batteries[0].needless == ()


def test_the_window_of_a_machine():
    """From when it is told until its power is gone, or until all its batteries that switch off together have signalled."""
    assert window(1.0, 9.0, [None]) == window(1.0, 9.0, [(1.0, 6.0), None]) == (1.0, 9.0)
    assert window(1.0, 9.0, [(1.0, 6.0), (1.0, 7.0)]) == (1.0, 9.0)
    assert window(1.0, 9.0, [(1.0, 6.0)]) is window(1.0, 9.0, [(1.0, 6.0), (0.5, 6.0)]) is None
    assert window(1.0, 9.0, [(4.0, 6.0)]) == window(1.0, 9.0, [(1.0, 6.0), (4.0, 6.0)]) == (1.0, 4.0)
    assert window(1.0, 1.0, [None]) is None


def test_a_battery_switches_off_only_once_it_has_signalled():
    """n1 is told at 3 min by another battery than its own, which signals at 5: between the two nothing wakes it."""
    found = stopped("tells: n1", feed="other", other="signals at: 5 min, tells: n2, then cuts: 5 min")
    assert minutes(found, "n1") == pytest.approx((3, 5))


@settings(deadline=None, max_examples=25)
@given(
    on_battery(),
    st.sampled_from([None, 40, 120, 400]),
    st.lists(st.integers(1, 1500), min_size=3, max_size=3),
)
def test_windows_are_as_somebody_who_watches_sees_them(data, cuts, moments):
    """The mains back at any second: a machine that was told stays off just where its window says so."""
    for machine in data["machines"].values():
        machine["power back"] = "on"
    data["kinds"]["sled"]["power back"] = "on"
    data["machines"].get("box", {}).pop("power back", None)
    for name, each in data["power"].items():
        if cuts and each["is"] == "ups" and name != "u1":
            each["then cuts"] = f"{cuts} s"
    standing = Standing(lab(data))
    watched = Watched(standing.lab)
    found = stop(standing)
    done = {each.name: each.done_s for each in found.machines}
    fate = watched.drain(done, cuts=True)
    for each in found.machines:
        edges = [
            *(each.stays_off or ()),
            *fate[2].values(),
            *fate[3].values(),
            *fate[0].values(),
            each.done_s,
        ]
        for back in moments:
            if back > each.told_s and all(abs(back - edge) > 25 for edge in edges):
                inside = each.stays_off is not None and each.stays_off[0] <= back < each.stays_off[1]
                assert watched.wakes(each.name, each.told_s, back, fate) != inside, (each, back)
