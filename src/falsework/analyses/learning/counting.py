"""How often did parts that a probe watches fail unasked, and how long were they watched?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence

from falsework.analyses.comparing.served import served
from falsework.analyses.learning.measured import COARSE
from falsework.analyses.learning.result import Counted
from falsework.model.parts import Outside, Part, ThingId
from falsework.model.simple import Seen
from falsework.model.timing import Timing
from falsework.record.observed import Observed, Outage, ProbeSeen, Run
from falsework.support.standing import Standing

LEAST_S = 5.0
"""What was not answered for less is no failure of a part."""
WORTH_S = 3600.0
"""Less time than this without a failure is not worth a line in the file."""


def counted(standing: Standing, runs: Sequence[Observed]) -> Iterator[Counted]:
    """The failures of each part that a probe sees itself, in the order of the lab.

    A drill's own time does not count, from its action until it was put back and a minute on; nor do gaps. Only runs
    that began after the moment until which the lab file has counted do.
    """
    for thing in standing.lab.of(Part):
        until = thing.seen.until if thing.seen is not None else ""
        failures, watched_s, numbers, last = 0, 0.0, [], until
        for observed in runs:
            stamp = observed.run.began.astimezone(datetime.UTC).strftime("%Y-%m-%d %H:%M:%S")
            probes = [each for each in observed.probes if each.sees == thing.id and each.yes]
            if not probes or stamp <= until:
                continue
            failures += len(_failures(thing.id, probes, observed.run))
            watched_s += _watched(observed.run)
            numbers.append(observed.run.number)
            last = max(last, stamp)
        if numbers and (failures or watched_s >= WORTH_S):
            before = thing.seen
            after = Seen(
                failures=failures + (before.failures if before is not None else 0),
                watched_s=watched_s + (before.watched_s if before is not None else 0.0),
                until=last,
            )
            yield Counted(
                thing=ThingId(thing.id),
                before=before,
                failures=failures,
                watched_s=watched_s,
                after=after,
                runs=tuple(numbers),
            )


def repaired(standing: Standing, runs: Sequence[Observed]) -> Iterator[tuple[str, Timing, int]]:
    """How long each failure of what others mend lasted, with the moment at which it began, and the run.

    What the owner mends is out while somebody notices and comes besides, so that its repair can't be told.
    """
    for thing in standing.lab.of(Outside):
        for observed in runs:
            run = observed.run
            probes = [each for each in observed.probes if each.sees == thing.id and each.yes]
            for outage in _failures(thing.id, probes, run) if probes else ():
                if math.isfinite(outage.until_s) and outage.within_s <= COARSE * outage.lasts_s:
                    began = run.began + datetime.timedelta(seconds=outage.from_s)
                    on = began.astimezone(datetime.UTC).strftime("%Y-%m-%d %H:%M:%S")
                    yield thing.id, Timing(outage.lasts_s, on), run.number


def _failures(name: str, probes: list[ProbeSeen], run: Run) -> list[Outage]:
    away = _drilled(run)
    return [
        outage
        for outage in served(name, probes).outages
        if outage.last_bad_s - outage.bad_s >= LEAST_S
        and not outage.unsure
        and (away is None or not away[0] <= outage.from_s <= away[1])
    ]


def _drilled(run: Run) -> tuple[float, float] | None:
    """From a little before the drill's action until a minute after it was put back."""
    if run.done_s is None:
        return None
    end_s = run.put_back_s if run.put_back_s is not None else run.until_s
    return run.done_s - LEAST_S, end_s + 60.0


def _watched(run: Run) -> float:
    away = _drilled(run)
    gone_s = sum(gap.until_s - gap.from_s for gap in run.gaps)
    if away is not None:
        gone_s += max(min(away[1], run.until_s) - max(away[0], 0.0), 0.0)
    return max(run.until_s - gone_s, 0.0)
