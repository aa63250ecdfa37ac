"""What happened in some runs, and what stood at each moment?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from falsework.analyses.years.known import Known
from falsework.analyses.years.moments import columns_of, failed_since
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Bools, Ints
from falsework.engines.renewal.run import Outages
from falsework.engines.renewal.states import States, states
from falsework.support.times import NEVER

FITS = 50_000_000
"""So many answers are kept at the most: a few hundred megabytes."""


AT_ONCE = 1_000_000
"""So many moments are compared at once."""


class Lived:
    """Some runs of a lab.

    Args:
        known: the lab, made ready.
        outages: what broke and was mended.

    Attributes:
        cut: the runs cut where the set of broken parts changes.
        sizes: (n_sets,) how many parts are broken in each set that occurs.
        up, back: (n_services, n_sets) the truth of each set.
        kept: by id, whether what keeps data survives in each set.
    """

    def __init__(self, known: Known, outages: Outages) -> None:
        self.known = known
        self.outages = outages
        self.cut: States = states(outages)
        self.sizes: Ints = np.array([len(each) for each in self.cut.sets], dtype=np.int64)
        rows = known.standing.service_rows(self._names(range(len(self.sizes))))
        count = len(known.services)
        self.up: Bools = rows[:count]
        self.back: Bools = rows[count : 2 * count]
        self.kept: Mapping[str, Bools] = dict(
            zip(known.standing.support.keepings, rows[2 * count :], strict=True)
        )

    @cached_property
    def begins_with_a_break(self) -> Bools:
        """(n,) whether a stretch begins with a break, not with a mending or the run."""
        cut, outages, sets = self.cut, self.outages, self.cut.sets
        breaks = cut.event >= 0
        breaks[breaks] = outages.down_s[cut.event[breaks]] == cut.start_s[breaks]
        # Several events at once count as a break where parts are broken that were not.
        several = np.flatnonzero((cut.event < 0) & ~cut.first)
        breaks[several] = [
            not set(sets[now]) <= set(sets[before])
            for now, before in zip(cut.state[several], cut.before[several], strict=True)
        ]
        return np.asarray(breaks)

    def _names(self, sets: Iterable[int]) -> list[list[str]]:
        parts, every = self.known.parts, self.cut.sets
        return [[parts[unit] for unit in every[number]] for number in sets]

    def truth(self, sets: Ints) -> Bools:
        """The whole truth of some sets, from `Standing.rows`: (n_kept, n), columns as asked for."""
        if self.small:
            return self._whole[:, sets]
        few, column = np.unique(sets, return_inverse=True)
        return self.known.standing.rows(self._names(few.tolist()))[:, column]

    @cached_property
    def _whole(self) -> Bools:
        return self.known.standing.rows(self._names(range(len(self.sizes))))

    @property
    def small(self) -> bool:
        """Whether the truth of all sets fits easily."""
        return len(self.known.standing.gates.graph.kept) * len(self.sizes) < FITS

    def broken(self, sets: Ints) -> Bools:
        """Which units are broken in some sets: (n_units, n)."""
        return columns_of([self.cut.sets[number] for number in sets], len(self.known.parts))

    def any_of(self, units: Bools) -> Bools:
        """In which sets one of a service's units is broken: (n_services, n_units) to (n_services, n_sets)."""
        found = np.zeros((len(units), len(self.sizes)), dtype=bool)
        filled = np.flatnonzero(self.sizes)
        members = np.fromiter((unit for each in self.cut.sets for unit in each), dtype=np.int64)
        first = np.cumsum(self.sizes) - self.sizes
        if len(filled):
            for row, mine in enumerate(units):
                found[row, filled] = np.logical_or.reduceat(mine[members], first[filled])
        return found

    def lasting(self, stretch: int) -> list[int]:
        """The outages, by position, that last during a stretch."""
        cut, outages = self.cut, self.outages
        return failed_since(
            outages.run,
            outages.down_s,
            outages.up_s,
            whose=int(cut.run[stretch]),
            at_s=float(cut.start_s[stretch]),
        )

    def falls(self, stretches: Ints, known_from_s: Floats, matters: Bools) -> Floats:
        """When each thing falls or fell, given when each part that is broken in a stretch failed.

        Were all the parts lost with the first of them, nothing would fall later than it does, and were they lost
        with the last of them, nothing earlier. Mostly that says enough; else it is worked out part by part.

        Args:
            stretches: (n,) which.
            known_from_s: (n,) moments of interest, not after the stretch's end: what fell before may be said to
                have fallen at any moment before, as what falls after the stretch at any moment after.
            matters: (n_things, n) for which things an answer is wanted.

        Returns:
            (n_things, n), seconds on the run's own clock; infinite for never.
        """
        outages, cut = self.outages, self.cut
        first, last = self._first_and_last(stretches)
        together = self.falls_together(cut.state[stretches])
        found = np.where(together + first >= cut.end_s[stretches], together + first, together + last)
        unsure = (found < cut.end_s[stretches]) & (together + last > known_from_s) & (last > first)
        unsure |= (found >= cut.end_s[stretches]) & (together + first < cut.end_s[stretches])
        ask = np.flatnonzero((unsure & matters).any(axis=0))
        failed = np.full((len(self.known.parts), len(ask)), NEVER)
        for column, place in enumerate(ask.tolist()):
            lasting = self.lasting(int(stretches[place]))
            failed[outages.unit[lasting], column] = outages.down_s[lasting] - first[place]
        found[:, ask] = self.known.falls.at(failed, self.truth(cut.state[stretches[ask]])) + first[ask]
        return np.asarray(found)

    def _first_and_last(self, stretches: Ints) -> tuple[Floats, Floats]:
        """When the first and the last of the parts that are broken in a stretch failed: twice (n,), 0 where none is."""
        outages, cut = self.outages, self.cut
        begin = np.searchsorted(outages.run, np.arange(outages.runs + 1))
        most = int(np.diff(begin).max(initial=0))
        first, last = np.zeros(len(stretches)), np.zeros(len(stretches))
        step = max(AT_ONCE // max(most, 1), 1)
        for start in range(0, len(stretches), step):
            some = stretches[start : start + step]
            run, at = cut.run[some], cut.start_s[some][:, None]
            place = begin[run][:, None] + np.arange(most)
            own = place < begin[run + 1][:, None]
            place = np.minimum(place, len(outages.run) - 1)
            down = outages.down_s[place]
            lasting = own & (down <= at) & (outages.up_s[place] > at)
            any_lasts = lasting.any(axis=1)
            first[start : start + step] = np.where(any_lasts, np.where(lasting, down, NEVER).min(axis=1), 0.0)
            last[start : start + step] = np.where(lasting, down, 0.0).max(axis=1)
        return first, last

    def falls_together(self, sets: Ints) -> Floats:
        """When each thing falls with a set lost at one moment, seconds after it: (n_things, n). Answers are kept."""
        kept, names = self.known.together, self.cut.sets
        few = np.unique(sets)
        fresh = np.array([number for number in few.tolist() if names[number] not in kept], dtype=np.int64)
        if len(fresh):
            falls = self.known.falls.at(np.where(self.broken(fresh), 0.0, NEVER), self.truth(fresh))
            for column, number in enumerate(fresh.tolist()):
                kept[names[number]] = falls[:, column]
        found = np.empty((len(self.known.things), len(sets)))
        for column, number in enumerate(sets.tolist()):
            found[:, column] = kept[names[number]]
        if len(kept) * len(self.known.things) > FITS:
            kept.clear()
        return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Stretches of services being down, as found; they may overlap.

    Attributes:
        service: (n,) position among the services.
        run: (n,) in which run.
        start_s, end_s: (n,) from when to when.
    """

    service: Ints
    run: Ints
    start_s: Floats
    end_s: Floats


def together(pieces: Sequence[Pieces]) -> Pieces:
    """All pieces as one."""
    return Pieces(
        service=np.concatenate([each.service for each in pieces]),
        run=np.concatenate([each.run for each in pieces]),
        start_s=np.concatenate([each.start_s for each in pieces]),
        end_s=np.concatenate([each.end_s for each in pieces]),
    )
