"""Which units are broken together, and from when to when?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Ints
from falsework.engines.renewal.run import Outages

Marks = NDArray[np.uint64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class States:
    """The life of every run, cut where the set of broken units changes.

    Attributes:
        run: (n,) whose life each stretch is of; stretches are in order of run, then time.
        start_s, end_s: (n,) from when to when; none is empty, and a run's stretches leave no gap.
        state: (n,) position in `sets`.
        sets: each set of broken units that occurs, once; sorted numbers. The first is the empty set.
        first: (n,) whether a stretch is the first of its run.
        event: (n,) position of the outage whose break or mending begins the stretch; -1 for none or several.
    """

    run: Ints
    start_s: Floats
    end_s: Floats
    state: Ints
    sets: tuple[tuple[int, ...], ...]
    first: NDArray[np.bool_]
    event: Ints

    @property
    def before(self) -> Ints:
        """(n,) the state before each stretch; the empty set before the first of a run."""
        previous = np.roll(self.state, 1)
        previous[self.first] = 0
        return previous


def states(outages: Outages) -> States:
    """Cut every run into stretches with one set of broken units each.

    Every unit is given a random mark of 64 bits, and a set the sum of its units' marks, wrapped round: so the
    running sum over breaks and mendings names the set at every moment. Two of a million different sets have
    the same sum with a probability below one in thirty million.

    Args:
        outages: from `simulate`; what happens after the horizon is left out.

    Cost:
        One sort of all breaks and mendings, and one step each to write down the sets.
    """
    n = len(outages.run)
    marks = _marks(int(outages.unit.max(initial=-1)) + 1)
    everyone = np.arange(outages.runs)
    run = np.concatenate([everyone, outages.run, outages.run])
    at = np.concatenate([np.zeros(outages.runs), outages.down_s, outages.up_s])
    mark = np.concatenate([np.zeros(outages.runs, np.uint64), marks[outages.unit], -marks[outages.unit]])
    whose = np.concatenate([np.full(outages.runs, -1), np.arange(n), np.arange(n)])
    # All that happens at one moment counts as one event; the beginning of a run comes before all else.
    order = np.lexsort((whose, at, run))
    run, at, mark, whose = run[order], at[order], mark[order], whose[order]
    total = np.cumsum(mark, dtype=np.uint64)
    last = np.ones(len(run), dtype=bool)
    last[:-1] = (run[1:] != run[:-1]) | (at[1:] > at[:-1])
    kept = np.flatnonzero(last & (at < outages.horizon_s))
    run, start, total = run[kept], at[kept], total[kept]
    first = np.ones(len(run), dtype=bool)
    first[1:] = run[1:] != run[:-1]
    end = np.full(len(run), outages.horizon_s)
    end[:-1][~first[1:]] = start[1:][~first[1:]]
    names, where, state = np.unique(
        np.concatenate([np.zeros(1, np.uint64), total]), return_index=True, return_inverse=True
    )
    sets = _members(outages, whose, kept, where, len(names))
    alone = np.diff(kept, prepend=-1) == 1
    return States(
        run=run,
        start_s=start,
        end_s=end,
        state=state[1:].astype(np.int64),
        sets=sets,
        first=first,
        event=np.where(alone, whose[kept], -1),
    )


def _marks(n_units: int) -> Marks:
    """A random mark for each unit, always the same."""
    return np.random.default_rng(0).integers(1, 2**64, n_units, dtype=np.uint64)


def _members(
    outages: Outages, whose: Ints, kept: Ints, where: Ints, count: int
) -> tuple[tuple[int, ...], ...]:
    """The units of each set, by replaying all events to where each set first occurs."""
    wanted: dict[int, int] = {}
    for number, place in enumerate(where.tolist()):
        if place > 0:  # place 0 is the empty set that was put before the first stretch
            wanted[int(kept[place - 1])] = number
    found: list[tuple[int, ...]] = [()] * count
    down: set[int] = set()
    unit = outages.unit.tolist()
    for position, outage in enumerate(whose.tolist()):
        if outage >= 0:
            down ^= {unit[outage]}
        if position in wanted:
            found[wanted[position]] = tuple(sorted(down))
    return tuple(found)
