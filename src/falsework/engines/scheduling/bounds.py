"""Before which moment can no timetable end?

Source:
    Critical path: J. Kelley (1961), Critical-path planning and scheduling: mathematical basis, Operations Research
    9(3). Energy with heads and tails, as in the one-machine bound of J. Carlier (1982), The one-machine sequencing
    problem, European Journal of Operational Research 11(1), and its preemptive form by J. R. Jackson (1955),
    Scheduling a production line to minimize maximum tardiness, Management Science Research Project 43, UCLA.
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from dataclasses import dataclass

from falsework.engines.scheduling.tasks import Impossible, Project, Task, followers_of, in_order
from falsework.engines.scheduling.windows import earliest


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What precedence, releases and windows alone say of each task.

    Attributes:
        heads: no begin is earlier.
        ends: no end is earlier.
        tails: at least so much time passes from its end to the end of the whole.
    """

    heads: tuple[int, ...]
    ends: tuple[int, ...]
    tails: tuple[int, ...]

    @property
    def makespan(self) -> int:
        """The length of the critical path."""
        return max((end + tail for end, tail in zip(self.ends, self.tails, strict=True)), default=0)


def reach(project: Project) -> Reach:
    """The critical path through a project, as if each task had all workers and resources for itself.

    Raises:
        Impossible: a circle, a demand over the capacity, nobody to do it, or the windows end before.
    """
    order = in_order(project)
    heads = [0] * len(order)
    ends = [0] * len(order)
    for number in order:
        task = project.tasks[number]
        if any(need > most for need, most in zip(task.demands, project.capacities, strict=False)):
            raise Impossible("capacity", (number,))
        after = max([task.release, *(ends[before] for before in task.after)])
        heads[number], ends[number] = _alone(project, number, task, after)
    tails = [0] * len(order)
    followers = followers_of(project)
    for number in reversed(order):
        tails[number] = max(
            (project.tasks[later].duration + tails[later] for later in followers[number]), default=0
        )
    return Reach(heads=tuple(heads), ends=tuple(ends), tails=tuple(tails))


def least_makespan(project: Project, reached: Reach) -> int:
    """The best of the bounds: critical path, energy of each resource, and what each worker alone must do."""
    best = reached.makespan
    for resource, capacity in enumerate(project.capacities):
        best = max(best, _energy(project, reached, resource, capacity))
    for worker in range(len(project.workers)):
        best = max(best, _one_by_one(project, reached, worker))
    return best


def _alone(project: Project, number: int, task: Task, after: int) -> tuple[int, int]:
    if not task.work:
        return after, after + task.duration
    if not task.who:
        raise Impossible("nobody", (number,))
    spans = [earliest(project.workers[who], after, task.work) for who in task.who]
    known = [span for span in spans if span is not None]
    if not known:
        raise Impossible("windows", (number,))
    return min(begin for begin, _ in known), min(end for _, end in known) + task.duration - task.work


def _energy(project: Project, reached: Reach, resource: int, capacity: int) -> int:
    """Tasks that can't begin before h and leave t behind them must fit their area in between: for every h and t."""
    users = [
        (reached.heads[n], reached.tails[n], task.duration * task.demands[resource])
        for n, task in enumerate(project.tasks)
        if task.demands and task.demands[resource] and task.duration
    ]
    best = 0
    for head in {user[0] for user in users}:
        area = 0
        for _, tail, one in sorted((u for u in users if u[0] >= head), key=lambda user: -user[1]):
            area += one
            best = max(best, head + -(-area // capacity) + tail)
    return best


def _one_by_one(project: Project, reached: Reach, worker: int) -> int:
    """Jackson's rule: always work at what has most behind it, leaving it for what comes in; no order ends before.

    It may leave work at any moment, which the project may not: so this is a bound.
    """
    jobs = sorted(
        (reached.heads[n], -(task.duration - task.work + reached.tails[n]), task.work)
        for n, task in enumerate(project.tasks)
        if task.work and task.who == (worker,)
    )
    windows = project.workers[worker].windows
    open_: list[tuple[int, int]] = []  # minus what is behind it, work left
    best, index = 0, 0
    now = jobs[0][0] if jobs else 0
    at = max(0, bisect_right(windows, (now, 1 << 60)) - 1)
    while open_ or index < len(jobs):
        if not open_:
            now = max(now, jobs[index][0])
        while index < len(jobs) and jobs[index][0] <= now:
            heapq.heappush(open_, jobs[index][1:])
            index += 1
        while at < len(windows) and windows[at][1] <= now:
            at += 1
        if at == len(windows):
            return best
        if now < windows[at][0]:
            now = windows[at][0]
            continue
        behind, left = heapq.heappop(open_)
        until = min(now + left, windows[at][1], jobs[index][0] if index < len(jobs) else now + left)
        left -= until - now
        now = until
        if left:
            heapq.heappush(open_, (behind, left))
        else:
            best = max(best, now - behind)
    return best
