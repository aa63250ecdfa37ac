"""Do drives, the bays that they are in, and heaps of them contradict themselves?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.errors import counted
from falsework.model.checks.bounds import Bound, bounded
from falsework.model.entries import Tell
from falsework.model.heaps import Heap
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Enclosure, Node, Thing
from falsework.model.services import Store
from falsework.units import Dimension

MOST_ERRORS = 1e-6
"""Unreadable sectors per bit read; a drive that bad could hardly be read once from end to end."""


_DRIVE = {
    "size": Bound(
        says="a drive of {} holds nothing",
        dimension=Dimension.DATA,
        mend="give what its label says, such as 4 TB",
    ),
    "speed": Bound(
        says="a drive at {} is never read to its end",
        dimension=Dimension.SPEED,
        mend="give what it reads for long, such as 160 MB/s",
    ),
    "read_errors": Bound(
        says="{} of what is read can't be unreadable",
        dimension=Dimension.BIT_ERRORS,
        least=0.0,
        most=MOST_ERRORS,
        mend="give what its sheet says, such as 1e-14 /bit",
    ),
}
_LAID_OUT = {
    "wanted": Bound(
        says="{} are wanted",
        dimension=Dimension.DATA,
        mend="give how much room is wanted, such as 6 TB, or leave `wanted` out",
    ),
    "rebuild_gets": Bound(
        says="a rebuild can't get {} of a drive's speed",
        dimension=Dimension.SHARE,
        most=1.0,
        mend="give more than 0 and at most 100 %",
    ),
}
"""Of a store or a heap."""


def drives(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in drives, bays, stores and heaps.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults. What is wrong in a kind is told once, at the kind.
    """
    for thing in firm:
        if isinstance(thing, Drive):
            bounded(thing, _DRIVE, tell)
        elif isinstance(thing, Enclosure | Node):
            _bays(thing, tell)
        elif isinstance(thing, Store):
            bounded(thing, _LAID_OUT, tell)
    for heap in lab.heaps:
        if not tell.is_shaky(heap):
            _heap(heap, tell)


def _bays(machine: Enclosure | Node, tell: Tell) -> None:
    """No more drives in it than it has bays."""
    held = sum(len(each.names) for each in machine.drives)
    if machine.bays is not None and held > machine.bays:
        what = f"{machine.id} has {counted(machine.bays, 'bay')} and {counted(held, 'drive')}"
        tell.fault(machine, "bays", what, "give it more bays, or leave drives out")


def _heap(heap: Heap, tell: Tell) -> None:
    """Drives to lay out, and something wanted of them."""
    if not any(each.names for each in heap.drives):
        tell.fault(heap, "drives", "no drive is in it", "name some, such as 4 old-2t, or leave the heap out")
    for drive in heap.held:
        bounded(drive, _DRIVE, tell)
    bounded(heap, _LAID_OUT, tell)
