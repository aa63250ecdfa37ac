"""How long did a repair or a rebuild take, as far as probes can tell; and what of it can only its owner tell?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence

from falsework.analyses.comparing.served import served
from falsework.analyses.learning.counting import LEAST_S, by_thing, failures_of
from falsework.analyses.learning.measured import COARSE
from falsework.analyses.learning.moments import written
from falsework.analyses.learning.result import Ask, Measured
from falsework.model.drilling import Probe
from falsework.model.lab import Lab
from falsework.model.parts import Outside, Part, ThingId
from falsework.model.services import Store
from falsework.model.timed import Timing
from falsework.record.observed import Observed, Outage, ProbeSeen, Run
from falsework.support.standing import Standing


def repaired(standing: Standing, runs: Sequence[Observed]) -> Iterator[Measured | Ask]:
    """How long each failure that a probe saw lasted.

    What is outside is mended by others, and its outage is the repair. What the owner mends is out while somebody notices
    and comes besides: its outage is more than the repair, and how much of it the repair was only they can tell.
    """
    seen = by_thing(runs)
    for thing in standing.lab.of(Part):
        for run, probes in seen.get(thing.id, ()):
            for outage in failures_of(thing.id, probes, run):
                if not _is_fine(outage):
                    continue
                if isinstance(thing, Outside):
                    yield _measured(thing.id, "mends_in", outage, run)
                else:
                    yield _ask(thing.id, "mends_in", outage, run)


def rebuilt(standing: Standing, runs: Sequence[Observed]) -> Iterator[Measured | Ask]:
    """How long each store was not whole that a probe watches for that.

    Where a drive waits as a spare the rebuild begins at once, and the time is that of the rebuild. Where none does, or
    where a drill put the drive back, which may then only have been brought up to date, it is more, and the owner is asked.
    """
    for observed in runs:
        run = observed.run
        for store, probes in _of_stores(standing.lab, observed):
            for outage in served(store.id, probes).outages:
                if outage.last_bad_s - outage.bad_s < LEAST_S or outage.unsure or not _is_fine(outage):
                    continue
                back = run.put_back_s is not None and outage.from_s <= run.put_back_s < outage.until_s
                if store.spares and not back:
                    yield _measured(store.id, "rebuilds_in", outage, run)
                else:
                    yield _ask(store.id, "rebuilds_in", outage, run)


def _of_stores(lab: Lab, observed: Observed) -> Iterator[tuple[Store, list[ProbeSeen]]]:
    """The stores that are watched for being whole, with their probes that were ever answered."""
    found: dict[str, list[ProbeSeen]] = {}
    for each in observed.probes:
        probe = lab.things.get(ThingId(each.probe))
        if each.yes and isinstance(probe, Probe) and probe.whole is not None:
            found.setdefault(probe.whole.ids[0], []).append(each)
    for name, probes in found.items():
        store = lab.things[ThingId(name)]
        assert isinstance(store, Store)
        yield store, probes


def _is_fine(outage: Outage) -> bool:
    return math.isfinite(outage.until_s) and outage.within_s <= COARSE * outage.lasts_s


def _measured(thing: str, attribute: str, outage: Outage, run: Run) -> Measured:
    timing = Timing(outage.lasts_s, _moment(outage, run))
    return Measured(thing=thing, attribute=attribute, timing=timing, run=run.number)


def _ask(thing: str, attribute: str, outage: Outage, run: Run) -> Ask:
    at_most_s = outage.lasts_s + outage.within_s
    return Ask(thing=thing, attribute=attribute, at_most_s=at_most_s, on=_moment(outage, run), run=run.number)


def _moment(outage: Outage, run: Run) -> str:
    return written(run.began + datetime.timedelta(seconds=outage.from_s))
