"""Did everything come back after a cold start, and in its time?

Times count from when the power was back: when it was marked as put back, else as done. How each thing stopped does not
matter: some are shut down before, some run on battery for a while.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

from falsework.analyses.cold_start.aimed import start_of
from falsework.analyses.cold_start.result import ColdStart
from falsework.analyses.comparing.judging import TICK_S, Window, not_seen
from falsework.analyses.comparing.ranges import ends
from falsework.analyses.comparing.result import NEVER, Comparison, Foretold, Line, Sort, Wrong
from falsework.analyses.comparing.served import Served, by_thing, served
from falsework.analyses.comparing.wording import start_says
from falsework.analyses.verdicts import Verdict
from falsework.record.observed import Observed, Outage
from falsework.support.standing import Standing


def compare_start(
    standing: Standing, observed: Observed, *, only: Collection[str] | None = None
) -> Comparison:
    """Lay a cold start beside what is foretold of it.

    Args:
        standing: the lab, with what was out beforehand.
        observed: the run.
        only: services to compare; all if not said.
    """
    run = observed.run
    power_s = run.put_back_s if run.put_back_s is not None else run.done_s
    if power_s is None:
        return empty(observed, "nobody marked when the power was back")
    apart = ends(standing)
    starts = tuple(start_of(each) for each in (standing, apart.later, apart.sooner))
    seen, unknown = by_thing(standing, observed.probes)
    window = Window(from_s=power_s, until_s=max(run.until_s, power_s), gaps=run.gaps)
    lines = []
    for name in standing.support.services:
        if (only is not None and name not in only) or not standing.baseline.back(name):
            continue
        told = _foretold(name, starts)
        probes = tuple(each.probe for each in seen.get(name, ()))
        alive = [each for each in seen.get(name, ()) if each.yes]
        if alive:
            lines.append(_line(told, served(name, alive), window))
        else:
            says = "was never answered, so nothing can be said" if probes else "no probe sees it"
            lines.append(not_seen(name, told, service=True, probes=probes, says=says))
    return Comparison(
        run=run.number,
        drill=run.drill,
        lost=(),
        out=tuple(sorted(standing.out)),
        from_s=power_s,
        until_s=window.until_s,
        lines=tuple(lines),
        unknown=unknown,
    )


def empty(observed: Observed, why: str) -> Comparison:
    """The comparison of a run that can't be judged."""
    run = observed.run
    return Comparison(
        run=run.number,
        drill=run.drill,
        lost=run.lost,
        out=run.out,
        from_s=0.0,
        until_s=run.until_s,
        lines=(),
        why_not=why,
    )


def _foretold(name: str, starts: tuple[ColdStart, ...]) -> Foretold:
    """When it is up, by the figures as they are, then between their ends."""
    up = [_up_s(start.up_s, name, start.stuck) for start in starts]
    known = [each for each in up if math.isfinite(each)]
    comes = math.isfinite(up[0])
    return Foretold(
        verdict=Verdict.BLINKS if comes else Verdict.FALLS,
        falls_s=0.0,
        falls_within=(0.0, 0.0),
        lasts_s=up[0],
        lasts_within=(min(known), max(known)) if comes else (NEVER, NEVER),
        reached=True,
    )


def _up_s(up_s: Mapping[str, float], name: str, stuck: Collection[str]) -> float:
    return NEVER if name in stuck else up_s.get(name, NEVER)


def _line(told: Foretold, seen: Served, window: Window) -> Line:
    first = next((each for each in seen.outages if _was_out(each, window)), None)
    length_s = window.length_s
    back_s = NEVER if first is None else first.until_s - window.from_s
    ended = first is not None and math.isfinite(first.until_s) and first.until_s < window.until_s
    if first is None or (ended and first.unsure):
        sort, wrong = Sort.NOT_SEEN, Wrong.NOT
    elif told.verdict is not Verdict.BLINKS:
        sort, wrong = (Sort.WRONG, Wrong.CAME) if ended else (Sort.AS_FORETOLD, Wrong.NOT)
    elif not ended:
        late = length_s > told.lasts_within[1] + TICK_S
        sort, wrong = (Sort.WRONG, Wrong.STAYED) if late else (Sort.AS_FORETOLD, Wrong.NOT)
    else:
        soonest, latest = first.last_bad_s - window.from_s, first.good_again_s - window.from_s
        wrong = Wrong.NOT
        if soonest > told.lasts_within[1] + TICK_S:
            sort = Sort.SLOWER
        elif latest < told.lasts_within[0] - TICK_S:
            sort = Sort.FASTER
        else:
            sort = Sort.AS_FORETOLD
    line = Line(
        thing=seen.thing,
        service=True,
        sort=sort,
        wrong=wrong,
        foretold=told,
        falls_s=NEVER if first is None else 0.0,
        lasts_s=(max(back_s, 0.0) if ended else NEVER) if first is not None else 0.0,
        within_s=first.within_s if first is not None else 0.0,
        ended=ended,
        probes=seen.probes,
        before=(),
        after=(),
        more=(),
        sure=not window.blind(0.0, length_s),
        says="",
    )
    return start_says(line, length_s)


def _was_out(outage: Outage, window: Window) -> bool:
    """Whether it was out when the power came back, or fell for want of it."""
    return outage.from_s <= window.from_s + TICK_S and outage.until_s > window.from_s
