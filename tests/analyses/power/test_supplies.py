"""Does each machine run on as few supplies as it says are enough, at the voltage that they really have?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.power.sheet import feeds
from falsework.analyses.power.telling import cords_says
from falsework.engines.electrical import LEVELS, efficiency_at
from falsework.support.standing import Standing

BOX = """
falsework: 1
lab: t
outside: {grid: the street}
power:
  c1: {is: circuit, fed by: grid, volts: 230 V}
  c2: {is: circuit, fed by: grid, volts: 115 V}
machines:
  box: {is: enclosure, fed by: FEEDS, holds: {a..b: {is: node, draws: 100..300 W, usually draws: 150 W}}, WHAT}
"""


def box(feeds_, what):
    """What is said of the supplies of the box."""
    (found,) = feeds(Standing(lab_of(BOX.replace("FEEDS", feeds_).replace("WHAT", what)))).supplied
    return found


def test_a_supply_alone_carries_all():
    """Two supplies in two circuits, 600 W at the plugs when busy: each gives half of it, or all of it alone."""
    found = box("[c1, c1]", "supply gives: 700 W, efficiency: 90 %")
    (give,) = found.gives
    assert (give.now, give.alone) == (pytest.approx(270), pytest.approx(540))
    assert give.share == pytest.approx(540 / 700)
    assert not found.too_small
    assert found.loss == pytest.approx(0.1 * 300)


def test_enough_shares_it():
    """Of three supplies two are needed: with one out each of them gives half, and so 300 W are enough."""
    found = box("[c1, c1, c1]", "enough: 2, supply gives: 300 W, efficiency: 90 %")
    assert found.gives[0].alone == pytest.approx(270)
    assert not found.too_small
    assert box("[c1, c1, c1]", "supply gives: 300 W, efficiency: 90 %").too_small


def test_each_supply_at_its_own_voltage():
    """One at 230 V, one at 115 V: the second gives less, and is the one that is too small."""
    found = box("[c1, c2]", "supply gives: {115 V: 500 W, 230 V: 700 W}, efficiency: 90 %")
    assert [(give.volts, give.gives) for give in found.gives] == [(230, 700), (115, 500)]
    assert [give.share > 1 for give in found.gives] == [False, True]
    assert found.too_small


def test_what_is_not_told_is_not_judged():
    """Below every voltage that is told nothing is known; straight from outside the least that is told counts."""
    low = box("[c2, c2]", "supply gives: {200 V: 500 W, 230 V: 700 W}, efficiency: 90 %")
    assert low.gives[0].gives is None
    assert low.gives[0].share is None
    assert not low.too_small
    outside = box("[grid, grid]", "supply gives: {115 V: 500 W, 230 V: 700 W}, efficiency: 90 %")
    assert outside.gives[0].volts is None
    assert outside.gives[0].gives == 500


def test_a_level_counts_at_its_load():
    """Gold at 600 W of 700: what comes out solves its own equation, between the points of the table."""
    give = box("[c1, c1]", "supply gives: 700 W, efficiency: gold").gives[0]
    assert give.alone == pytest.approx(600 * efficiency_at(LEVELS["gold"], give.alone / 700))
    assert 0.87 < give.alone / 600 < 0.90


def test_what_is_taken_is_told_with_both_ends():
    """Without an efficiency 90 % is taken: 540 W, and 480 to 564 W at the lowest and highest level."""
    text = BOX.replace("FEEDS", "[c1, c1]").replace("WHAT", "supply gives: 700 W")
    (taken,) = [each for each in feeds(Standing(lab_of(text))).taken if each.key == "efficiency"]
    assert taken.things == ("box",)
    assert "540 W" in taken.of
    assert (taken.low, taken.high) == ("480 W", "564 W")


def test_a_cord_for_more_than_the_common_coupler():
    """2,400 W busy at 230 V and 0.95 are 11.0 A through one cord alone, 5.5 A where two are needed; at 115 V 22 A."""
    text = BOX.replace("draws: 100..300 W, usually draws: 150 W", "draws: 1200 W").replace(
        "WHAT", "power factor: 0.95"
    )
    sheet = feeds(Standing(lab_of(text.replace("FEEDS", "[c1, c1]"))))
    (cord,) = sheet.cords
    assert (cord.source, round(cord.amperes, 1)) == ("c1", 11.0)
    assert "more than the 10 A of a C13 coupler, within the 16 A of a C19" in cords_says(sheet.cords)
    needed = text.replace("FEEDS", "[c1, c1]").replace("power factor", "enough: 2, power factor")
    assert feeds(Standing(lab_of(needed))).cords == ()
    low = feeds(Standing(lab_of(text.replace("FEEDS", "[c2, c2]")))).cords
    assert (
        "22.0 A through one cord in c2: more than the 10 A of a C13 coupler, and than the 16 A"
        in cords_says(low)
    )


@given(texts())
@settings(max_examples=40, deadline=None)
def test_every_lab_has_a_sheet(text):
    """Whatever a lab has, each source has its figures, idle never above busy, and no loss asks a dark source."""
    found = feeds(Standing(lab_of(text)))
    for feed in found.feeds:
        assert 0 <= feed.idle.watts <= feed.usual.watts + 1e-9
        assert feed.usual.watts <= feed.busy.watts + 1e-9
        assert feed.worst is None or feed.worst.carried.watts > 0
