"""Which way of writing a tree, in which order, gives a small diagram?

Nobody can tell beforehand, so contenders are tried with little room, then with four times as much, and so on;
the first that fits wins, unless it is worth looking on: what is read off a diagram takes time too, and a part of
that time is spent on looking for a smaller one.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from falsework.engines.diagrams.limits import Bound, Limits, Progress, TooLarge
from falsework.engines.diagrams.net import Net
from falsework.engines.diagrams.orders import RULES, SHUFFLES, Order, depth_first
from falsework.engines.diagrams.pieces import Piece, pieces
from falsework.engines.diagrams.simplify import merged, simplified
from falsework.engines.diagrams.whole import Whole, whole

_FIRST_ROOM = 1 << 14
_GROWTH = 4
_NODES_PER_SECOND = 3e5  # made at the slowest, when the room is large; measured
_SHARE = 0.25  # of the time that reading off will take, spent on looking for a smaller diagram

_CONTENDERS = (
    ("merged", "as written"),
    ("simplified", "small first, drawn together"),
    ("simplified", "drawn together"),
    ("merged", "drawn together"),
    ("merged", "small first, drawn together"),
    ("simplified", "shared events first"),
    ("merged", "heavy first"),
    ("simplified", "small first"),
    ("merged", "many events first"),
    ("simplified", "events last"),
    ("simplified", "many events first"),
    ("simplified", "heavy first"),
    ("merged", "shared first"),
    ("merged", "small first"),
    ("merged", "from the right"),
)
"""How the tree is written, and the rule for the order; those that win most often come first."""

_LATECOMERS = tuple(
    (writing, f"shuffle {seed}") for seed in range(SHUFFLES) for writing in ("simplified", "merged")
)
"""Tried only once a diagram is known, to find a smaller one; and as a last hope."""

_STARTERS = (5, 5, 7)
"""How many contenders are tried with the first rooms; afterwards all, but where rooms are large."""

_LARGE_ROOM, _HUGE_ROOM = 1 << 20, 1 << 22
_FOR_LARGE_ROOMS = (
    ("simplified", "drawn together"),
    ("merged", "heavy first"),
    ("merged", "small first, drawn together"),
    ("simplified", "shared events first"),
)
"""In a large room an attempt takes seconds, so only those are tried there that win among large trees (0010); in a
huge one the first that fits is taken, and the next room is all there is."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Won:
    """The winner.

    Attributes:
        rule: how it was written and ordered.
        whole: its diagram.
        n_nodes: of the finished functions, those shared counted each time.
        tried: how often building was tried.
    """

    rule: str
    whole: Whole
    n_nodes: int
    tried: int


def race(
    net: Net,
    *,
    limits: Limits,
    seconds_per_node: float,
    progress: Progress | None = None,
) -> Won:
    """Find a small diagram.

    Args:
        net: the tree.
        limits: for each attempt, time for all together.
        seconds_per_node: about what reading off will take for each node, to weigh a longer search against.
        progress: told how many attempts were made.

    Raises:
        TooLarge: no attempt came through.
    """
    ways = _Ways(net)
    started = time.perf_counter()
    best: Won | None = None
    room, tried, turn = _FIRST_ROOM, 0, 0
    while True:
        # One operation can fill all the room, and the clock is not looked at meanwhile.
        capacity = int(min(limits.capacity, max(limits.left * _NODES_PER_SECOND, _FIRST_ROOM)))
        room = min(room, capacity)
        last = room >= capacity
        first = _CONTENDERS[: _STARTERS[turn]] if turn < len(_STARTERS) and not last else _CONTENDERS
        if room >= _LARGE_ROOM:
            first = (*_FOR_LARGE_ROOMS, *(c for c in _CONTENDERS if last and c not in _FOR_LARGE_ROOMS))
        waiting = [*first, *(c for c in (*_CONTENDERS, *_LATECOMERS) if c not in first)]
        for number, contender in enumerate(waiting):
            if best is None and number >= len(first) and not last:
                break
            if best is not None:
                spent = time.perf_counter() - started
                if room >= _HUGE_ROOM or spent > _SHARE * seconds_per_node * best.n_nodes:
                    return best
            if progress is not None:
                progress("looking for a small diagram", tried, 0)
            tried += 1
            try:
                built = ways.built(contender, replace(limits, nodes=room))
            except TooLarge as error:
                if error.bound is Bound.SECONDS:
                    if best is not None:
                        return best
                    raise
                continue
            n_nodes = sum(function.node_count() for function in built.functions)
            if best is None or n_nodes < best.n_nodes:
                best = Won(rule=", ".join(contender), whole=built, n_nodes=n_nodes, tried=tried)
        if best is not None:
            return replace(best, tried=tried)
        if last:
            raise limits.full("building a decision diagram")
        room = limits.capacity if room >= _HUGE_ROOM else room * _GROWTH
        turn += 1


class _Ways:
    """Writes, cuts and orders only what is asked for, and only once."""

    def __init__(self, net: Net) -> None:
        self._net = net
        self._pieces: dict[str, list[Piece]] = {}
        self._orders: dict[tuple[str, str], list[Order]] = {}

    def built(self, contender: tuple[str, str], limits: Limits) -> Whole:
        writing, rule = contender
        if writing not in self._pieces:
            written = merged(self._net) if writing == "merged" else simplified(self._net)
            self._pieces[writing] = pieces(written)
        cut = self._pieces[writing]
        if contender not in self._orders:
            self._orders[contender] = [_ordered(piece.net, rule) for piece in cut]
        return whole(cut, self._orders[contender], limits)


def _ordered(net: Net, rule: str) -> Order:
    """One gate or two are small in any order."""
    return (depth_first if len(net.gates) < 3 else RULES[rule])(net)
