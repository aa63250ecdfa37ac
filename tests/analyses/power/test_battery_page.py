"""Are the examples of the pages on batteries and on the return of power what the program says?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.power.battery import batteries
from falsework.analyses.power.comers import TOGETHER_S
from falsework.analyses.power.inrush import BEARS, SURGE, SURGE_HIGH, SURGE_LOW, inrush
from falsework.analyses.power.sheet import feeds
from falsework.engines.battery import (
    LEFT_AT_END,
    LIFE_S,
    exponent_from,
    lasts_by_one_ampere_h,
    lasts_by_rating_h,
    left_after,
)
from falsework.support.power import DEPTH, INVERTER, NO_LOSS, RATED_OVER_S, UNSAID_RUNTIME_S
from falsework.support.standing import Standing

PAGES = Path(__file__).parents[3] / "docs/explanation"
BATTERY = (PAGES / "battery.md").read_text(encoding="utf-8")
INRUSH = (PAGES / "inrush.md").read_text(encoding="utf-8")

HEAD = """
falsework: 1
lab: t
outside: {grid: the street}
power:
"""


def minutes(keys):
    """How long 432 Wh last at 300 W when the power is cut, minutes."""
    text = f"""{HEAD}
  u: {{is: ups, fed by: grid, battery: 432 Wh, usable: 80 %, inverter: 90 %{keys}}}
  A: {{is: strip, fed by: u}}
machines: {{n: {{is: node, fed by: A, draws: 300 W}}}}
"""
    standing = Standing(lab_of(text))
    (found,) = batteries(standing, feeds(standing)).batteries
    return found.cut[-1].lasts_s / 60


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("", "62.2 min"),
        (", exponent: 1.2, rated over: 20 h", "36.0 min"),
        (", left: 75 %", "46.7 min"),
        (", left: 75 %, exponent: 1.2", "25.5 min"),
    ],
)
def test_the_battery_by_hand(keys, said):
    """Each of the four runtimes, out of a lab file."""
    assert f"{minutes(keys):.1f} min" == said
    assert said in BATTERY


def test_the_law_in_both_conventions():
    """5.1 h and 10.9 h of the same figures, and the exponent of two ratings."""
    assert f"{lasts_by_one_ampere_h(250, 20, 1.3):.1f} h" == "5.1 h"
    assert f"{lasts_by_rating_h(250, 20, 20, 1.3):.1f} h" == "10.9 h"
    assert f"{exponent_from((100, 5), (60, 20)):.2f}" == "1.37"
    for said in ("last 5.1 h", "and 10.9 h", "ln(20 / 3) / ln 4 = 1.37"):
        assert said in BATTERY


def test_what_the_page_says_is_taken():
    """Age by the line, and every default of the table."""
    year_s = 8760 * 3600.0
    assert pytest.approx(5 * year_s) == LIFE_S
    assert pytest.approx(0.8) == LEFT_AT_END
    assert left_after(3 * year_s) == pytest.approx(0.88)
    assert "After three years 88 % are left by that line, after five 80 %." in BATTERY
    assert (DEPTH, INVERTER, NO_LOSS, RATED_OVER_S, UNSAID_RUNTIME_S) == (0.8, 0.9, 1, 72_000, 300)
    for row in (
        "`usable` | 80 %",
        "`inverter` | 90 %",
        "`exponent` | 1 ",
        "`rated over` | 20 h",
        "| 5 min |",
    ):
        assert row in BATTERY


def test_a_curve_is_read_as_the_page_says():
    """Straight between two points, the first below the first, as 1 / load above the last."""

    def lasts(watts):
        text = f"""{HEAD}
  u: {{is: ups, fed by: grid, runs: {{450 W: 40 min, 900 W: 18 min}}}}
  A: {{is: strip, fed by: u}}
machines: {{n: {{is: node, fed by: A, draws: {watts} W}}}}
"""
        standing = Standing(lab_of(text))
        return batteries(standing, feeds(standing)).batteries[0].cut[-1].lasts_s / 60

    assert lasts(100) == 40
    assert lasts(675) == pytest.approx(29)
    assert lasts(1800) == pytest.approx(9)


def test_the_return_of_power_by_hand():
    """48 A at once, two groups of 24 A, 15 A one after another."""
    text = f"""{HEAD}
  c: {{is: circuit, fed by: grid, volts: 230 V, breaker: 10 A}}
  A: {{is: strip, fed by: c}}
machines:
  n1..4: {{is: node, fed by: A, draws: 100..230 W, power factor: 1, surge: 12 A}}
"""
    found = inrush(Standing(lab_of(text)))
    c = next(each for each in found.sources if each.source == "c")
    assert (c.worst.amperes, c.limit_a) == (48, 30)
    assert found.start is not None
    assert (found.start.groups, found.start.proved, found.start.gap_s) == (2, True, 2)
    later = inrush(Standing(lab_of(text.replace("fed by: c}", "fed by: c, staggers: 2 s}"))))
    assert next(each for each in later.sources if each.source == "c").worst.amperes == 15
    for said in ("All at once: 48 A, and 10 A of type B bear 30 A", "two machines, 24 A", "12 + 3 = 15 A"):
        assert said in INRUSH


def test_what_the_page_on_the_return_of_power_says_is_taken():
    """Ten times, five to thirty; three times; a tenth of a second."""
    assert (SURGE, SURGE_LOW, SURGE_HIGH, BEARS, TOGETHER_S) == (10, 5, 30, 3, 0.1)
    assert "ten times what it draws when busy, usually five to thirty times" in INRUSH
    assert "three times where nobody says" in INRUSH
    assert "within a tenth of a second comes on together" in INRUSH
