"""Does what was seen of one thing agree with what was foretold?

What is foretold lies between two ends (`ranges`), what was seen between two bounds (`Outage`); they agree where these
overlap. One single question without a good answer is chance, unless so short an interruption was foretold.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from falsework.analyses.comparing.result import NEVER, Foretold, Line, Sort, Wrong
from falsework.analyses.comparing.served import Served
from falsework.analyses.comparing.wording import line_says
from falsework.analyses.verdicts import Verdict
from falsework.record.observed import Outage
from falsework.record.seen import Gap

HAND_S = 5.0
"""What falls so shortly before or after the action was marked, falls with it: a hand is no clock."""
TICK_S = 0.2
"""What two lengths may differ by besides their bounds: the answers themselves take time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """When predictions count; seconds since the run began.

    Attributes:
        from_s: the action.
        until_s: when it was put back, or the run ended.
        gaps: when the stopwatch did not run.
    """

    from_s: float
    until_s: float
    gaps: Sequence[Gap]

    @property
    def length_s(self) -> float:
        """From the action to the end."""
        return self.until_s - self.from_s

    def blind(self, from_s: float, until_s: float) -> bool:
        """Whether the stopwatch did not run for a while between two moments after the action."""
        first, last = self.from_s + from_s, min(self.from_s + until_s, self.until_s)
        return any(gap.from_s < last and gap.until_s > first for gap in self.gaps)


def judged(foretold: Foretold, seen: Served, window: Window, *, service: bool) -> Line:
    """One thing, foretold and observed; where it is interrupted first and falls for good later, the worse of both."""
    if foretold.before is None:
        return _judged(foretold, seen, window, service=service)
    turn_s = window.from_s + foretold.falls_within[0] - HAND_S
    until_s = max(min(turn_s, window.until_s), window.from_s)
    first = _judged(foretold.before, seen, replace(window, until_s=until_s), service=service)
    if turn_s >= window.until_s:
        return replace(first, foretold=foretold)
    rest = replace(seen, outages=tuple(each for each in seen.outages if each.until_s > turn_s))
    both = (first, _judged(foretold, rest, window, service=service))
    return replace(min(both, key=lambda line: line.sort.rank), foretold=foretold)


def _judged(foretold: Foretold, seen: Served, window: Window, *, service: bool) -> Line:
    """One span of it."""
    before, during, after = _sorted(seen.outages, window)
    if any(each.from_s < window.from_s - HAND_S for each in during):
        return _line(foretold, seen, window, (before, during, after), service, Sort.NOT_SEEN)
    due = foretold.falls_within[0] <= window.length_s
    brief = foretold.verdict is Verdict.BLINKS and foretold.lasts_within[0] <= 2 * seen.every_s + TICK_S
    if not (due and brief):
        during = tuple(each for each in during if each.bad_s != each.last_bad_s)
    parts = (before, during, after)
    if during and during[0].unsure:
        return _line(foretold, seen, window, parts, service, Sort.NOT_SEEN)
    if not during:
        sort, wrong = _without(foretold, window, due=due, brief=brief)
    else:
        sort, wrong = _with(foretold, during, window)
    return _line(foretold, seen, window, parts, service, sort, wrong)


def not_seen(thing: str, foretold: Foretold, *, service: bool, probes: tuple[str, ...], says: str) -> Line:
    """The line of a thing that nobody could see."""
    return Line(
        thing=thing,
        service=service,
        sort=Sort.NOT_SEEN,
        wrong=Wrong.NOT,
        foretold=foretold,
        falls_s=NEVER,
        lasts_s=0.0,
        within_s=0.0,
        ended=False,
        probes=probes,
        before=(),
        after=(),
        more=(),
        sure=False,
        says=says,
    )


Parts = tuple[tuple[Outage, ...], tuple[Outage, ...], tuple[Outage, ...]]


def _sorted(outages: Sequence[Outage], window: Window) -> Parts:
    """Outages before, during and after; one that lasts from before into the window is during."""
    before = tuple(
        each
        for each in outages
        if each.until_s <= window.from_s or (each.until_s <= window.from_s + TICK_S and _early(each, window))
    )
    after = tuple(each for each in outages if each.from_s >= window.until_s)
    during = tuple(each for each in outages if each not in before and each not in after)
    return before, during, after


def _early(outage: Outage, window: Window) -> bool:
    return outage.from_s < window.from_s - HAND_S


def _without(foretold: Foretold, window: Window, *, due: bool, brief: bool) -> tuple[Sort, Wrong]:
    """Nothing was seen to fall."""
    if not due or brief:
        return (Sort.NOT_SEEN if due and window.gaps else Sort.AS_FORETOLD), Wrong.NOT
    if foretold.falls_within[1] + HAND_S >= window.length_s:
        return Sort.AS_FORETOLD, Wrong.NOT  # it was put back before it had to
    if window.blind(foretold.falls_within[0], foretold.falls_within[1] + foretold.lasts_within[1]):
        return Sort.NOT_SEEN, Wrong.NOT
    return Sort.WRONG, Wrong.STOOD


def _with(foretold: Foretold, during: Sequence[Outage], window: Window) -> tuple[Sort, Wrong]:
    """Something was seen to fall."""
    first = during[0]
    soonest, latest = first.good_s - window.from_s, first.bad_s - window.from_s
    if foretold.verdict < Verdict.BLINKS:
        return Sort.WRONG, Wrong.FELL
    if latest < foretold.falls_within[0] - HAND_S:
        return Sort.WRONG, Wrong.SOONER
    if soonest > foretold.falls_within[1] + HAND_S:
        return Sort.WRONG, Wrong.LATER
    ended = first.until_s < window.until_s - TICK_S
    shortest, longest = _length(first)
    if foretold.verdict is not Verdict.BLINKS:
        back = ended and first.good_again_s < window.until_s - HAND_S
        return (Sort.WRONG, Wrong.CAME) if back else (Sort.AS_FORETOLD, Wrong.NOT)
    if not ended:
        held = window.until_s - first.bad_s
        return (
            (Sort.WRONG, Wrong.STAYED)
            if held > foretold.lasts_within[1] + TICK_S
            else (Sort.AS_FORETOLD, Wrong.NOT)
        )
    if len(during) > 1:
        return Sort.WRONG, Wrong.AGAIN
    if shortest > foretold.lasts_within[1] + TICK_S:
        return Sort.SLOWER, Wrong.NOT
    if longest < foretold.lasts_within[0] - TICK_S:
        return Sort.FASTER, Wrong.NOT
    return Sort.AS_FORETOLD, Wrong.NOT


def _length(outage: Outage) -> tuple[float, float]:
    """How long it lasted at least and at most."""
    begun = outage.good_s if math.isfinite(outage.good_s) else outage.bad_s
    return outage.last_bad_s - outage.bad_s, outage.good_again_s - begun


def _line(
    foretold: Foretold,
    seen: Served,
    window: Window,
    parts: Parts,
    service: bool,
    sort: Sort,
    wrong: Wrong = Wrong.NOT,
) -> Line:
    before, during, after = parts
    first = during[0] if during else None
    ended = first is not None and first.until_s < window.until_s - TICK_S
    falls_s = max(first.from_s - window.from_s, 0.0) if first is not None else NEVER
    lasts_s = (first.lasts_s if ended else NEVER) if first is not None else 0.0
    line = Line(
        thing=seen.thing,
        service=service,
        sort=sort,
        wrong=wrong,
        foretold=foretold,
        falls_s=falls_s,
        lasts_s=lasts_s,
        within_s=first.within_s if first is not None else 0.0,
        ended=ended,
        probes=seen.probes,
        before=before,
        after=after,
        more=during[1:],
        sure=not window.blind(0.0, window.length_s),
        says="",
    )
    return line_says(line, window.length_s, early=first is not None and _early(first, window))
