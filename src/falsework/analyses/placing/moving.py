"""In which order do copies move from where they are today to where they should be, and how long does each take?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from falsework.analyses.placing.result import Move
from falsework.engines.placing.moves import Shift, ordered
from falsework.engines.placing.problem import NOWHERE, Ints
from falsework.support.placing.amounts import DISK, MEMORY, MIB
from falsework.support.placing.whole import AIMS, Placeable
from falsework.support.reached import port_speed


def moved(asked: Placeable, bin_of: Ints) -> tuple[Move, ...]:
    """The moves from today to a placement; a copy whose place today was only assumed starts where it should be.

    Args:
        asked: the problem.
        bin_of: (n_items,) the placement; it keeps the hard rules.
    """
    shifts = ordered(asked.problem, asked.problem.start, bin_of, watch=AIMS)
    return tuple(_moves(asked, bin_of, shifts))


def _moves(asked: Placeable, bin_of: Ints, shifts: Iterable[Shift]) -> Iterator[Move]:
    stopped: dict[int, str] = {}
    for shift in shifts:
        yield _move(asked, bin_of, shift, stopped.pop(shift.item, ""))
        if shift.end == NOWHERE:
            stopped[shift.item] = _host(asked, shift.start)


def _move(asked: Placeable, bin_of: Ints, shift: Shift, stopped_on: str) -> Move:
    copy = asked.scene.copies[shift.item]
    start, end = _host(asked, shift.start), _host(asked, shift.end)
    memory, disk = (float(asked.problem.size[shift.item, each]) * MIB for each in (MEMORY, DISK))
    if start:
        source, size = start, memory + disk
    else:
        # What was stopped has nothing in memory any more, but its disk still lies where it was.
        source, size = stopped_on, disk
    copied = size if source and end and source != end else 0.0
    return Move(
        copy=copy.id,
        service=copy.service,
        start=start,
        end=end,
        last=shift.end == int(bin_of[shift.item]),
        size=copied,
        seconds=8 * copied / min(port_speed(asked.scene.standing.lab, host) for host in (source, end))
        if copied
        else 0.0,
        breaks=shift.breaks,
        worse=shift.worse,
        was="" if start or stopped_on else _out(asked, shift.item),
    )


def _out(asked: Placeable, item: int) -> str:
    """The host that is out on which the lab file says that a copy runs; empty where it says none."""
    copy = asked.scene.copies[item]
    said = asked.scene.services[copy.service].placed is not None
    return copy.host if said and copy.host not in asked.scene.hosts else ""


def _host(asked: Placeable, at: int) -> str:
    return asked.scene.hosts[at] if at != NOWHERE else ""
