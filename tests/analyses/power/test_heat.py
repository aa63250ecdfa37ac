"""How much heat arises in each room and rack?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.power.heat import heat
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: t
outside: {{grid: the street}}
places:
  cellar: {{is: room{cellar}}}
  rack: {{is: rack, in: cellar}}
  attic: {{is: room}}
power:
  c: {{is: circuit, fed by: grid}}
  cell: {{is: ups, in: cellar, fed by: c, battery: 400 Wh{ups}}}
machines:
  n1..2: {{is: node, in: rack, fed by: cell, draws: 50..200 W, usually draws: 80 W, drives: 2 disk}}
  box: {{is: enclosure, in: rack, fed by: c, holds: {{a..b: {{is: node, draws: 10..40 W}}}}}}
  up: {{is: node, in: attic, fed by: c, draws: 100 W}}
  lost: {{is: node, fed by: c, draws: 30 W}}
kinds:
  disk: {{is: drive, draws: 5..8 W}}
"""


def found(cellar="", ups="", out=()):
    """The heat of that lab."""
    return heat(Standing(lab_of(LAB.format(cellar=cellar, ups=ups)), out=out))


def room(got, name):
    """One place of it."""
    return next(each for each in (*got.rooms, *got.racks) if each.place == name)


def test_by_room_and_rack():
    """By hand: two nodes and the box in the rack, 120, 210 and 480 W, drives being in what their nodes draw."""
    got = found()
    rack = room(got, "rack")
    assert [each.watts for each in (rack.idle, rack.usual, rack.busy)] == [120, 210, 480]
    assert rack.machines == ("n1", "n2", "box.a", "box.b")
    assert room(got, "cellar").busy.watts == 480
    assert room(got, "attic").busy.watts == 100
    assert (got.unplaced, got.unplaced_w) == (("lost",), 30)


def test_in_the_units_of_the_trade():
    """480 W are 1,638 BTU/h (check H03: 3.412142 each), 0.136 tons (H04), and 130 m3/h at 11 K by P = rho c Q dT."""
    busy = room(found(), "rack").busy
    assert busy.btu_h == pytest.approx(480 * 3.412142)
    assert busy.tons == pytest.approx(480 / 3517, rel=1e-3)
    assert busy.air_m3_h == pytest.approx(480 / (1.2 * 1005 * 11) * 3600)
    assert busy.air_cfm == pytest.approx(3.16 * 480 / (11 * 1.8), rel=0.002)  # check H16


def test_against_the_cooling():
    """400 W are enough on an ordinary day and not when all are busy; 480 W are enough."""
    short = found(", cools: 400 W")
    assert room(short, "cellar").over
    assert not room(short, "cellar").over_usually
    assert short.bad
    assert not found(", cools: 480 W").bad
    assert not found().bad


def test_a_battery_that_loses():
    """At 90 % the 400 W that the battery passes on when busy become 444.4: 44.4 W of heat in its room, not in the rack."""
    got = found(ups=", efficiency: 90 %")
    assert room(got, "cellar").busy.watts == pytest.approx(480 + 400 / 9)
    assert room(got, "rack").busy.watts == 480
    assert all(each.key != "efficiency" for each in got.taken)


def test_what_is_out_gives_none():
    """Without n1 the rack has 280 W; without the circuit all is cold."""
    assert room(found(out=["n1"]), "rack").busy.watts == 280
    assert found(out=["c"]).rooms == ()


def test_what_trips_gives_heat_before_it_does():
    """A battery that carries 300 W and is asked for 400 does not make the cellar cold on the sheet."""
    assert room(found(ups=", carries: 300 W"), "cellar").busy.watts == 480


def test_air_that_may_warm_up_more():
    """At twice the rise half the air; said of the room, it holds for the rack in it."""
    got = found(", air rises: 22 °C")
    assert room(got, "rack").busy.air_m3_h == pytest.approx(room(found(), "rack").busy.air_m3_h / 2)
    assert [each.things for each in got.taken if each.key == "air rises"] == [("attic",)]


def test_what_was_taken():
    """Air that warms up by 11 K: the air at 20 and 6 K is told; a battery without efficiency loses nothing, and that is told."""
    taken = {each.key: each for each in found().taken}
    assert set(taken) == {"air rises", "efficiency"}
    assert (taken["air rises"].low, taken["air rises"].high) == ("72 m³/h", "239 m³/h")
    assert taken["efficiency"].low == "488 W"  # 480 + 400 (1 / 0.98 - 1)
