"""What happened in some runs, and what stood at each moment?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.analyses.years.known import Known
from falsework.analyses.years.moments import columns_of, failed_since
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Bools, Ints
from falsework.engines.renewal.run import Outages
from falsework.engines.renewal.states import States, states
from falsework.support.times import NEVER


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

    def _names(self, sets: Iterable[int]) -> list[list[str]]:
        parts, every = self.known.parts, self.cut.sets
        return [[parts[unit] for unit in every[number]] for number in sets]

    def truth(self, sets: Ints) -> Bools:
        """The whole truth of some sets, from `Standing.rows`: (n_kept, n), columns as asked for."""
        few, column = np.unique(sets, return_inverse=True)
        return self.known.standing.rows(self._names(few.tolist()))[:, column]

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

    def falls(self, stretches: Sequence[int] | Ints) -> Floats:
        """When each thing falls or fell, given when each part that is broken in a stretch failed.

        Returns:
            (n_things, n_stretches), seconds on the run's own clock; infinite for never.
        """
        failed = np.full((len(self.known.parts), len(stretches)), NEVER)
        for column, stretch in enumerate(stretches):
            lasting = self.lasting(int(stretch))
            failed[self.outages.unit[lasting], column] = self.outages.down_s[lasting]
        base = failed.min(axis=0, initial=NEVER)
        base[~np.isfinite(base)] = 0.0
        truth = self.truth(self.cut.state[list(stretches)])
        return np.asarray(self.known.falls.at(failed - base, truth) + base)


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
