"""What is said of a placement in a sentence?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.placing.result import Level, Move, Placing
from falsework.analyses.placing.strides import shown, unknown
from falsework.errors import counted, few
from falsework.support.placing.whole import LEVELS
from falsework.units import Dimension

MIB = float(1 << 20)
_AMOUNTS = ("copied", "balance")
"""Levels that are amounts of data, in MiB; the others are counts."""
_MEANS = {
    "aims": "losses after which an aim is not met, of those that a place can mend",
    "single points": "pairs of a part and a service that stops without it",
    "interruptions": "the same, where the service comes back by itself",
    "room": "copies that find no room, over the loss of each machine",
    "nearness": "copies that are not near what they should be near",
    "moves": "copies that have to move",
    "copied": "what the moves copy: memory, and disk that lies on the host",
    "balance": "what is used above 60, 70, 80 and 90 % of a host, and above its comfort",
}


def headline(found: Placing) -> str:
    """The short answer, without the lab's name and a full stop."""
    if not found.possible:
        return "the copies can't be placed by the rules of the lab"
    if not found.host_of:
        return "no copy has a choice of hosts; put a service on a pool, or name more nodes under `on` than it has copies"
    return f"{counted(len(found.host_of), 'copy', 'copies')} placed, {_aims(found)}, {_moving(found)}"


def _aims(found: Placing) -> str:
    today = sum(1 for aim in found.before if aim.met is False)
    broken = len(found.broken)
    if not found.after:
        return "no aim to meet"
    if not broken:
        return "all aims are met" if not today else f"all aims are met ({counted(today, 'aim')} broken today)"
    change = "as today" if broken == today else f"{today} today"
    return f"{counted(broken, 'aim')} of {len(found.after)} broken ({change})"


def _moving(found: Placing) -> str:
    copies = {move.copy: move for move in reversed(shown(found))}
    down = sum(1 for first in copies.values() if first.was)
    moves = len(copies) - down
    if moves and down:
        return f"{counted(moves, 'copy', 'copies')} to move, {down} to start elsewhere"
    if moves or down:
        return f"{counted(moves or down, 'copy', 'copies')} {'to start elsewhere' if down else 'to move'}"
    if len(unknown(found)) == len(found.host_of):
        return "none says where it runs today (`placed`)"
    return "nothing moves"


def on_the_way(move: Move) -> str:
    """What is not as it should be after a move, or why it goes where it does not stay; empty where all is well."""
    said = [f"{move.was} is out"] if move.was else []
    if not move.end:
        said.append("out until there is room")
    elif not move.last:
        said.append("waits there")
    if move.breaks:
        said.append(f"until later not kept: {few(move.breaks, 2)}")
    if move.worse:
        said.append("an aim is further off until later")
    return "; ".join(said)


def means(name: str) -> str:
    """What a level counts, in a few words."""
    return _MEANS[name]


def so_far(cost: Sequence[int], bound: Sequence[int]) -> str:
    """How good the best placement so far is, for those who wait: the weightiest level that may still get better."""
    for name, found, least in zip(LEVELS, cost, bound, strict=True):
        if found > least:
            level = Level(name=name, today=None, found=found, bound=least)
            return f"{name} {level_value(level, found)}, can't be under {level_value(level, least)}"
        if found < least:  # of this and of later levels the solver has no figure yet
            return f"{name} comes next"
    return "nothing better is left"


def level_value(level: Level, value: int) -> str:
    """A level's cost as people read it: a count, or an amount."""
    if level.name in _AMOUNTS:
        return units.format(value * MIB, Dimension.DATA)
    return f"{value:,}"


def level_cells(
    level: Level, *, none: str = "", proven: str = "proven least"
) -> tuple[str, str, str, str, str]:
    """A level in words: its name, what it costs today and then, what nothing is under, and what it counts.

    Args:
        level: which.
        none: for a today that nobody knows.
        proven: for a bound that is reached.
    """
    return (
        level.name,
        none if level.today is None else level_value(level, level.today),
        level_value(level, level.found),
        proven if level.proven else level_value(level, level.bound),
        means(level.name),
    )


def move_cells(number: int, move: Move, *, none: str = "") -> tuple[str, str, str, str, str, str, str]:
    """A move in words: which step, what, from where, to where, how much, how long at the least, what is to be known.

    Args:
        number: of the step.
        move: which.
        none: where nothing is copied.
    """
    return (
        str(number),
        move.copy,
        move.start or "stopped",
        move.end or "is stopped",
        units.format(move.size, Dimension.DATA) if move.size else none,
        units.format(move.seconds, Dimension.TIME) if move.size else none,
        on_the_way(move),
    )


def memory_said(used: float, has: float) -> str:
    """How much of a host's memory is used, both in the unit of what it has: `17.8 of 120 GiB`; both in byte."""
    name, unit = ("GiB", 1024 * MIB) if has >= 1024 * MIB else ("MiB", MIB)

    def said(size: float) -> str:
        value = size / unit
        return f"{round(value, 1 if value >= 10 else 2):,.12g}"

    return f"{said(used)} of {said(has)} {name}"
