"""When is each task done, so that the whole ends soonest, and then what should be short is shortest?"""

from __future__ import annotations

import time

from falsework.engines.scheduling.bounds import Reach, least_makespan, reach
from falsework.engines.scheduling.greedy import Draft, quick
from falsework.engines.scheduling.settle import settled
from falsework.engines.scheduling.tasks import Progress, Project, Timetable, weighted_stretch

_SHARE = 0.6
"""Of the time goes to the makespan, if there are stretches too."""


def solve(
    project: Project,
    *,
    seconds: float = 30.0,
    workers: int = 2,
    seed: int = 0,
    progress: Progress | None = None,
) -> Timetable:
    """The best timetable that is found in time, with what is proved of it.

    Args:
        project: what is to be done.
        seconds: about how long it may take; a first timetable is made in any case.
        workers: threads of the exact search.
        seed: of everything that is drawn.
        progress: told what is going on.

    Returns:
        The least makespan first, then the least stretch with it, then nothing begun later than it could be without
        making either worse. Stopped by the keyboard, the best so far.

    Raises:
        Impossible: tasks in a circle, a demand over the capacity, nobody to do a task, or the windows end before.

    Cost:
        Quick for what the bounds prove; beyond that exponential at worst, and cut off in time.
    """
    began = time.monotonic()
    until = began + seconds
    reached = reach(project)
    bound = least_makespan(project, reached)
    best, going = _quick(project, reached, bound, until=began + min(2.0, 0.1 * seconds), seed=seed)
    if best.makespan > bound and going and time.monotonic() < until:
        from falsework.engines.scheduling.exact import search

        share = _SHARE if project.stretches else 1.0
        found = search(
            project,
            reached,
            best,
            least=bound,
            stretch=False,
            seconds=share * (until - time.monotonic()),
            workers=workers,
            seed=seed,
            told=None if progress is None else lambda a, b: progress("ending sooner", a, b),
        )
        best, bound, going = found.draft or best, found.bound, not found.stopped
    best = settled(project, best)
    stretch, least = weighted_stretch(project, best.ends), 0
    if stretch and going and time.monotonic() < until:
        from falsework.engines.scheduling.exact import search

        found = search(
            project,
            reached,
            best,
            least=0,
            stretch=True,
            seconds=until - time.monotonic(),
            workers=workers,
            seed=seed,
            told=None if progress is None else lambda a, b: progress("less of what should be short", a, b),
        )
        least = found.bound
        if found.draft is not None:
            best = settled(project, found.draft)
            stretch = weighted_stretch(project, best.ends)
    return Timetable(
        starts=best.starts,
        ends=best.ends,
        worked=best.worked,
        workers=best.workers,
        makespan=best.makespan,
        bound=min(bound, best.makespan),
        stretch=stretch,
        least_stretch=min(least, stretch),
    )


def _quick(project: Project, reached: Reach, bound: int, *, until: float, seed: int) -> tuple[Draft, bool]:
    """A quick timetable, and whether nobody stopped the search for it."""
    kept: list[Draft] = []

    def going() -> bool:
        return time.monotonic() < until

    try:
        return quick(project, reached, enough=bound, seed=seed, going=going, keep=kept.append), True
    except KeyboardInterrupt:
        if not kept:
            raise
        return kept[-1], False
