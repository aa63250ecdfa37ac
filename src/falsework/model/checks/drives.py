"""Do drives, the bays that they are in, and heaps of them contradict themselves?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.errors import counted
from falsework.model.entries import Tell
from falsework.model.heaps import Heap
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Enclosure, Node, Thing
from falsework.model.services import Store
from falsework.units import Dimension

MOST_ERRORS = 1e-6
"""Unreadable sectors per bit read; a drive that bad could hardly be read once from end to end."""


def drives(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in drives, bays, stores and heaps.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults. What is wrong in a kind is told once, at the kind.
    """
    for thing in firm:
        if isinstance(thing, Drive):
            _drive(thing, tell)
        elif isinstance(thing, Enclosure | Node):
            _bays(thing, tell)
        elif isinstance(thing, Store):
            _rebuild_gets(thing, tell)
    for heap in lab.heaps:
        if not tell.is_shaky(heap):
            _heap(heap, tell)


def _drive(drive: Drive, tell: Tell) -> None:
    """Something of a size, a speed, and errors that are a share of what is read."""
    if drive.size is not None and drive.size <= 0:
        what = f"a drive of {units.format(drive.size, Dimension.DATA)} holds nothing"
        tell.fault(drive, "size", what, "give what its label says, such as 4 TB")
    if drive.speed is not None and drive.speed <= 0:
        what = f"a drive at {units.format(drive.speed, Dimension.SPEED)} is never read to its end"
        tell.fault(drive, "speed", what, "give what it reads for long, such as 160 MB/s")
    if drive.read_errors is not None and not 0 <= drive.read_errors <= MOST_ERRORS:
        what = f"{units.format(drive.read_errors, Dimension.BIT_ERRORS)} of what is read can't be unreadable"
        tell.fault(drive, "read_errors", what, "give what its sheet says, such as 1e-14 /bit")


def _bays(machine: Enclosure | Node, tell: Tell) -> None:
    """No more drives in it than it has bays."""
    held = sum(len(each.names) for each in machine.drives)
    if machine.bays is not None and held > machine.bays:
        what = f"{machine.id} has {counted(machine.bays, 'bay')} and {counted(held, 'drive')}"
        tell.fault(machine, "bays", what, "give it more bays, or leave drives out")


def _rebuild_gets(thing: Store | Heap, tell: Tell) -> None:
    """Something is left to a rebuild, and no more than there is."""
    if thing.rebuild_gets is not None and not 0 < thing.rebuild_gets <= 1:
        what = f"a rebuild can't get {units.format(thing.rebuild_gets, Dimension.SHARE)} of a drive's speed"
        tell.fault(thing, "rebuild_gets", what, "give more than 0 and at most 100 %")


def _heap(heap: Heap, tell: Tell) -> None:
    """Drives to lay out, and something wanted of them."""
    if not any(each.names for each in heap.drives):
        tell.fault(heap, "drives", "no drive is in it", "name some, such as 4 old-2t, or leave the heap out")
    for drive in heap.held:
        _drive(drive, tell)
    if heap.wanted is not None and heap.wanted <= 0:
        what = f"{units.format(heap.wanted, Dimension.DATA)} are wanted"
        tell.fault(heap, "wanted", what, "give how much room is wanted, such as 6 TB, or leave `wanted` out")
    _rebuild_gets(heap, tell)
