"""How long did a machine that was taken out take to be ready, once it had power again?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator

from falsework.analyses.comparing import Comparison
from falsework.analyses.comparing.served import by_thing, served
from falsework.analyses.learning.measured import COARSE, SOON_S
from falsework.analyses.learning.moments import written
from falsework.analyses.learning.result import Measured, Passed
from falsework.model.parts import Powered, ThingId
from falsework.model.timed import Timing
from falsework.model.timing import belief_of
from falsework.record.observed import Observed
from falsework.support.standing import Standing


def woken(standing: Standing, observed: Observed, comparison: Comparison) -> Iterator[Measured | Passed]:
    """From when a drill was put back until what it took out itself was answered again, by a probe of that very part."""
    run = observed.run
    put_back_s = run.put_back_s
    if put_back_s is None or run.tries != "loss":
        return
    seen, _ = by_thing(standing, observed.probes)
    ends = {
        name: outage
        for name, probes in seen.items()
        for outage in served(name, [each for each in probes if each.yes] or probes).outages
        if outage.from_s <= put_back_s < outage.until_s
    }
    for name in comparison.lost:
        thing, outage = standing.lab.things[ThingId(name)], ends.get(name)
        if not isinstance(thing, Powered) or outage is None or math.isinf(outage.until_s):
            continue
        belief = belief_of(thing, "wakes_in")
        if belief is None:
            continue  # it is there as soon as it has power, or nobody says anything of it
        took_s = outage.until_s - put_back_s
        under = standing.support.under(name)
        if outage.unsure:
            why = "the stopwatch itself did not run all the time"
        elif (outage.good_again_s - outage.last_bad_s) / 2 > COARSE * took_s:
            why = "its probe asked too seldom to measure how long it took to wake"
        elif any(
            other != name and other in under and each.until_s >= outage.until_s - SOON_S
            for other, each in ends.items()
        ):
            why = "it waited for something else, so that how long it takes to wake can't be told"
        elif took_s < belief.next[0]:
            why = "it was back so soon that it can hardly have been without power; tell it with --took if it was"
        else:
            began = run.began + datetime.timedelta(seconds=put_back_s)
            yield Measured(
                thing=name, attribute="wakes_in", timing=Timing(took_s, written(began)), run=run.number
            )
            continue
        yield run.number, name, why
