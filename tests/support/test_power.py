"""Who draws how much, and at which voltage?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.support.power import Draw, Draws, limit_w, volts_at

LAB = """
falsework: 1
lab: t
outside: {grid: the street}
kinds:
  disk: {is: drive, draws: 3..6 W}
power:
  c: {is: circuit, fed by: grid, volts: 230 V, breaker: 10 A}
machines:
  n: {is: node, fed by: c, draws: 20..80 W, usually draws: 30 W, drives: 4 disk}
  m: {is: node, fed by: c, draws: 20..80 W}
  quiet: {is: node, fed by: c, drives: 2 disk}
  even: {is: node, fed by: c, usually draws: 25 W}
  box: {is: enclosure, fed by: c, holds: {a..b: {is: node, draws: 10..50 W}}, drives: 3 disk}
"""


def test_each_draw():
    """Said, half-way where it is not said, and the same at all times where only that is said."""
    lab = lab_of(LAB)
    got = {draw: Draws(lab, draw).consumers for draw in Draw}
    assert [got[draw]["n"] for draw in Draw] == [20, 30, 80]
    assert [got[draw]["m"] for draw in Draw] == [20, 50, 80]
    assert [got[draw]["even"] for draw in Draw] == [25, 25, 25]


def test_drives_count_once():
    """Drives are in what their machine draws at its plugs; they count where it says nothing."""
    got = Draws(lab_of(LAB)).consumers
    assert got["n"] == 80
    assert got["quiet"] == 12
    assert got["box"] == 2 * 50 + 3 * 6


@pytest.mark.parametrize(
    ("upper", "lower", "volts"),
    [
        ("volts: 115 V", "breaker: 10 A", 115),
        ("volts: 115 V", "volts: 120 V", 120),
        ("breaker: 9 A", "breaker: 10 A", 230),
    ],
)
def test_the_voltage_that_is_written_counts(upper, lower, volts):
    """A circuit that says no voltage has that of what feeds it, before any is assumed."""
    lab = lab_of(f"""
falsework: 1
lab: t
outside: {{grid: the street}}
power:
  one: {{is: circuit, fed by: grid, {upper}}}
  two: {{is: circuit, fed by: one, {lower}}}
  strip: {{is: strip, fed by: two}}
""")
    found = volts_at(lab, Draws(lab))
    assert found["strip"] == volts
    assert found["two"] == volts


@pytest.mark.parametrize(
    ("says", "watts"),
    [
        ("carries: 900 W", 900),
        ("volt amperes: 700 VA", 700),
        ("carries: 900 W, volt amperes: 1500 VA", 900),
        ("battery: 100 Wh", None),
    ],
)
def test_a_battery_never_carries_more_watts_than_volt_amperes(says, watts):
    """The lower of its two limits counts, in watts."""
    lab = lab_of(
        f"falsework: 1\nlab: t\noutside: {{grid: x}}\npower:\n  u: {{is: ups, fed by: grid, {says}}}\n"
    )
    assert limit_w(lab.things["u"], {}) == watts
