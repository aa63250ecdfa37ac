"""What happened in some runs, and what stood at each moment?"""

from __future__ import annotations

from collections.abc import Sequence
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
        broken: (n_units, n_sets) which are broken in each set that occurs.
        rows: (n_kept, n_sets) the truth of each set, from `Standing.rows`.
        up, back: (n_services, n_sets).
    """

    def __init__(self, known: Known, outages: Outages) -> None:
        self.known = known
        self.outages = outages
        self.cut: States = states(outages)
        self.broken: Bools = columns_of(self.cut.sets, len(known.parts))
        parts = known.parts
        self.rows: Bools = known.standing.rows([[parts[unit] for unit in each] for each in self.cut.sets])
        self.up: Bools = self.rows[known.thing_up[known.at]]
        self.back: Bools = self.rows[known.thing_back[known.at]]

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
        rows = self.rows[:, self.cut.state[list(stretches)]]
        return np.asarray(self.known.falls.at(failed - base, rows) + base)


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
