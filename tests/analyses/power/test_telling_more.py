"""Is it told in plain sentences how long batteries last, what comes on together and how much heat there is?"""

from __future__ import annotations

from tests.strategies import lab_of

from falsework.analyses.power import battery_telling, heat_telling, inrush_telling
from falsework.analyses.power.battery import batteries
from falsework.analyses.power.heat import heat
from falsework.analyses.power.inrush import inrush
from falsework.analyses.power.sheet import feeds
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: t
outside: {grid: the street}
places: {cellar: {is: room, cools: 100 W}}
power:
  c: {is: circuit, fed by: grid, breaker: 10 A}
  d: {is: circuit, fed by: grid, breaker: 16 A}
  cell: {is: ups, fed by: c, in: cellar, battery: 432 Wh, left: 75 %}
machines:
  n1..2: {is: node, in: cellar, fed by: [cell, d], draws: 20..150 W, usually draws: 60 W, surge: 20 A}
"""


def made(text=LAB):
    """A lab, ready to be asked."""
    return Standing(lab_of(text))


def battery(text=LAB):
    """Its only battery."""
    standing = made(text)
    return batteries(standing, feeds(standing)).batteries[0]


def test_how_long_a_battery_lasts():
    """432 Wh, 75 % left, 80 % usable, 90 % arriving: 46.7 min at 300 W, 116.6 min at 120 W."""
    assert battery_telling.battery_says(battery()) == (
        "cell lasts 47 min with all busy when the power is cut (300 W), 1 h 57 min on an ordinary day (120 W)"
    )
    assert battery_telling.battery_notes(battery()) == (
        "the battery of cell has 75 % of its new capacity left; a new battery would last 1 h 2 min",
        "the battery of cell is at the end of its life: test it under load, or replace it",
    )


def test_a_battery_that_is_too_small():
    """Half each is borne; all at the cut is not."""
    small = battery(LAB.replace("left: 75 %", "carries: 250 W"))
    assert battery_telling.battery_says(small) == (
        "when the power is cut, cell is asked for 300 W with all busy, and carries 250 W: it shuts off at once"
    )
    rows = battery_telling.battery_rows(small)
    assert [row[0] for row in rows] == ["cell", "", "", "", "", ""]
    assert rows[0][1:] == ("power cut, busy", "300 W", "120 %", "shuts off", "-")
    assert rows[4][1] == "d lost before, busy"


def test_a_curve_and_what_age_would_make_of_it():
    """The curve counts; three quarters of it are told beside."""
    (note, _) = battery_telling.battery_notes(
        battery(LAB.replace("battery: 432 Wh", "runs: {300 W: 20 min}"))
    )
    assert note == (
        "the curve of cell counts as it is written; if it is that of a new battery, the 75 % that are left give "
        "15 min with all busy"
    )


def test_what_comes_on_together():
    """40 A on a breaker of 10 A that bears 30 by a figure that was taken, and on one of 16 A that bears 48."""
    found = inrush(made())
    c, d = found.sources
    assert inrush_telling.rush_says(c) == (
        "when power returns, 40 A come at once on c, whose breaker bears 30 A for a moment (3 times its rating, "
        "taken): it may trip"
    )
    assert inrush_telling.rush_why(c) == "n1 and n2 come on together"
    assert inrush_telling.rush_says(d) == "most comes on at d, 40 A of the 48 A that it bears"
    assert inrush_telling.inrush_says(found) == inrush_telling.rush_says(c)
    assert "in 2 groups 2 s apart" in inrush_telling.rush_mend(found)
    assert inrush_telling.rush_mend(found).endswith("or say what the breaker bears (`bears surge`)")
    said = inrush(made(LAB.replace("breaker: 10 A", "breaker: 10 A, bears surge: 3")))
    assert inrush_telling.rush_mend(said).endswith("or have breakers fitted that bear more for a moment")
    assert inrush_telling.start_rows(found.start) == (("1", "0 s", "n1", "0 s"), ("2", "2 s", "n2", "2 s"))
    assert inrush_telling.start_says(found.start)[0] == (
        "2 groups 2 s apart: the fewest of which every breaker bears each one while all else runs; what most leans "
        "on comes first"
    )


def test_long_groups_are_told_whole():
    """Every machine of the plan is in the table, six in a row."""
    text = LAB.replace("n1..2", "n1..14").replace("surge: 20 A", "surge: 3 A")
    start = inrush(made(text)).start
    told = [name for row in inrush_telling.start_rows(start) for name in row[2].split(", ")]
    assert sorted(told) == sorted(each.machine for each in start.later)
    assert len(told) == 14


def test_heat():
    """300 W in a cellar that cools 100 W, 120 W on an ordinary day: too much even then."""
    found = heat(made())
    (room,) = found.rooms
    assert heat_telling.heat_says(found) == (
        "cellar gets 120 W of heat on an ordinary day, and its cooling carries away 100 W"
    )
    assert heat_telling.over_why(room) == "n1 and n2 draw 300 W with all busy: 200 W too much"
    assert heat_telling.heat_notes(found)[0].endswith("comes out 11 °C warmer, at 29 to 38 °C")
    enough = heat(made(LAB.replace("cools: 100 W", "cools: 400 W")))
    assert heat_telling.heat_says(enough) == (
        "cooling carries away all heat where it is told of; cellar takes 75 % of it, all busy (300 W of 400 W)"
    )
    assert heat_telling.heat_row(room)[:4] == ("cellar", "40 W", "120 W", "300 W")
