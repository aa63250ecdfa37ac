"""Which lines of a log tell of the same event as a probe of the stopwatch, and so tie its clock to theirs?

A service says that it is stopping before it stops serving, that it has stopped after it did, and that it is starting
before it serves. So the first holds before the first question that went wrong was given up; the second after the last
question was asked that was answered well; the third before the first question after the outage was answered. That is
concluded only where one copy serves, one line of the sort tells of it, and the probe saw one outage.
"""

from __future__ import annotations

import datetime
import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence

from falsework.analyses.evidence.homes import Homes
from falsework.logs.bounds import Tie
from falsework.logs.folding import Entry
from falsework.logs.stamps import SECOND
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service
from falsework.record.observed import Observed, Run
from falsework.support.probing import PATIENCE_S, questions

EPOCH = datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC)
STOPPING = re.compile(r"\b(?:stopping|shutting down|going down)\b", re.IGNORECASE)
STOPPED = re.compile(r"\b(?:stopped|exited|killed|terminated)\b", re.IGNORECASE)
STARTING = re.compile(r"\bstarting\b", re.IGNORECASE)


def micros(moment: datetime.datetime) -> int:
    """A moment in microseconds since 1970."""
    return (moment - EPOCH) // datetime.timedelta(microseconds=1)


def clock_of(run: Run, homes: Homes) -> str:
    """Whose clock the stopwatch's times are of: its machine's, unless that was set while it ran."""
    name = homes.name(run.machine.lower()) or "stopwatch"
    return f"stopwatch on {name}" if run.jumps else name


def at_us(run: Run, at_s: float) -> int:
    """A moment of the stopwatch in microseconds since 1970, by the clock it began with."""
    return micros(run.began) + round(at_s * SECOND)


def ties(lab: Lab, homes: Homes, observed: Observed, entries: Sequence[Entry]) -> tuple[Tie, ...]:
    """Pairs of a line and a question that are cause and effect."""
    return tuple(_ties(lab, homes, observed, entries))


def _ties(lab: Lab, homes: Homes, observed: Observed, entries: Sequence[Entry]) -> Iterator[Tie]:
    run = observed.run
    clock = clock_of(run, homes)
    patience = {each.name: each.patience_s for each in questions(lab)}
    services = {each.id: each for each in lab.of(Service)}
    copies = Counter(each.service for each in lab.of(Copy))
    for probe in observed.probes:
        service = services.get(ThingId(probe.sees))
        if service is None or copies[service.id] > 1 or len(probe.outages) != 1:
            continue
        about = [
            each
            for each in entries
            if homes.service(each.line.app) == service.id or each.line.host == service.id
        ]
        outage = probe.outages[0]
        wait = patience.get(probe.probe, PATIENCE_S)
        stopping, stopped, starting = (_only(about, each) for each in (STOPPING, STOPPED, STARTING))
        if stopping is not None:
            yield Tie(stopping.line.host, clock, stopping.line.at_us, at_us(run, outage.bad_s + wait))
        if stopped is not None and math.isfinite(outage.good_s):
            yield Tie(clock, stopped.line.host, at_us(run, outage.good_s), stopped.line.at_us)
        if starting is not None and math.isfinite(outage.good_again_s):
            yield Tie(starting.line.host, clock, starting.line.at_us, at_us(run, outage.good_again_s + wait))


def _only(entries: Sequence[Entry], says: re.Pattern[str]) -> Entry | None:
    found = [each for each in entries if says.search(each.line.text, 0, 400)]
    return found[0] if len(found) == 1 and found[0].count == 1 else None
