"""What can begin earlier without making anything worse?"""

from __future__ import annotations

from falsework.engines.scheduling.greedy import Draft, Taken
from falsework.engines.scheduling.tasks import Project, weighted_stretch

MOST_TRIES = 200
"""Beginnings of one task that are tried where an early one would make a stretch longer and a later one might not."""


def settled(project: Project, draft: Draft) -> Draft:
    """The same timetable with each task begun as early as the others allow, if no stretch grows by it.

    Afterwards no single task can be done earlier without moving another one or making a stretch longer, as far as
    `MOST_TRIES` beginnings tell.

    Cost:
        A few times n placements of n tasks.
    """
    starts, ends, worked = list(draft.starts), list(draft.ends), list(draft.worked)
    workers = list(draft.workers)
    moved = True
    while moved:
        moved = False
        for number in sorted(range(len(starts)), key=lambda n: (starts[n], ends[n], n)):
            task = project.tasks[number]
            after = max([task.release, *(ends[before] for before in task.after)])
            if after >= starts[number]:
                continue
            taken = Taken(project)
            for other in range(len(starts)):
                if other != number:
                    taken.take(other, starts[other], ends[other], worked[other], workers[other])
            before, kept = weighted_stretch(project, ends), ends[number]
            for _ in range(MOST_TRIES):
                start, end, done, who = taken.find(number, after)
                if end > kept or (end == kept and start >= starts[number]):
                    break
                ends[number] = end
                if weighted_stretch(project, ends) <= before:
                    starts[number], worked[number], workers[number] = start, done, who
                    moved = True
                    break
                ends[number] = kept
                after = start + 1
    return Draft(starts=tuple(starts), ends=tuple(ends), worked=tuple(worked), workers=tuple(workers))
