"""Which leaves, going off alone, stop a service at each of some moments of a build?

In a small lab each leaf is tried at each moment. In a large one two things save nearly all of that, both because
all rules are monotone (room is so but for odd cases; see `support.room.oracle`):

- if nothing falls with all of a group, nothing falls with any of it;
- while things only come and none goes, what a service has once done without, it does without from then on. So a
  leaf can only stop a service from the moment at which the service begins to serve, up to some moment: the first is
  known, the last is found by halving.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import BoolArray
from falsework.support.moments import Stages

AT_ONCE = 4096
"""Scenarios asked about together."""
MANY = 2000
"""So many parts make a lab large."""
GROUPS = (512, 64, 8, 1)
"""Sizes of groups, from the largest."""

Falls = Mapping[int, BoolArray]
"""Leaves that stop some service, each with the services it stops."""
Piece = tuple[int, tuple[int, ...]]
"""A moment, and leaves that go off together."""


def alone(
    stages: Stages, on: BoolArray, before: BoolArray, asked: Sequence[Sequence[int]]
) -> Iterator[Falls]:
    """At each moment the leaves that stop some service when they alone go off.

    Args:
        stages: the lab ready for moments.
        on: leaves that are on, (n_leaves, n_moments).
        before: whether each service serves, (n_services, n_moments).
        asked: for each moment the leaves to ask about: all that are on, or one for those that do the same.

    Cost:
        In a small lab a scenario for each leaf and moment; in a large one, for each moment at which a service
        begins to serve, some for each group of leaves.
    """
    if len(stages.standing.parts) < MANY:
        yield from each_tried(stages, on, before, asked)
        return
    for first, last in _growing(on, before):
        yield from while_growing(stages, on[:, first:last], before[:, first:last], asked[first:last])


def each_tried(
    stages: Stages, on: BoolArray, before: BoolArray, asked: Sequence[Sequence[int]]
) -> Iterator[Falls]:
    """The same, trying each leaf at each moment."""
    pieces = [(number, (leaf,)) for number, leaves in enumerate(asked) for leaf in leaves]
    falls = _lost(stages, on, before, pieces)
    found: list[dict[int, BoolArray]] = [{} for _ in asked]
    for column in np.flatnonzero(falls.any(axis=0)).tolist():
        number, leaves = pieces[column]
        found[number][leaves[0]] = falls[:, column]
    yield from found


def while_growing(
    stages: Stages, on: BoolArray, before: BoolArray, asked: Sequence[Sequence[int]]
) -> Iterator[Falls]:
    """The same for moments over which nothing that is on goes off, and no service stops."""
    count = on.shape[1]
    begins = before.copy()
    begins[:, 1:] &= ~before[:, :-1]
    pieces, falls = _first(stages, on, before, begins, asked)
    leaves = np.unique(np.array([piece[0] for _, piece in pieces], dtype=np.intp))
    row = {leaf: at for at, leaf in enumerate(leaves.tolist())}
    # (n_leaves, n_services): a leaf stops a service from `start`, at least up to `last`, and no more at `end`.
    start: NDArray[np.intp] = np.full((len(leaves), len(before)), count, dtype=np.intp)
    for column, (number, (leaf,)) in enumerate(pieces):
        start[row[leaf], falls[:, column]] = number
    last, end = start.copy(), np.full_like(start, count)
    middle = np.full_like(start, count - 1)  # nearly always up to the very end
    while True:
        open_ = end - last > 1
        at, _ = np.nonzero(open_)
        asking = np.unique(np.stack((at, middle[open_])), axis=1).T.tolist()
        if not asking:
            break
        tried = _lost(stages, on, before, [(number, (int(leaves[at]),)) for at, number in asking])
        for column, (at, number) in enumerate(asking):
            inside = (last[at] < number) & (number < end[at])
            last[at, inside & tried[:, column]] = number
            end[at, inside & ~tried[:, column]] = number
        middle = (last + end) // 2
    for number in range(count):
        stops = (start <= number) & (number < end)
        yield {int(leaves[at]): stops[at] for at in np.flatnonzero(stops.any(axis=1)).tolist()}


def _first(
    stages: Stages, on: BoolArray, before: BoolArray, begins: BoolArray, asked: Sequence[Sequence[int]]
) -> tuple[list[tuple[int, tuple[int]]], BoolArray]:
    """The leaves that stop a service at the moment at which it begins to serve, each alone, and what they stop."""
    pieces: list[Piece] = [
        (number, tuple(leaves)) for number, leaves in enumerate(asked) if begins[:, number].any()
    ]
    falls: BoolArray = before[:, :0]
    for size in GROUPS:
        pieces = [
            (number, leaves[at : at + size])
            for number, leaves in pieces
            for at in range(0, len(leaves), size)
        ]
        falls = _lost(stages, on, before, pieces) & begins[:, [number for number, _ in pieces]]
        hit = np.flatnonzero(falls.any(axis=0)).tolist()
        pieces, falls = [pieces[at] for at in hit], falls[:, hit]
    return [(number, (leaves[0],)) for number, leaves in pieces], falls


def _growing(on: BoolArray, before: BoolArray) -> Iterator[tuple[int, int]]:
    """Runs of moments (first, behind the last) over which nothing goes off and no service stops."""
    count = on.shape[1]
    first = 0
    for number in range(1, count + 1):
        if (
            number == count
            or (on[:, number - 1] & ~on[:, number]).any()
            or (before[:, number - 1] & ~before[:, number]).any()
        ):
            yield first, number
            first = number


def _lost(stages: Stages, on: BoolArray, before: BoolArray, pieces: Sequence[Piece]) -> BoolArray:
    """Which services fall when all of a piece goes off at its moment, (n_services, n_pieces)."""
    count = len(stages.services)
    found: list[BoolArray] = [before[:, :0]]
    for first in range(0, len(pieces), AT_ONCE):
        some = pieces[first : first + AT_ONCE]
        numbers = sorted({number for number, _ in some})
        column = {number: at for at, number in enumerate(numbers)}
        after = stages.service_rows_without(on[:, numbers], [(column[number], each) for number, each in some])
        found.append(before[:, [number for number, _ in some]] & ~after[count : 2 * count])
    return np.concatenate(found, axis=1)
