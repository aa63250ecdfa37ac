"""Is what docs/explanation/rack.md works out by hand what the program says?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.rack import racks, way_of

PAGE = (Path(__file__).parents[3] / "docs/explanation/rack.md").read_text(encoding="utf-8")
TEXT = """
falsework: 1
lab: r
places:
  room: {is: room}
  r: {is: rack, in: room, units: 24, width: 600 mm, depth: 800 mm, weighs: 60 kg, centre: 60 cm, foot: 10 cm,
      casters: 4, caster bears: 60 kg, bears: 300 kg}
machines:
  low: {is: node, in: r, at: 1 U, height: 2 U, depth: 800 mm, weighs: 40 kg}
  top: {is: node, in: r, at: 23 U, height: 2 U, depth: 400 mm, weighs: 20 kg}
"""


@pytest.fixture(scope="module")
def sheet():
    """The rack of the page."""
    (found,) = racks(lab_of(TEXT)).racks
    return found


def test_the_centre_of_gravity(sheet):
    """14.4 and 112.2 cm make 53.5 cm, 3.3 cm forward."""
    low, top = sheet.mounted
    assert [f"{each.place.height_m * 100:.1f} cm" for each in (low, top)] == ["14.4 cm", "112.2 cm"]
    assert f"{sheet.whole.height_m * 100:.1f} cm" == "53.5 cm"
    assert f"{sheet.whole.forward_m * 100:.1f} cm" == "3.3 cm"
    for said in ("14.4 cm and", "= 112.2 cm", "= 53.5 cm", "= 3.3 cm forward"):
        assert said in PAGE


def test_the_tests(sheet):
    """29.3 and 34.4 degrees; 179 N m against 353; 10.6 degrees with the lower one pulled out."""
    assert f"{sheet.sideways_deg:.1f}, {sheet.forwards_deg:.1f}" == "29.3, 34.4"
    assert (
        f"{sheet.pushed.force_n:.0f} N, {sheet.pushed.tips_nm:.0f}, {sheet.pushed.holds_nm:.0f}"
        == "153 N, 179, 353"
    )
    worst = sheet.pulled[0]
    assert (worst.thing, f"{worst.tip_deg:.1f}") == ("low", "10.6")
    for said in ("= 29.3°", "= 34.4°", "153 N", "179 N m, and 353 N m", "= 10.6°"):
        assert said in PAGE


def test_casters_and_hands(sheet):
    """40 kg a caster; 9.8 kg for one, and an index above 1 for two."""
    assert sheet.rolling.each_kg == 40
    lift = sheet.lifts[0]
    assert (lift.thing, f"{lift.limit_kg:.1f}") == ("low", "9.8")
    assert lift.together > 1
    for said in ("120 / 3 = 40 kg", "= 9.8 kg to 10 cm"):
        assert said in PAGE


def test_on_the_way_and_lower():
    """7.9 degrees on ramp and sill, 21.4 to spare; 14.8 cm lower without gaps."""
    (moved,) = racks(lab_of(TEXT), way_of(6.0, "20 mm")).racks
    assert f"{moved.leaning.sideways_deg:.1f}, {moved.leaning.spare_deg:.1f}" == "7.9, 21.4"
    assert f"{moved.sinks.by_m * 100:.1f} cm" == "14.8 cm"
    for said in ("= 7.9° sideways, and has 21.4° to spare", "= 14.8 cm for the whole"):
        assert said in PAGE
