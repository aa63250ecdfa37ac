"""Drives in a heap wait: they are read like others, and are no parts of the lab."""

from tests.model.texts import lab_of, told

LAB = """\
lab: l
kinds:
  old: {is: drive, size: 2 TB, batch: k7}
machines:
  box-1..2: {is: node, bays: 4, drives: old}
heaps:
  crate: {drives: [3 old, old], bays of: box-*, wanted: 4 TB}
stores:
  pair: {drives: box-*.d1, layout: mirror}
"""


def test_a_heap_holds_its_drives():
    """Counted on through the list, with what their kind says and what is assumed."""
    (heap,) = lab_of(LAB).heaps
    assert [drive.id for drive in heap.held] == [f"crate.d{number}" for number in range(1, 5)]
    assert {(drive.size, drive.batch) for drive in heap.held} == {(2e12, "k7")}
    assert all(drive.fails is not None for drive in heap.held)
    assert (heap.wanted, heap.bays_of.ids) == (4e12, ("box-1", "box-2"))


def test_what_waits_is_no_part_of_the_lab():
    """Nothing of a heap stands among the things, nor among what was assumed for them."""
    lab = lab_of(LAB)
    assert not [name for name in lab.things if name.startswith("crate")]
    assert all(each.things for each in lab.assumptions)
    assert not [name for each in lab.assumptions for name in each.things if name not in lab.things]


def test_a_store_cannot_be_made_of_what_waits():
    """A drive of a heap has to be put somewhere first."""
    (message,) = told(LAB.replace("drives: box-*.d1", "drives: crate.d1"))
    assert "crate.d1" in message


def test_a_heap_needs_drives():
    """Without drives there is nothing to lay out."""
    (message,) = told(LAB.replace("drives: [3 old, old], ", ""))
    assert "the key 'drives' is missing" in message
