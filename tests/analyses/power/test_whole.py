"""Does the short answer on power name what is too much, whichever part of the sheet finds it?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.power.whole import power
from falsework.analyses.power.whole_telling import short_answer
from falsework.support.standing import Standing

QUIET = """
falsework: 1
lab: t
outside: {grid: {about: the street, energy costs: 0.30 EUR/kWh}}
places: {cellar: {is: room, cools: COOLS}}
power:
  c: {is: circuit, fed by: grid, volts: 230 V, breaker: 16 A, for hours: 80 %, bears surge: 5}
  d: {is: circuit, fed by: grid, volts: 230 V, breaker: 16 A, for hours: 80 %, bears surge: 5}
  cell: {is: ups, fed by: c, in: cellar, carries: CARRIES, battery: 400 Wh}
machines:
  n1..2: {is: node, in: cellar, fed by: [cell, d], draws: 100 W, surge: SURGE}
services: {s: {on: [n1, n2]}}
"""


def whole(cools="1 kW", carries="900 W", surge="10 A"):
    """The power of the lab above."""
    text = QUIET.replace("COOLS", cools).replace("CARRIES", carries).replace("SURGE", surge)
    return power(Standing(lab_of(text)))


def test_nothing_is_too_much():
    """200 W at 22 % of the battery: nothing is bad, and what is nearest to its limit is told."""
    found = whole()
    assert not found.bad
    assert short_answer(found) == (
        "every source carries what is asked of it, now and after any one loss; cell is nearest to its limit, at 22 % "
        "when d is lost"
    )


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            {"cools": "150 W"},
            "cellar gets 200 W of heat on an ordinary day, and its cooling carries away 150 W",
        ),
        ({"surge": "50 A"}, "when power returns, 100 A come at once on"),
        ({"carries": "150 W"}, "lose d: cell would have to carry 200 W and shuts off above 150 W"),
    ],
)
def test_each_part_can_be_too_much(change, says):
    """Too much heat, a surge that is said and trips, a battery asked for too much: each alone is bad, and told first."""
    found = whole(**change)
    assert found.bad
    assert says in short_answer(found)


def test_many_things_are_counted():
    """Where more than two are too much, two are told and the others counted."""
    found = whole(cools="150 W", surge="50 A", carries="150 W")
    assert short_answer(found).count(";") >= 2
    assert "too much" in short_answer(found)


def test_what_was_taken_is_gathered():
    """The sheet's figures, those of batteries, of the return of power and of heat, each key with its source."""
    keys = [each.key for each in whole().taken]
    assert "power factor" in keys
    assert "air rises" in keys
    assert all(each.source for each in whole().taken)


def test_energy_is_there():
    """200 W all year are 1,752 kWh and 525.60 EUR."""
    found = whole().energy
    assert found.kwh == pytest.approx(1752)
    assert found.costs[0].amount == pytest.approx(525.60)
