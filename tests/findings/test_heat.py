"""Is a breaker told of that may trip at the return of power, a room that gets too hot, a battery that is old?"""

from __future__ import annotations

from tests.strategies import lab_of

from falsework.findings.finding import HEAT_CAUTION, POWER_CAUTION
from falsework.findings.rules.heat import old_batteries, too_much_heat
from falsework.findings.rules.inrush import at_once
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: t
outside: {grid: the street}
places: {cellar: {is: room, cools: 250 W}}
power:
  c: {is: circuit, fed by: grid, breaker: 10 A}
  cell: {is: ups, fed by: c, in: cellar, battery: 400 Wh}
machines:
  n1..2: {is: node, in: cellar, fed by: cell, draws: 20..150 W, surge: 20 A}
"""


def standing(text=LAB):
    """A lab, ready to be asked."""
    return Standing(lab_of(text))


def test_a_breaker_that_may_trip():
    """Two times 20 A are told, 30 A are borne; with a place, a mend and a caution."""
    (found,) = at_once(standing())
    assert found.code == "too much at once"
    assert found.says.startswith("when power returns, 40 A come at once on c, whose breaker bears 30 A")
    assert (found.where.line, found.things, found.caution) == (7, ("c", "n1", "n2"), POWER_CAUTION)
    assert "2 groups" in found.mend


def test_two_breakers_are_told_once():
    """A second circuit with the same fault is named in the same sentence."""
    text = LAB.replace("  cell:", "  d: {is: circuit, fed by: grid, breaker: 10 A}\n  cell:")
    (found,) = at_once(standing(text + "  m1..3: {is: node, fed by: d, draws: 20 W, surge: 12 A}\n"))
    assert found.says.endswith("it may trip; so may d")
    assert found.things == ("c", "d", "n1", "n2", "m1", "m2", "m3")


def test_surges_that_were_taken_alarm_nobody():
    """Without a told surge, with less of it, or where the breaker bears it, nothing is said."""
    assert not list(at_once(standing(LAB.replace(", surge: 20 A", ""))))
    assert not list(at_once(standing(LAB.replace("surge: 20 A", "surge: 10 A"))))
    assert not list(at_once(standing(LAB.replace("breaker: 10 A", "breaker: 10 A, bears surge: 5"))))


def test_a_room_that_gets_too_hot():
    """300 W where 250 W are carried away; not where 300 are, or nobody says."""
    (found,) = too_much_heat(standing())
    assert found.code == "too much heat"
    assert found.says == "cellar gets 300 W of heat with all busy, and its cooling carries away 250 W"
    assert found.why == ("n1 and n2 draw 300 W with all busy: 50 W too much",)
    assert (found.where.line, found.caution) == (5, HEAT_CAUTION)
    assert not list(too_much_heat(standing(LAB.replace("250 W", "300 W"))))
    assert not list(too_much_heat(standing(LAB.replace(", cools: 250 W", ""))))


def test_a_battery_that_is_old():
    """With 70 % left, or by eight years of hours; one of unknown age, or with 80 %, is left alone."""
    (found,) = old_batteries(lab_of(LAB.replace("battery: 400 Wh", "battery: 400 Wh, left: 70 %")))
    assert (found.code, found.says) == ("battery old", "cell has 70 % of its new capacity left")
    assert found.where.line == 8
    (found,) = old_batteries(lab_of(LAB.replace("battery: 400 Wh", "battery: 400 Wh, hours: 70080 h")))
    assert found.says == "cell has 68 % of its new capacity left, going by its hours"
    assert not list(old_batteries(lab_of(LAB)))
    assert not list(old_batteries(lab_of(LAB.replace("battery: 400 Wh", "battery: 400 Wh, left: 80 %"))))
