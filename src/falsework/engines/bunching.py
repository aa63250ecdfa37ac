"""Into how few groups do things go, when no group may exceed any of several limits?

Bin packing with several resources. First fit by falling size gives an answer at once; it is the least where it meets
the bound that sizes alone set, and a search through all ways with branch and bound proves it, or finds better, where
there are few things. Groups are told apart only by their number, so each thing opens at most one new one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

SLACK = 1e-9
NODES = 200_000
"""Branches looked at before the search gives up; about a second."""
MOST = 200
"""Things that are searched through; of more only first fit and the bound tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bunches:
    """Things in groups.

    Attributes:
        group: of each thing, from 0.
        count: groups.
        proved: whether no fewer would do.
        looked: branches looked at.
    """

    group: tuple[int, ...]
    count: int
    proved: bool
    looked: int


def fewest_groups(
    sizes: Sequence[Mapping[int, float]], limits: Sequence[float], *, nodes: int = NODES
) -> Bunches:
    """Put things into the fewest groups.

    Args:
        sizes: of each thing, what it takes of each limit that it touches, 0 or more.
        limits: what any one group may take of each; infinite for none.
        nodes: branches looked at before it settles for what it has.

    Returns:
        Every thing in a group; `proved` is False where the search gave up.

    Raises:
        ValueError: a thing exceeds a limit by itself.
    """
    for number, takes in enumerate(sizes):
        if any(size > limits[at] + SLACK * max(1.0, limits[at]) for at, size in takes.items()):
            raise ValueError(f"thing {number} exceeds a limit by itself")
    order = sorted(range(len(sizes)), key=lambda number: -_weight(sizes[number], limits))
    sorted_sizes = [sizes[number] for number in order]
    found = _first_fit(sorted_sizes, limits)
    least = _bound(sizes, limits)
    count = max(found, default=-1) + 1
    search = _Search(sorted_sizes, limits, found, count, nodes)
    if count > least:
        if len(sizes) <= MOST:
            search.run(least)
        else:
            search.gave_up = True
    group = [0] * len(sizes)
    for at, number in enumerate(order):
        group[number] = search.best[at]
    return Bunches(
        group=tuple(group),
        count=search.count,
        proved=search.count <= least or not search.gave_up,
        looked=search.looked,
    )


def _weight(takes: Mapping[int, float], limits: Sequence[float]) -> float:
    return max((size / limits[at] for at, size in takes.items() if limits[at] > 0), default=0.0)


def _bound(sizes: Sequence[Mapping[int, float]], limits: Sequence[float]) -> int:
    """No fewer groups than each limit by itself asks for: by the sum, and by things above half of it."""
    if not sizes:
        return 0
    least = 1
    for at, limit in enumerate(limits):
        mine = [takes[at] for takes in sizes if takes.get(at, 0.0) > 0]
        if limit > 0 and math.isfinite(limit) and mine:
            least = max(least, math.ceil(sum(mine) / limit - 1e-6))
            least = max(least, sum(size > limit / 2 * (1 + 1e-6) for size in mine))
    return least


def _fits(room: Sequence[float], takes: Mapping[int, float], limits: Sequence[float]) -> bool:
    return all(room[at] + SLACK * max(1.0, limits[at]) >= size for at, size in takes.items())


def _first_fit(sizes: Sequence[Mapping[int, float]], limits: Sequence[float]) -> list[int]:
    rooms: list[list[float]] = []
    found = []
    for takes in sizes:
        at = next((number for number, room in enumerate(rooms) if _fits(room, takes, limits)), len(rooms))
        if at == len(rooms):
            rooms.append(list(limits))
        for limit, size in takes.items():
            rooms[at][limit] -= size
        found.append(at)
    return found


class _Search:
    """Every way in which it could be fewer, largest things first."""

    def __init__(
        self,
        sizes: Sequence[Mapping[int, float]],
        limits: Sequence[float],
        found: list[int],
        count: int,
        nodes: int,
    ) -> None:
        self.sizes, self.limits, self.nodes = sizes, limits, nodes
        self.best, self.count = list(found), count
        self.looked, self.gave_up = 0, False
        self._least = 0
        self._rooms: list[list[float]] = []
        self._now: list[int] = []

    def run(self, least: int) -> None:
        """Look until nothing fewer is left, `least` is met, or the branches are used up."""
        self._least = least
        self._place(0)

    def _place(self, at: int) -> None:
        if at == len(self.sizes):
            self.best, self.count = list(self._now), len(self._rooms)
            return
        takes = self.sizes[at]
        # What is alike goes into no earlier group than the one before it: else the same ways come again.
        first = self._now[at - 1] if at and self.sizes[at - 1] == takes else 0
        for number in range(first, min(len(self._rooms) + 1, self.count - 1)):
            if self.looked >= self.nodes:
                self.gave_up = True
                return
            self.looked += 1
            opened = number == len(self._rooms)
            if opened:
                self._rooms.append(list(self.limits))
            room = self._rooms[number]
            if _fits(room, takes, self.limits):
                before = list(room)
                for limit, size in takes.items():
                    room[limit] -= size
                self._now.append(number)
                self._place(at + 1)
                self._now.pop()
                self._rooms[number] = room = before
            if opened:
                self._rooms.pop()
            if self.count <= self._least or self.gave_up:
                return
