"""Is a store told of whose rebuild is a gamble, or takes too long, and no other?"""

from __future__ import annotations

from tests.strategies import lab_of

from falsework.findings.finding import CODES, DATA_CAUTION, Level
from falsework.findings.rules.drives import drives

PARITY = """
falsework: 1
lab: t
kinds:
  d: {is: drive, size: 8 TB, fails: 3 %/year, read errors: 1e-14 /bit, speed: 200 MB/s, mends in: 1 h}
machines:
  keep: {is: node, drives: 4 d}
stores:
  vault: {drives: keep.d*, layout: parity}
"""


def told(text, code):
    """What is told under one code."""
    return [each for each in drives(lab_of(text)) if each.code == code]


def test_unreadable_in_a_rebuild():
    """Three drives of 8 TB are read: n = 24e12 x 8 x 1e-14 = 1.92, so 85 %."""
    (found,) = told(PARITY, "unreadable in a rebuild")
    assert found.code in CODES
    assert (found.level, found.things, found.caution) == (Level.REMARK, ("vault",), DATA_CAUTION)
    assert "with a chance of 85 %" in found.says
    assert "1.9 errors are expected" in found.why[0]
    assert found.mend == "give it a second parity or a third copy, or keep a backup of all that lies on it"
    assert found.where is not None


def test_a_rebuild_that_is_no_gamble():
    """A second parity, better drives, or rates that nobody told: nothing is said."""
    for text in (
        PARITY.replace("layout: parity", "layout: double parity"),
        PARITY.replace("1e-14", "1e-16"),
        PARITY.replace(", read errors: 1e-14 /bit", ""),
    ):
        assert told(text, "unreadable in a rebuild") == []


def test_long_without_redundancy():
    """A spare that is ordered and comes after three weeks, and a rebuild that gets next to nothing: each with its mend."""
    ordered = PARITY + "spares:\n  d: {shelf: 0, comes in: 21 days}\n"
    (found,) = told(ordered, "long without redundancy")
    assert found.code in CODES
    assert "nothing to spare for" in found.says
    assert found.mend == "keep a spare drive on the shelf or in the machine"
    slow = PARITY.replace("layout: parity", "layout: parity, rebuild gets: 2 %")
    (found,) = told(slow, "long without redundancy")
    assert found.mend == "leave more of the drives' speed to a rebuild, or give it a second parity"
    assert (found.level, found.caution) == (Level.REMARK, DATA_CAUTION)


def test_a_rebuild_that_is_over_in_a_day():
    """One on the shelf, and half of the speed: nothing is said."""
    assert told(PARITY, "long without redundancy") == []
    assert told(PARITY + "spares:\n  d: {shelf: 1, comes in: 21 days}\n", "long without redundancy") == []
