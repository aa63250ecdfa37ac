"""What is a project: tasks that wait for each other, for shared resources, for people and for days?

Time is counted in whole units from 0, the begin of the project.
A task may begin with a part that occupies one of several workers, in the worker's windows only; then it goes on by
itself. Work that fits into the worker's usual window is done in one go; longer work stops at the end of a window
and goes on at the begin of the same worker's next one, who does nothing else in between.

Source:
    The resource-constrained project: A. Pritsker, L. Watters, P. Wolfe (1969), Multiproject scheduling with limited
    resources: a zero-one programming approach, Management Science 16(1). Workers with windows are our own addition.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

Progress = Callable[[str, int, int], None]
"""Told what is going on, the best so far and what is proved so far."""

Span = tuple[int, int]
"""From and to, in units of time; the end is not part of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Something to be done once.

    Attributes:
        duration: from its begin to its end if nothing stops it, units of time; 0 is a milestone.
        after: indices of the tasks that must have ended before.
        demands: of each resource of the project, as long as it runs; empty for none.
        work: how much of the duration is somebody's work, at its begin; at most the duration.
        who: indices of the workers who may do that work; one of them does all of it.
        release: nothing begins before, units of time.
    """

    duration: int
    after: tuple[int, ...] = ()
    demands: tuple[int, ...] = ()
    work: int = 0
    who: tuple[int, ...] = ()
    release: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Worker:
    """Someone who does one piece of work at a time.

    Attributes:
        windows: when they work: in order, apart, none empty.
        whole: work up to this long is done within one window; longer work goes on in the next.
    """

    windows: tuple[Span, ...]
    whole: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A time that should be short: from the end of one task to the end of another; 0 if that comes first.

    Attributes:
        first: index of the task whose end begins it; None for the begin of the project.
        last: index of the task whose end ends it.
        weight: what each unit of it counts, positive.
        more: so much longer than from end to end, or shorter if negative: where it begins or ends inside of a task.
    """

    first: int | None
    last: int
    weight: int = 1
    more: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """All that is to be done, and with what.

    Attributes:
        tasks: in any order.
        capacities: how much of each resource there is at any time.
        workers: in any order.
        stretches: what should be short, once the whole is as short as it can be.
    """

    tasks: tuple[Task, ...]
    capacities: tuple[int, ...] = ()
    workers: tuple[Worker, ...] = ()
    stretches: tuple[Stretch, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """When each task is done, and how good that is.

    Attributes:
        starts, ends: of each task, units of time.
        worked: when each task's work ends; its start where it has none.
        workers: who does each task's work; None where it has none.
        makespan: the last end.
        bound: proved: no timetable ends before.
        stretch: the weighted sum of the stretches.
        least_stretch: proved: no timetable with this makespan has less.
    """

    starts: tuple[int, ...]
    ends: tuple[int, ...]
    worked: tuple[int, ...]
    workers: tuple[int | None, ...]
    makespan: int
    bound: int
    stretch: int = 0
    least_stretch: int = 0

    @property
    def proven(self) -> bool:
        """Whether no timetable ends earlier."""
        return self.bound >= self.makespan


class Impossible(Exception):
    """A project that cannot be done; `tasks` are those in the way, as few as were found.

    Attributes:
        why: "circle" (they wait for each other), "capacity" (more is demanded than there is), "nobody" (nobody may do
            it), or "windows" (the windows end before it is done).
        tasks: their indices; for a circle in order, each waiting for the one before it.
    """

    def __init__(self, why: str, tasks: tuple[int, ...]) -> None:
        self.why, self.tasks = why, tasks
        super().__init__(f"{why}: {', '.join(map(str, tasks))}")


def in_order(project: Project) -> tuple[int, ...]:
    """The tasks, each after those that it waits for, and otherwise as given.

    Raises:
        Impossible: some wait for each other.
    """
    waits = [len(set(task.after)) for task in project.tasks]
    followers = followers_of(project)
    ready = [number for number, count in enumerate(waits) if count == 0]
    order = []
    for number in ready:
        order.append(number)
        for later in followers[number]:
            waits[later] -= 1
            if waits[later] == 0:
                ready.append(later)
    if len(order) < len(waits):
        raise Impossible("circle", _circle(project, {n for n, count in enumerate(waits) if count > 0}))
    return tuple(order)


def followers_of(project: Project) -> tuple[tuple[int, ...], ...]:
    """For each task those that wait for it."""
    followers: list[list[int]] = [[] for _ in project.tasks]
    for number, task in enumerate(project.tasks):
        for before in sorted(set(task.after)):
            followers[before].append(number)
    return tuple(map(tuple, followers))


def weighted_stretch(project: Project, ends: tuple[int, ...] | list[int]) -> int:
    """The weighted sum of a project's stretches, given when each task ends."""
    return sum(
        each.weight * max(0, ends[each.last] + each.more - (0 if each.first is None else ends[each.first]))
        for each in project.stretches
    )


def _circle(project: Project, stuck: set[int]) -> tuple[int, ...]:
    """Walk back from one that waits until a task is met again; each waiting task waits for a waiting one."""
    walked: list[int] = []
    number = min(stuck)
    while number not in walked:
        walked.append(number)
        number = min(before for before in project.tasks[number].after if before in stuck)
    return tuple(reversed(walked[walked.index(number) :]))
