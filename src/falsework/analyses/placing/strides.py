"""What is known of each move at the moment when somebody makes it: the room, the port, the way back?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.placing.result import Move, Placing
from falsework.model.lab import Lab
from falsework.model.services import Copy
from falsework.support.reached import best_port, port_speed


@dataclass(frozen=True, slots=True, kw_only=True)
class Stride:
    """A move that somebody has to make, and how things are then.

    Attributes:
        number: which step it is, from 1.
        move: where from, where to.
        source: the host that it is copied from: where it runs, or where it was stopped.
        beside: the other copies of its service that run then, in lab order.
        takes: its memory, in byte.
        disk: what is copied besides its memory, in byte.
        free: the memory that is free where it goes, before it, in byte; None where nobody says how much there is.
        speed: of the slower of the two ports, in bit/s.
        slowest: the host whose port that is.
        assumed: whether that speed was assumed.
        filled: the first later step that takes room on the host it leaves; None where none does.
        returns: of a copy that is stopped, the step that starts it again.
        stopped: of a copy that starts again, the step that stopped it.
    """

    number: int
    move: Move
    source: str
    beside: tuple[str, ...]
    takes: float
    disk: float
    free: float | None
    speed: float
    slowest: str
    assumed: bool
    filled: int | None
    returns: int | None
    stopped: int | None


def unknown(found: Placing) -> tuple[str, ...]:
    """The copies of which nobody says where they run today, in lab order."""
    first: dict[str, Move] = {}
    for move in found.moves:
        first.setdefault(move.copy, move)
    return tuple(
        copy for copy in found.host_of if copy in first and not first[copy].start and not first[copy].was
    )


def shown(found: Placing) -> tuple[Move, ...]:
    """The moves that somebody has to make: none of copies of which nobody says where they run today."""
    left_out = frozenset(unknown(found))
    return tuple(move for move in found.moves if move.copy not in left_out)


def disks_move(found: Placing) -> bool:
    """Whether disks go along with some move that somebody has to make."""
    return any(move.size > found.memory.get(move.copy, 0.0) for move in shown(found))


def strides(lab: Lab, found: Placing) -> tuple[Stride, ...]:
    """Every move that somebody has to make, in their order.

    Args:
        lab: as it is today.
        found: where its copies should run.
    """
    return tuple(_walk(lab, found))


def _walk(lab: Lab, found: Placing) -> Iterator[Stride]:
    kin: dict[str, list[str]] = {}
    for copy in lab.of(Copy):
        kin.setdefault(copy.service, []).append(copy.id)
    has = {each.host: each.has.get("memory") for each in found.filled}
    there = {each.host: set(each.before).difference(unknown(found)) for each in found.filled}
    stopped: dict[str, tuple[int, str]] = {}
    down = {move.copy for move in found.moves if move.was}
    kept = {id(move) for move in shown(found)}
    later = _later(shown(found))
    number = 0
    for move in found.moves:
        if id(move) in kept:
            filled, returns = later[number]
            number += 1
            source = move.start or (stopped[move.copy][1] if move.copy in stopped else "")
            ends = [host for host in (source, move.end) if host]
            slowest = min(ends, key=lambda host: port_speed(lab, host))
            room = has.get(move.end)
            used = sum(found.memory.get(copy, 0.0) for copy in there.get(move.end, ()))
            takes = found.memory.get(move.copy, 0.0)
            yield Stride(
                number=number,
                move=move,
                beside=tuple(
                    copy
                    for copy in kin.get(move.service, ())
                    if copy != move.copy and copy not in stopped and copy not in down
                ),
                takes=takes,
                source=source,
                disk=max(0.0, move.size - takes) if move.start else move.size,
                free=None if room is None else max(0.0, room - used),
                speed=port_speed(lab, slowest),
                slowest=slowest,
                assumed=best_port(lab, slowest) is None,
                filled=filled,
                returns=returns,
                stopped=stopped[move.copy][0] if move.copy in stopped else None,
            )
        if move.start in there:
            there[move.start].discard(move.copy)
        if move.end in there:
            there[move.end].add(move.copy)
        stopped.pop(move.copy, None)
        down.discard(move.copy)
        if not move.end:
            stopped[move.copy] = (number, move.start)


def _later(moves: Sequence[Move]) -> list[tuple[int | None, int | None]]:
    """For each move the first later step onto the host it leaves, and of a stop the one that starts it again."""
    onto: dict[str, int] = {}
    of: dict[str, int] = {}
    found: list[tuple[int | None, int | None]] = []
    for number, move in reversed(list(enumerate(moves, 1))):
        filled = onto.get(move.start) if move.start else None
        found.append((filled, of.get(move.copy) if not move.end else None))
        if move.end:
            onto[move.end] = number
        of[move.copy] = number
    return found[::-1]
