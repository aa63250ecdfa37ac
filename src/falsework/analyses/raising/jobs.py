"""Which pieces of work does an order of work come down to, and which steps must be done in one go?

While state is frozen the service is out: from the freeze to the last client that is told the new place. An outage
estimate counts those steps one right after another, so they are one job, of one person who stays with it, copying
included, in one of their windows. Only where no window of anybody is long enough are they steps like others.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

from falsework.analyses.raising.evenings import MINUTE_S, minutes_until
from falsework.analyses.raising.result import Doing, Plan, Step
from falsework.engines.scheduling.tasks import Impossible, Project, Task, in_order

_IN_ONE_GO = (Doing.COPY, Doing.CHECK, Doing.HAND_OVER, Doing.REPOINT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Jobs:
    """The steps as tasks.

    Attributes:
        tasks: a task for each step, or for several that are done in one go.
        steps: of each task, the indices of its steps, in the order in which they are done.
        job_of: for each step the index of its task.
        before: for each step how long before the end of its task it ends, minutes.
    """

    tasks: tuple[Task, ...]
    steps: tuple[tuple[int, ...], ...]
    job_of: tuple[int, ...]
    before: tuple[int, ...]


def minutes_of(step: Step) -> tuple[int, int]:
    """How long a step takes, and how much of that is hands; whole minutes, rounded up."""
    work = _minutes(step.hands_s)
    return max(work, _minutes(step.takes.likely)), work


def jobs(
    plan: Plan, able: Sequence[tuple[int, ...]], usual: Sequence[int], begins: datetime.datetime
) -> Jobs:
    """The tasks of an order of work.

    Args:
        plan: the order of work.
        able: for each step, who may do it; empty for nobody.
        usual: of each worker, how long work may be that is done in one go, minutes.
        begins: when the calendar begins.
    """
    groups: list[tuple[int, ...]] = [(index,) for index in range(len(plan.steps))]
    made = _made(plan, groups, able, usual, begins)
    if not _sound(made):
        return made  # the caller will be told of the circle
    for block in blocks(plan):
        if not _seats(plan, block, able, usual):
            continue
        members = set(block)
        joined = sorted([block, *(group for group in groups if not members & set(group))])
        tried = _made(plan, joined, able, usual, begins)
        if _sound(tried):  # else something else has to be done in between
            groups, made = joined, tried
    return made


def blocks(plan: Plan) -> tuple[tuple[int, ...], ...]:
    """For each freeze, the indices of the steps from it to the last client that is told, in order."""
    found = []
    for first, freeze in enumerate(plan.steps):
        if freeze.doing is not Doing.FREEZE:
            continue
        block = [first]
        numbers = {freeze.number}
        for index, step in enumerate(plan.steps):
            if step.of == freeze.of and step.doing in _IN_ONE_GO and numbers & set(step.after):
                block.append(index)
                numbers.add(step.number)
        if len(block) > 1:
            found.append(tuple(block))
    return tuple(found)


def _made(
    plan: Plan,
    groups: Sequence[tuple[int, ...]],
    able: Sequence[tuple[int, ...]],
    usual: Sequence[int],
    begins: datetime.datetime,
) -> Jobs:
    index_of = {step.number: index for index, step in enumerate(plan.steps)}
    job_of = [0] * len(plan.steps)
    for job, group in enumerate(groups):
        for index in group:
            job_of[index] = job
    before = [0] * len(plan.steps)
    tasks = []
    for job, group in enumerate(groups):
        waits = {job_of[index_of[number]] for index in group for number in plan.steps[index].after}
        if len(group) > 1:
            waits.discard(job)
        behind = 0
        for index in reversed(group):
            before[index] = behind
            behind += minutes_of(plan.steps[index])[0]
        work = _work(plan, group)
        tasks.append(
            Task(
                duration=behind,
                after=tuple(sorted(waits)),
                work=work,
                who=_seats(plan, group, able, usual) if work else (),
                release=max(_release(plan.steps[index], begins) for index in group),
            )
        )
    return Jobs(tasks=tuple(tasks), steps=tuple(groups), job_of=tuple(job_of), before=tuple(before))


def _work(plan: Plan, group: tuple[int, ...]) -> int:
    """Somebody stays from the first step of a group until the last hands of it."""
    work = past = 0
    for index in group:
        duration, hands = minutes_of(plan.steps[index])
        if hands:
            work = past + hands
        past += duration
    return work


def _seats(
    plan: Plan, group: tuple[int, ...], able: Sequence[tuple[int, ...]], usual: Sequence[int]
) -> tuple[int, ...]:
    """Who may do all of a group, and has a window for it if it is more than one step."""
    every = set(range(len(usual)))
    for index in group:
        if minutes_of(plan.steps[index])[1]:
            every &= set(able[index])
    return tuple(sorted(who for who in every if len(group) == 1 or _work(plan, group) <= usual[who]))


def _release(step: Step, begins: datetime.datetime) -> int:
    return 0 if step.not_before is None else max(0, minutes_until(begins, step.not_before))


def _sound(made: Jobs) -> bool:
    try:
        in_order(Project(tasks=made.tasks))
    except Impossible:
        return False
    return True


def _minutes(seconds: float) -> int:
    return math.ceil(seconds / MINUTE_S - 1e-9)
