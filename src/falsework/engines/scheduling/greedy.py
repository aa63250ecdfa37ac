"""How short is a timetable that is made quickly: one task after another, each as early as it can be?

Source:
    Serial schedule generation, priority rules and sampling: R. Kolisch, S. Hartmann (1999), Heuristic algorithms for
    the resource-constrained project scheduling problem, in: Project Scheduling, Kluwer.
    Justification (all to the right from the last end, then to the left): V. Valls, F. Ballestin, S. Quintanilla
    (2005), Justification and RCPSP: a technique that pays, European Journal of Operational Research 165(2).
"""

from __future__ import annotations

import heapq
import random
from bisect import bisect_right, insort
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from falsework.engines.scheduling.bounds import Reach
from falsework.engines.scheduling.tasks import Impossible, Project, Span, followers_of, in_order
from falsework.engines.scheduling.windows import earliest


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A timetable, not yet judged.

    Attributes:
        starts, ends, worked: of each task; `worked` is when its work ends.
        workers: who does each task's work; None where it has none.
    """

    starts: tuple[int, ...]
    ends: tuple[int, ...]
    worked: tuple[int, ...]
    workers: tuple[int | None, ...]

    @property
    def makespan(self) -> int:
        """The last end."""
        return max(self.ends, default=0)


class Taken:
    """Who and what is taken when, as tasks are placed one after another."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._busy: list[list[Span]] = [[] for _ in project.workers]
        self._times = [0]
        self._used = [[0] * len(project.capacities)]

    def place(self, number: int, after: int) -> tuple[int, int, int, int | None]:
        """Begin a task as early as it can from a moment on, and take what it needs.

        Returns:
            Its start, its end, the end of its work, and who does it.

        Raises:
            Impossible: the windows end before.
        """
        best = self.find(number, after)
        self.take(number, *best)
        return best

    def take(self, number: int, start: int, end: int, worked: int, who: int | None) -> None:
        """Take what a task needs that is placed already."""
        if who is not None:
            insort(self._busy[who], (start, worked))
        if self._uses(number) and end > start:
            self._take(start, end, self._project.tasks[number].demands)

    def find(self, number: int, after: int) -> tuple[int, int, int, int | None]:
        """As `place`, taking nothing."""
        task = self._project.tasks[number]
        rest = task.duration - task.work
        while True:
            if task.work:
                found = [
                    (span[1], span[0], who)
                    for who in task.who
                    if (span := earliest(self._project.workers[who], after, task.work, self._busy[who]))
                ]
                if not found:
                    raise Impossible("windows", (number,))
                worked, start, who = min(found)
                best: tuple[int, int, int, int | None] = (start, worked + rest, worked, who)
            else:
                best = (after, after + task.duration, after, None)
            later = self._clash(best[0], best[1], task.demands) if self._uses(number) else None
            if later is None:
                return best
            # Whoever takes it, it can't begin before: the clash covers every moment from `after` to there, or
            # a worker who would end later might begin sooner, which is only a chance missed.
            after = max(after + 1, later)

    def _uses(self, number: int) -> bool:
        """Whether it takes a resource for a while; what takes no time is in nobody's way."""
        task = self._project.tasks[number]
        return task.duration > 0 and any(task.demands)

    def _clash(self, start: int, end: int, demands: tuple[int, ...]) -> int | None:
        """The end of the last piece of [start, end) in which a resource would not do, or None."""
        capacities = self._project.capacities
        first = bisect_right(self._times, start) - 1
        last = bisect_right(self._times, end - 1) - 1
        for at in range(last, first - 1, -1):
            for used, need, most in zip(self._used[at], demands, capacities, strict=True):
                if used + need > most and need:
                    return self._times[at + 1]
        return None

    def _take(self, start: int, end: int, demands: tuple[int, ...]) -> None:
        for moment in (start, end):
            at = bisect_right(self._times, moment) - 1
            if self._times[at] != moment:
                self._times.insert(at + 1, moment)
                self._used.insert(at + 1, list(self._used[at]))
        for at in range(bisect_right(self._times, start) - 1, bisect_right(self._times, end) - 1):
            self._used[at] = [used + need for used, need in zip(self._used[at], demands, strict=True)]


def serial(project: Project, ranks: Sequence[float]) -> Draft:
    """Place the tasks one after another, lowest rank first among those that wait for nothing else.

    Raises:
        Impossible: the windows end before.
    """
    tasks = project.tasks
    followers = followers_of(project)
    waits = [len(set(task.after)) for task in tasks]
    ready = [(ranks[n], n) for n, count in enumerate(waits) if count == 0]
    heapq.heapify(ready)
    taken = Taken(project)
    starts, ends, worked = [0] * len(tasks), [0] * len(tasks), [0] * len(tasks)
    workers: list[int | None] = [None] * len(tasks)
    while ready:
        _, number = heapq.heappop(ready)
        after = max([tasks[number].release, *(ends[before] for before in tasks[number].after)])
        starts[number], ends[number], worked[number], workers[number] = taken.place(number, after)
        for later in followers[number]:
            waits[later] -= 1
            if waits[later] == 0:
                heapq.heappush(ready, (ranks[later], later))
    return Draft(starts=tuple(starts), ends=tuple(ends), worked=tuple(worked), workers=tuple(workers))


def quick(
    project: Project,
    reached: Reach,
    *,
    enough: int,
    passes: int = 400,
    seed: int = 0,
    going: Callable[[], bool] = lambda: True,
    keep: Callable[[Draft], object] = lambda draft: None,
) -> Draft:
    """The best of several quick timetables.

    Args:
        project: what is to be done.
        reached: its critical path.
        enough: a makespan that can't be beaten: reaching it ends the search.
        passes: how many random orders are tried after the fixed rules, most of them near the best so far.
        seed: of the random orders.
        going: asked before each pass whether there is time; the first is made in any case.
        keep: given each that is the best so far.

    Raises:
        Impossible: the windows end before, whatever comes first.
    """
    rules = _rules(project, reached)
    best = _improved(project, serial(project, rules[0]))
    keep(best)
    chance = random.Random(seed)
    spread = 0.15 * max(1, reached.makespan)
    for number in range(1, len(rules) + passes):
        if best.makespan <= enough or not going():
            break
        if number < len(rules):
            ranks: Sequence[float] = rules[number]
        elif number % 2 == 0:
            ranks = [rank + chance.gauss(0.0, spread) for rank in rules[0]]
        else:  # near the best so far; how near is drawn too
            near = chance.choice((0.02, 0.05, 0.1)) * best.makespan
            ranks = [start + chance.gauss(0.0, near) for start in best.starts]
        try:
            made = _improved(project, serial(project, ranks))
        except Impossible:
            continue  # an unlucky order runs over the last window; another may not
        if made.makespan < best.makespan:
            best = made
            keep(best)
    return best


def _rules(project: Project, reached: Reach) -> list[list[float]]:
    """Latest finish, latest start, most that follows, most work behind, as given."""
    followers = followers_of(project)
    span = reached.makespan
    late = [float(span - tail) for tail in reached.tails]
    behind: list[set[int]] = [set() for _ in project.tasks]
    for number in reversed(in_order(project)):
        for later in followers[number]:
            behind[number] |= behind[later] | {later}
    return [
        late,
        [end - task.duration for end, task in zip(late, project.tasks, strict=True)],
        [-float(len(each)) for each in behind],
        [-float(sum(project.tasks[n].duration for n in followers[k])) for k in range(len(behind))],
        [float(number) for number in range(len(behind))],
    ]


def _improved(project: Project, draft: Draft) -> Draft:
    """Push everything to the right from the last end, then to the left, as long as that helps.

    Workers' windows have no mirror image in which work comes first, so projects with work stay as they are.
    """
    if any(task.work for task in project.tasks):
        return draft
    mirror = replace(
        project,
        tasks=tuple(
            replace(task, after=later, release=0)
            for task, later in zip(project.tasks, followers_of(project), strict=True)
        ),
    )
    while True:
        back = serial(mirror, [-end for end in draft.ends])
        pushed = [draft.makespan - end for end in back.ends]
        made = serial(project, pushed)
        if made.makespan >= draft.makespan:
            return draft
        draft = made
