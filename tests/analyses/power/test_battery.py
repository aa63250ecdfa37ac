"""How long does each battery last, and what does that hang on?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.power.battery import batteries
from falsework.analyses.power.battery_result import Age, From
from falsework.analyses.power.sheet import feeds
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: t
outside: {{grid: the street}}
power:
  ca: {{is: circuit, fed by: grid, volts: 230 V, breaker: 16 A}}
  cb: {{is: circuit, fed by: grid, volts: 230 V, breaker: 16 A}}
  cell: {{is: ups, fed by: ca, {battery}}}
  A: {{is: strip, fed by: cell}}
  B: {{is: strip, fed by: cb}}
machines:
  n: {{is: node, fed by: [A, B], draws: 100..300 W, usually draws: 150 W}}
  m: {{is: node, fed by: B, draws: 50 W}}
"""


def found(battery, *lose):
    """The batteries of that lab."""
    standing = Standing(lab_of(LAB.format(battery=battery)))
    return batteries(standing, feeds(standing, lose=lose))


def one(battery, *lose):
    """The only one."""
    (got,) = found(battery, *lose).batteries
    return got


def test_at_the_cut_all_hangs_on_it():
    """432 Wh, 80 %, 90 %: 62.2 min at 300 W when the street is cut, twice that while B still gives half (check H15)."""
    got = one("battery: 432 Wh, usable: 80 %, inverter: 90 %")
    assert got.reckoned is From.ENERGY
    assert [each.watts for each in got.cut] == [100, 150, 300]
    assert [each.watts for each in got.alone] == [50, 75, 150]
    assert got.cut[-1].lasts_s / 60 == pytest.approx(62.208)
    assert got.alone[-1].lasts_s / 60 == pytest.approx(2 * 62.208)


def test_losses_that_bring_more_load():
    """Losing B or its circuit brings all of n; losing what has nothing to do with it brings nothing."""
    got = one("battery: 432 Wh")
    assert [(each.when, each.watts) for each in got.losses] == [
        ("cb", 300),
        ("B", 300),
        ("n.supply-2", 300),
    ]
    assert one("battery: 432 Wh", "m.supply-1").losses == ()


def test_age_and_what_a_new_one_would_give():
    """Three quarters left last three quarters as long; by hours a straight line to 80 % in five years."""
    got = one("battery: 432 Wh, left: 75 %")
    assert got.cut[-1].lasts_s == pytest.approx(0.75 * got.cut[-1].new_s)
    assert got.age is Age.SAID
    by_hours = one("battery: 432 Wh, hours: 21900 h")  # half of five years
    assert by_hours.left == pytest.approx(0.9)
    assert by_hours.age is Age.HOURS
    assert one("battery: 432 Wh").age is Age.UNSAID


def test_the_loss_to_a_fast_discharge():
    """432 Wh over 20 h with 1.2 at 300 W, 0.8, 0.9: 36.0 min by hand, less than 62."""
    got = one("battery: 432 Wh, rated over: 20 h, exponent: 1.2, usable: 80 %, inverter: 90 %")
    assert got.cut[-1].lasts_s / 60 == pytest.approx(0.8 * 20 * 60 * (21.6 / (300 / 0.9)) ** 1.2)


def test_a_curve_goes_first_as_it_is_written():
    """The curve says 10 min at 300 W, whatever else is told; what age would make of it is told beside it."""
    got = one("runs: {100 W: 40 min, 300 W: 10 min}, battery: 432 Wh, left: 50 %")
    assert got.reckoned is From.CURVE
    assert got.cut[-1].lasts_s == 600
    assert got.aged_s == 300
    assert got.cut[-1].new_s is None


def test_more_than_it_carries():
    """At the cut 300 W are asked of 250 W: it lasts no time, and that is bad."""
    got = found("battery: 432 Wh, carries: 250 W")
    (battery,) = got.batteries
    assert battery.cut[-1].over
    assert battery.cut[-1].lasts_s == 0
    assert not battery.alone[-1].over
    assert got.bad


def test_what_was_taken_and_what_hangs_on_it():
    """Each figure that nobody says, with the runtime at both ends; none for a curve; the last resort is told."""
    taken = {each.key: each for each in found("battery: 432 Wh").taken}
    assert set(taken) == {"usable", "inverter", "left", "exponent"}
    assert (taken["usable"].low, taken["usable"].high) == (
        "39 min",
        "1 h 18 min",
    )  # 50 and 100 % of 77.76 min
    assert taken["usable"].of == "how long cell lasts at 300 W, when the power is cut (1 h 2 min)"
    small = {each.key: each for each in found("battery: 432 Wh, carries: 200 W").taken}
    assert small["usable"].of == "how long cell lasts at 150 W, when the power is cut (2 h 4 min)"
    assert found("runs: {300 W: 10 min}").taken == ()
    (last,) = found("carries: 900 W").taken
    assert (last.key, last.value) == ("runs", "5 min")
    hours = {each.key: each.value for each in found("battery: 432 Wh, hours: 21900 h").taken}
    assert hours["left"].startswith("by its hours")
    rated = {each.key for each in found("battery: 432 Wh, exponent: 1.2").taken}
    assert "rated over" in rated
