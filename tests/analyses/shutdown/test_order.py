from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.shutdown.invented import called, lab, on_battery, renamed
from tests.analyses.shutdown.watch import Watched
from tests.strategies import lab_of

from falsework.analyses.shutdown import stop
from falsework.support.standing import Standing

RING = """
falsework: 1
lab: A ring
outside: {mains: the wall}
power:
  cell: {is: ups, fed by: mains, runs: {100 W: 30 min}, signals at: 1 min}
machines:
  n1..2: {is: node, fed by: cell, draws: 50 W, stops in: 2 min}
services:
  FIRST:  {on: n1, stops in: 3 min, needs: [SECOND]}
  SECOND: {on: n2, stops in: 1 min, needs: [FIRST]}
  pages:  {on: n2, stops in: 2 min, needs: [FIRST]}
  lamp:   {on: n1, stops in: 20 s, needs: {to run: [pages HOLD]}}
"""


def ring(first="a", second="b", hold="for 10 s"):
    """When each thing of the ring has stopped, minutes."""
    text = RING.replace("FIRST", first).replace("SECOND", second).replace("HOLD", hold)
    found = stop(Standing(lab_of(text)))
    return found, {name: at / 60 for name, at in found.batteries[0].done_s.items()}


def test_a_circle_worked_out_by_hand():
    """Pages stop at 3 min 20 s, after the lamp; then the two of the ring, 4 min one after the other; then nodes."""
    found, minutes = ring()
    third = 1 / 3
    assert minutes == pytest.approx(
        {
            "lamp.1": 1 + third,
            "pages.1": 3 + third,
            "a.1": 7 + third,
            "b.1": 7 + third,
            "n1": 9 + third,
            "n2": 9 + third,
        }
    )
    assert [set(circle) for circle in found.circles] == [{"a.1", "b.1"}]


@pytest.mark.parametrize(("first", "second"), [("a", "b"), ("b", "a"), ("z", "a"), ("pa", "pz")])
def test_it_does_not_matter_how_the_members_of_a_circle_are_called(first, second):
    """A circle has one length, wherever it is entered."""
    _, minutes = ring(first, second)
    assert minutes["n1"] == pytest.approx(9 + 1 / 3)
    assert minutes[f"{first}.1"] == minutes[f"{second}.1"] == pytest.approx(7 + 1 / 3)


def test_a_need_that_can_wait_longer_than_the_stop_asks_for_no_order():
    """A lamp that can do without pages for hours lets them stop at once; all of it together takes 10 min 20 s."""
    _, minutes = ring(hold="for 6 h")
    assert minutes["pages.1"] == pytest.approx(3)
    _, minutes = ring(hold="for 11 min")
    assert minutes["pages.1"] == pytest.approx(3)
    _, minutes = ring(hold="for 10 min")
    assert minutes["pages.1"] == pytest.approx(3 + 1 / 3)


def test_what_is_needed_to_start_only_asks_for_no_order():
    """Nothing starts during a stop."""
    text = RING.replace("{to run: [pages HOLD]}", "{to start: [pages]}")
    found = stop(Standing(lab_of(text.replace("FIRST", "a").replace("SECOND", "b"))))
    assert found.batteries[0].done_s["pages.1"] == pytest.approx(180)


def test_the_longest_way_is_told_with_all_its_steps():
    """Who waited for whom, one after the other, the last to stop at the end."""
    found, _ = ring()
    assert found.batteries[0].path == ("lamp.1", "pages.1", "b.1", "n2")


@settings(deadline=None, max_examples=60)
@given(on_battery(), st.integers(0, 10))
def test_names_decide_nothing(data, turn):
    """The same lab under other names stops at the same moments, and its batteries last as long."""
    old = [name for name in (*data["machines"], *data.get("services", ())) if name not in ("box", "sw")]
    new = [f"x{(number + turn) * 7 % 11}" for number in range(len(old))]
    names = dict(zip(old, new, strict=True))
    one, other = stop(Standing(lab(data))), stop(Standing(lab(renamed(data, names))))
    for before, after in zip(one.batteries, other.batteries, strict=True):
        again = {called(name, names): at for name, at in before.done_s.items()}
        assert after.done_s == pytest.approx(again)
        assert after.runtime_s == pytest.approx(before.runtime_s)
        assert after.falling_s == pytest.approx(before.falling_s)


@settings(deadline=None, max_examples=80)
@given(on_battery())
def test_stops_are_as_somebody_who_watches_sees_them(data):
    """Order, waiting and circles, second by second, give the same moments."""
    standing = Standing(lab(data))
    found = stop(standing)
    told = {each.name: each.told_s for each in found.machines}
    done = {each.name: each.done_s for each in found.machines}
    for battery in found.batteries:
        done |= battery.done_s
    watched = Watched(standing.lab)
    hosts = {copy.id: copy.host for copy in watched.copies}
    told |= {name: told[hosts[name]] for name in done if name in hosts}
    assert done == pytest.approx(watched.stops(told))
