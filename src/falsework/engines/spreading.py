"""How can weights be spread over the vertices of a graph so that most stay together when any one vertex is lost?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

MOST = 60_000
"""Ways to spread that are looked at; more are not."""

Joined = tuple[tuple[int, ...], ...]
"""By lost vertex, the number of the piece that each vertex is in then; -1 for the lost one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What weights are spread over.

    Attributes:
        vertices: how many, numbered from 0.
        edges: pairs of them.
        fixed: weights that stay where they are, each with its vertices: it counts wherever one of them is.
    """

    vertices: int
    edges: tuple[tuple[int, int], ...]
    fixed: tuple[tuple[int, frozenset[int]], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A way to spread.

    Attributes:
        at: the vertices of each weight: one, or two where it has two ways in.
        left: the most that are together, after the worst loss of a vertex.
    """

    at: tuple[tuple[int, ...], ...]
    left: int


def left_after(ground: Ground, weights: Sequence[int], at: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """By lost vertex, the weight of the heaviest piece that is left.

    Args:
        ground: the graph, and what stays.
        weights: of each thing that is spread.
        at: its vertices; it counts in each piece in which one of them is.
    """
    joined = pieces(ground)
    return tuple(_heaviest(joined[lost], ground, weights, at) for lost in range(ground.vertices))


def best_spread(
    ground: Ground,
    weights: Sequence[int],
    today: Sequence[Sequence[int]],
    *,
    two_ways: int = 0,
    enough: int | None = None,
) -> Spread | None:
    """A way to spread after which most are together, after the worst loss of any one vertex; None if too many to try.

    Args:
        ground: the graph, and what stays.
        weights: of the things to be spread, each on one vertex.
        today: where each is now: of ways that are as good the one that moves fewest is taken.
        two_ways: so many of them, the last ones, may be on two vertices each.
        enough: so much left is as good as more; of such ways too the one that moves fewest is taken.

    Every way is tried, things of one weight taken as alike. Where any one vertex may go and the rest still hang
    together, only how much is on each vertex counts; so no more vertices are tried than there are weights, and those
    on which least stays: swapping an emptier vertex in for a fuller one never makes the worst loss worse.
    """
    joined = pieces(ground)
    whole = all(len({piece for piece in each if piece >= 0}) <= 1 for each in joined)
    vertices = list(range(ground.vertices))
    if whole and len(vertices) > len(weights) + two_ways:
        stays = [0] * ground.vertices
        for weight, those in ground.fixed:
            if len(those) == 1:
                stays[next(iter(those))] += weight
        used = {each for those in today for each in those}
        vertices.sort(key=lambda each: (stays[each], each not in used, each))
        vertices = sorted(vertices[: len(weights) + two_ways])
    singles = len(weights) - two_ways
    if comb(singles + len(vertices) - 1, len(vertices) - 1) * comb(len(vertices), 2) ** two_ways > MOST:
        return None
    best: tuple[int, int, tuple[tuple[int, ...], ...]] | None = None
    for at in _ways(weights, vertices, singles):
        left = min(
            (_heaviest(joined[lost], ground, weights, at) for lost in range(ground.vertices)), default=0
        )
        moved = sum(1 for those, before in zip(at, today, strict=True) if not set(before) <= set(those))
        good = left if enough is None else min(left, enough)
        if best is None or (-good, moved, at) < best:
            best = (-good, moved, at)
    if best is None:
        return None
    return Spread(at=best[2], left=min(left_after(ground, weights, best[2]), default=0))


def pieces(ground: Ground) -> Joined:
    """Which vertices still hang together when each one is lost."""
    around: list[list[int]] = [[] for _ in range(ground.vertices)]
    for one, other in ground.edges:
        around[one].append(other)
        around[other].append(one)
    return tuple(_pieces(around, lost) for lost in range(ground.vertices))


def _pieces(around: Sequence[Sequence[int]], lost: int) -> tuple[int, ...]:
    piece = [-1] * len(around)
    count = 0
    for start in range(len(around)):
        if start == lost or piece[start] >= 0:
            continue
        piece[start] = count
        waiting = [start]
        while waiting:
            for there in around[waiting.pop()]:
                if there != lost and piece[there] < 0:
                    piece[there] = count
                    waiting.append(there)
        count += 1
    return tuple(piece)


def _heaviest(
    piece: Sequence[int], ground: Ground, weights: Sequence[int], at: Sequence[Sequence[int]]
) -> int:
    load: dict[int, int] = {}
    everything = [*ground.fixed, *zip(weights, at, strict=True)]
    for weight, those in everything:
        for number in {piece[each] for each in those if piece[each] >= 0}:
            load[number] = load.get(number, 0) + weight
    return max(load.values(), default=0)


def _ways(
    weights: Sequence[int], vertices: Sequence[int], singles: int
) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Every way: those of one weight, as far as they are on one vertex, in rising order."""
    pairs = list(combinations(vertices, 2))

    def further(at: tuple[tuple[int, ...], ...]) -> Iterator[tuple[tuple[int, ...], ...]]:
        number = len(at)
        if number == len(weights):
            yield at
            return
        choices = [(each,) for each in vertices] if number < singles else pairs
        alike = 0 < number != singles and weights[number] == weights[number - 1]
        for choice in choices:
            if not alike or choice >= at[-1]:
                yield from further((*at, choice))

    return further(())
