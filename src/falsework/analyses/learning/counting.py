"""How often did parts that a probe watches fail unasked, and how long were they watched?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.comparing.served import served
from falsework.analyses.learning.moments import is_later, written
from falsework.analyses.learning.result import Counted
from falsework.model.parts import Part, ThingId
from falsework.model.simple import Seen
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
    seen = by_thing(runs)
    for thing in standing.lab.of(Part):
        until = thing.seen.until if thing.seen is not None else ""
        failures, watched_s, numbers, last = 0, 0.0, [], until
        for run, probes in seen.get(thing.id, ()):
            if not is_later(run.began, until):
                continue
            failures += len(failures_of(thing.id, probes, run))
            watched_s += _watched(run)
            numbers.append(run.number)
            if is_later(run.began, last):
                last = written(run.began)
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


def by_thing(runs: Sequence[Observed]) -> Mapping[str, list[tuple[Run, list[ProbeSeen]]]]:
    """By what is seen: the runs in which it was, with the probes that were ever answered."""
    found: dict[str, list[tuple[Run, list[ProbeSeen]]]] = {}
    for observed in runs:
        probes: dict[str, list[ProbeSeen]] = {}
        for each in observed.probes:
            if each.yes:
                probes.setdefault(each.sees, []).append(each)
        for sees, some in probes.items():
            found.setdefault(sees, []).append((observed.run, some))
    return found


def failures_of(name: str, probes: list[ProbeSeen], run: Run) -> list[Outage]:
    """When a thing was out outside a drill's own time, long enough to be told from chance."""
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
    """How long the stopwatch ran outside the drill's own time, seconds."""
    away = _drilled(run)
    from_s, until_s = (max(away[0], 0.0), min(away[1], run.until_s)) if away is not None else (0.0, 0.0)
    gone_s = max(until_s - from_s, 0.0)
    for gap in run.gaps:  # what of it is in the drill's own time is gone already
        within_s = max(min(gap.until_s, until_s) - max(gap.from_s, from_s), 0.0)
        gone_s += gap.until_s - gap.from_s - within_s
    return max(run.until_s - gone_s, 0.0)
