"""What does a placing problem of any size look like: copies that are kept apart, and room when any one bin is lost?

Everything is drawn from the seed: bins of two sizes in racks, groups of one to five copies, today's placement by
first fit. Today's placement keeps every hard rule; of the wishes it keeps few.
"""

from __future__ import annotations

import random

import numpy as np

from falsework.engines.placing.problem import NOWHERE, Apart, AtMost, Comfort, Loss, Moves, Near, Problem

LEVELS = ("aims", "room", "nearness", "moves", "balance")
PER_RACK = 10


def invented(bins: int, items: int, *, seed: int = 0) -> Problem:
    """So many items in so many bins, about two thirds full.

    Levels: copies of a group that share a rack; items without a place after the loss of any one bin; copies far
    from what they talk to; moved items, by size; use above 80 %.
    """
    draw = random.Random(seed)
    group: list[int] = []
    while len(group) < items:
        group += [group[-1] + 1 if group else 0] * min(draw.choice((1, 1, 2, 3, 3, 5)), items - len(group))
    size = np.empty((items, 3), dtype=np.int64)
    shape: dict[int, tuple[int, int, int]] = {}
    for item, one in enumerate(group):
        shape.setdefault(
            one, (draw.choice((1, 2, 2, 4, 8)), draw.choice((2, 4, 8, 16, 32)), draw.randint(1, 60))
        )
        size[item] = shape[one]
    big = np.array([draw.random() < 0.3 for _ in range(bins)])
    share = size.sum(axis=0) / (0.66 * (big * 2 + ~big).sum())
    capacity = np.where(big[:, None], 2, 1) * np.maximum(np.ceil(share), size.max(axis=0)).astype(np.int64)
    members: dict[int, list[int]] = {}
    for item, one in enumerate(group):
        members.setdefault(one, []).append(item)
    rack = tuple(number // PER_RACK for number in range(bins))
    racks = [tuple(number for number in range(bins) if rack[number] == one) for one in range(rack[-1] + 1)]
    own = tuple(range(bins))
    several = [tuple(some) for some in members.values() if len(some) > 1]
    return Problem(
        levels=LEVELS,
        item_names=tuple(f"i{number}" for number in range(items)),
        bin_names=tuple(f"b{number}" for number in range(bins)),
        resource_names=("cores", "memory", "disk"),
        size=size,
        capacity=capacity,
        twice=np.array([False, False, True]),
        group=np.array(group, dtype=np.int64),
        start=_first_fit(size, capacity, group),
        apart=tuple(Apart(name=f"apart {some[0]}", items=some, domain=own) for some in several),
        at_most=tuple(
            AtMost(name=f"rack {number} of {some[0]}", items=some, bins=one, most=len(some) // 2, level=0)
            for some in several
            for number, one in enumerate(racks)
        ),
        near=tuple(
            Near(name=f"near {one}", items=tuple(some), to=tuple(members[one - 1]), domain=rack, level=2)
            for one, some in members.items()
            if one % 4 == 3
        ),
        losses=tuple(Loss(name=f"loss of b{number}", bins=(number,), level=1) for number in range(bins)),
        moves=(Moves(level=3, each=size[:, 2]),),
        comfort=(Comfort(level=4, upto=capacity * 4 // 5, weight=np.array([10, 1, 0])),),
    )


def _first_fit(size: np.ndarray, capacity: np.ndarray, group: list[int]) -> np.ndarray:
    """Each in the first bin with room that holds none of its group; nowhere if there is none."""
    left = capacity.copy()
    holds: list[set[int]] = [set() for _ in range(len(capacity))]
    start = np.full(len(size), NOWHERE, dtype=np.int64)
    for item, takes in enumerate(size):
        for at in np.flatnonzero((left >= takes).all(axis=1)).tolist():
            if group[item] not in holds[at]:
                start[item] = at
                left[at] -= takes
                holds[at].add(group[item])
                break
    return start
