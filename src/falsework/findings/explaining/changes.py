"""Which changes of the lab file may explain what one thing was seen to do, the likeliest first?

How likely each is beforehand is a judgement and no figure: times are wrong more often than needs are missing, needs are
missing more often than copies are elsewhere, and plugs are looked at before they are doubted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from falsework.analyses.comparing import Sort, Wrong
from falsework.findings.explaining.needing import alternatives, missing, not_needed, other_holds
from falsework.findings.explaining.placing import elsewhere, enough, plugged
from falsework.findings.explaining.scene import Change, Seen
from falsework.findings.explaining.timing import other_times, runtimes, takes_over

Writer = Callable[[Seen], Iterator[Change]]

RUN = ("run_and_start", "to_run")
START = ("to_start", "to_take_over", "run_and_start", "to_run")

_FELL: tuple[Writer, ...] = (
    lambda seen: other_holds(seen, rank=0),
    lambda seen: runtimes(seen, rank=0),
    lambda seen: other_times(seen, rank=0),
    lambda seen: takes_over(seen, rank=1),
    lambda seen: missing(seen, kinds=RUN, rank=2),
    lambda seen: enough(seen, rank=4),
    lambda seen: plugged(seen, rank=4),
    lambda seen: elsewhere(seen, rank=5),
)
_STOOD: tuple[Writer, ...] = (
    lambda seen: other_holds(seen, rank=0),
    lambda seen: runtimes(seen, rank=0),
    lambda seen: not_needed(seen, rank=1),
    lambda seen: takes_over(seen, rank=2),
    lambda seen: alternatives(seen, rank=3),
    lambda seen: enough(seen, rank=3),
    lambda seen: plugged(seen, rank=4),
    lambda seen: elsewhere(seen, rank=5),
)
_STAYED: tuple[Writer, ...] = (
    lambda seen: missing(seen, kinds=START, rank=0),
    lambda seen: other_holds(seen, rank=2),
    lambda seen: enough(seen, rank=3),
    lambda seen: elsewhere(seen, rank=4),
    lambda seen: plugged(seen, rank=4),
)
_CAME: tuple[Writer, ...] = (
    lambda seen: not_needed(seen, rank=0),
    lambda seen: other_times(seen, rank=1),
    lambda seen: alternatives(seen, rank=2),
    lambda seen: enough(seen, rank=3),
    lambda seen: elsewhere(seen, rank=4),
    lambda seen: plugged(seen, rank=5),
)
_TIMES: tuple[Writer, ...] = (lambda seen: other_times(seen, rank=0), lambda seen: other_holds(seen, rank=1))

_WRITERS = {
    Wrong.FELL: _FELL,
    Wrong.SOONER: _FELL,
    Wrong.STOOD: _STOOD,
    Wrong.LATER: (*_STOOD, lambda seen: missing(seen, kinds=RUN, rank=6)),
    Wrong.STAYED: _STAYED,
    Wrong.CAME: _CAME,
    Wrong.AGAIN: (),
}


def changes(seen: Seen) -> Iterator[Change]:
    """What to try for one thing that was seen to do otherwise; in order of likelihood."""
    if seen.line.sort in (Sort.SLOWER, Sort.FASTER):
        writers: tuple[Writer, ...] = _TIMES
    elif seen.line.sort is Sort.WRONG:
        writers = _WRITERS[seen.line.wrong]
    else:
        return
    found = [
        replace(change, way=f"way {number}")
        for number, writer in enumerate(writers)
        for change in writer(seen)
    ]
    yield from sorted(found, key=lambda change: change.rank)
