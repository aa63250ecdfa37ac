"""What did a run prove: which take-over, which spare path, which drill, which restore?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator

from falsework.analyses.comparing import Comparison, Line, Sort
from falsework.analyses.comparing.compare import prediction
from falsework.analyses.learning.restoring import restored_data
from falsework.analyses.learning.result import Proof
from falsework.analyses.verdicts import Loss, Verdict
from falsework.model.drilling import Drill
from falsework.model.parts import Part, Thing, ThingId
from falsework.model.services import Copy, Data
from falsework.record.observed import Observed
from falsework.support.standing import Standing


def proved(standing: Standing, observed: Observed, comparison: Comparison) -> Iterator[Proof]:
    """What was seen to work in a run, where that is news.

    A service, if the run took something that it leans on and it stood or came back as foretold; what was taken out, and
    the drill, if nothing was wrong and every service that leans on it was seen; data, if a restore of it was done.
    """
    run = observed.run
    on = run.began.astimezone(datetime.UTC).date()
    things = standing.lab.things

    def news(name: str, key: str = "proved") -> Iterator[Proof]:
        thing = things.get(ThingId(name))
        before = _before(thing)
        if thing is not None and (before is None or before < on):
            yield Proof(thing=name, key=key, on=on, before=before, run=run.number)

    if run.tries == "restore" and run.done_s is not None:
        for data in restored_data(standing, run):
            yield from news(data.id, "restored")
        if isinstance(things.get(ThingId(run.drill)), Drill):
            yield from news(run.drill)
        return
    lines = [line for line in comparison.lines if line.service and line.foretold.reached]
    loss = prediction(standing, comparison.lost).loss
    for line in lines:
        if worked(line, comparison.until_s - comparison.from_s) and _asked(standing, loss, line.thing):
            yield from news(line.thing)
    if not lines or not comparison.right or any(not _seen(line) for line in lines):
        return
    for name in comparison.lost:
        if isinstance(things.get(ThingId(name)), Part):
            yield from news(name)
    if isinstance(things.get(ThingId(run.drill)), Drill):
        yield from news(run.drill)


def _asked(standing: Standing, loss: Loss, service: str) -> bool:
    """Whether something that it, or a copy of it, leans on at every moment was gone: only then was it put to the test."""
    things = standing.support.things
    copies = {copy.id for copy in standing.lab.of(Copy) if copy.service == service}
    return any(
        name in loss.down or name in loss.lost
        for each in (service, *copies)
        for lean in things[each].leans
        if "now" in lean.times
        for name in lean.on
    )


def _seen(line: Line) -> bool:
    return line.sort is not Sort.NOT_SEEN and line.sure


def worked(line: Line, window_s: float) -> bool:
    """Whether it did what it should, all of it; an interruption may be too short to be seen."""
    if not _seen(line) or line.sort is Sort.WRONG or line.foretold.verdict >= Verdict.FALLS:
        return False
    if line.foretold.verdict < Verdict.BLINKS or line.ended:
        return True
    return math.isinf(line.falls_s) and line.foretold.returns_s < window_s


def _before(thing: Thing | None) -> datetime.date | None:
    if isinstance(thing, Data):
        days = [each.restored for each in thing.backed_up if each.restored is not None]
        return max(days, default=None)
    return thing.proved if thing is not None else None
