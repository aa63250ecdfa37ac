"""Is what docs/explanation/drives.md works out by hand what the program says?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.drives.figures import ALL
from falsework.analyses.drives.recommending import ENOUGH
from falsework.analyses.drives.whole import drives

PAGE = (Path(__file__).parents[3] / "docs/explanation/drives.md").read_text(encoding="utf-8")
TEXT = """
falsework: 1
lab: Four boxes
kinds:
  d: {is: drive, size: 4 TB, fails: 3 %/year, read errors: 1e-15 /bit, speed: 100 MB/s, mends in: 1 h}
machines:
  box-1..4: {is: node, bays: 1, ports: {a: 1 Gb/s}}
heaps:
  crate: {drives: 4 d, bays of: box-*, wanted: 7 TB}
"""


@pytest.fixture(scope="module")
def heap():
    """The heap of the page."""
    (found,) = drives(lab_of(TEXT), every=True).heaps
    return found


def layout(heap, scheme):
    """The layout of a scheme with nothing kept free."""
    return next(each for each in heap.layouts if each.plan.scheme == scheme and not each.plan.spares)


def test_the_rebuild(heap):
    """22.2 h, and an hour before."""
    each = layout(heap, "3+1 pieces")
    assert each.rebuild_s == pytest.approx(4e12 / 50e6)
    assert each.begins_s == pytest.approx(3600)
    assert "= 22.2 h, and 23.2 h pass with the hour before: 0.00265 years" in PAGE


def test_three_and_one(heap):
    """12 TB, 9.2 % of rebuilds, 1 in 92; without read errors once in some 35,000 years."""
    each = layout(heap, "3+1 pieces")
    assert each.usable_bytes == pytest.approx(12e12)
    assert f"{each.read_chance * 100:.1f} %" == "9.2 %"
    assert round(1 / each.usual.lost) == 92
    assert 1 / each.low.lost == pytest.approx(35_000, rel=0.02)
    for said in ("hold 12 TB", "= 9.2 %", "1 in 92", "some 35,000 years"):
        assert said in PAGE


def test_two_and_two(heap):
    """8 TB, 6.2 % of the last rebuilds, 1.8e-6, six thousand times less; recommended."""
    each, other = layout(heap, "2+2 pieces"), layout(heap, "3+1 pieces")
    assert each.usable_bytes == pytest.approx(8e12)
    assert f"{each.read_chance * 100:.1f} %" == "6.2 %"
    assert f"{each.usual.lost:.1e}" == "1.8e-06"
    assert 5_500 < other.usual.lost / each.usual.lost < 6_500
    assert heap.recommended == each.number
    for said in ("hold 8 TB", "6.2 % of such rebuilds", "1 in 570,000", "six thousand times less risk"):
        assert said in PAGE


def test_what_the_dispute_changes(heap):
    """Without read errors the wider one would be recommended, as the page says."""
    errors = next(each for each in heap.disputed if each.what == "read errors")
    assert errors.other_low == layout(heap, "3+1 pieces").number
    assert ENOUGH == 1e-4
    assert "down to 1 in 10,000 a year" in PAGE


def test_what_the_page_says_is_taken():
    """Every figure that is taken stands in its table."""
    table = PAGE.split("## What is taken")[1].split("## What it leaves")[0]
    for figure in ALL:
        assert f"`{figure.key}`" in table
    for said in ("150 MB/s", "1e-14 /bit", "4 to 9 W", "2 to 4 % a year", "2 to 10 %", "50 %", "2 free ones"):
        assert said in table
