"""Does the trap of one batch, asked of the stores as they lie, show in the odds of each, and in no other?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.drives.stores import store_odds
from falsework.analyses.drives.whole import drives
from falsework.model.build import load

TRAP = Path(__file__).parents[2] / "labs" / "traps" / "12-one-batch"


@pytest.mark.parametrize(
    ("which", "shared", "apart"),
    [
        ("base", "m1", "m2"),
        ("one", "left array", "right array"),
        ("two", "carton", "mixed"),
        ("three", "alike", "crossed"),
    ],
)
def test_one_cause_takes_both(which, shared, apart):
    """Trap 12 and its variants: a batch that is more than the layout bears adds its share; one that is not, nothing to speak of.

    The share is in the middle of what is taken, 6 % of 3 % a year; two pairs of one batch are taken by one cause.
    """
    found = {each.store: each.usual for each in store_odds(load(TRAP / f"{which}.yaml"))}
    pairs = 2 if which == "three" else 1
    assert found[shared].together == pytest.approx(pairs * 0.06 * 0.03, rel=0.02)
    assert found[apart].together < 1e-5


def test_a_heap_of_two_batches_is_dealt_apart():
    """Four drives of two batches, two bays each in two nodes: no copy and its twin are of one batch where that can be."""
    text = """
falsework: 1
lab: t
kinds:
  k7: {is: drive, size: 4 TB, batch: k7, read errors: 1e-16 /bit}
  p2: {is: drive, size: 4 TB, batch: p2, read errors: 1e-16 /bit}
machines:
  n-1..2: {is: node, bays: 2, ports: {a: 1 Gb/s}}
heaps:
  crate: {drives: [2 k7, 2 p2]}
"""
    (heap,) = drives(lab_of(text)).heaps
    best = next(each for each in heap.layouts if each.number == heap.recommended)
    assert best.usual.together < 1e-5
    worse = text.replace("p2: {is: drive, size: 4 TB, batch: p2", "p2: {is: drive, size: 4 TB, batch: k7")
    (same,) = drives(lab_of(worse)).heaps
    alike = next(each for each in same.layouts if each.number == same.recommended)
    assert alike.usual.together > 1e-3
