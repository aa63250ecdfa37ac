"""Which drives of a mixed heap are used together?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from falsework.analyses.drives.result import Stick

FEW_SORTS = 5
"""Up to so many sorts, each set of sorts is tried."""

Sort = tuple[float, float]
"""Size and failures a year."""


def sort_of(stick: Stick) -> Sort:
    """What makes a drive another sort: how large it is and how often it fails."""
    return stick.size_bytes, (stick.rate.low + stick.rate.high) / 2


def choices(sticks: Sequence[Stick]) -> tuple[tuple[Stick, ...], ...]:
    """Every sensible set of drives, all of them first; in each the largest first, and of these the surest.

    Drives of one sort are used together or not at all; where there are many sorts, those from a size up, those of one
    size, those up to a failure rate, and each sort alone.
    """
    sorts = sorted({sort_of(each) for each in sticks}, key=lambda sort: (-sort[0], sort[1]))
    ordered = sorted(sticks, key=lambda each: (-each.size_bytes, sort_of(each)[1], each.batch, each.name))
    seen: dict[tuple[str, ...], tuple[Stick, ...]] = {}
    for some in _sets(sorts):
        chosen = tuple(each for each in ordered if sort_of(each) in some)
        seen.setdefault(tuple(each.name for each in chosen), chosen)
    return tuple(seen.values())


def _sets(sorts: Sequence[Sort]) -> Iterator[frozenset[Sort]]:
    if len(sorts) <= FEW_SORTS:
        for count in range(len(sorts), 0, -1):
            yield from (frozenset(some) for some in combinations(sorts, count))
        return
    yield frozenset(sorts)
    for size in dict.fromkeys(size for size, _ in sorts):
        yield frozenset(each for each in sorts if each[0] >= size)
        yield frozenset(each for each in sorts if each[0] == size)
    for rate in sorted({rate for _, rate in sorts}):
        yield frozenset(each for each in sorts if each[1] <= rate)
    yield from (frozenset((each,)) for each in sorts)
