"""When is each step of an order of work done, by whom, and when does the lab stand?

Steps begin in any order that `after` allows: soonest end first, then fewest fragile hours, then nothing waits
without gain. Times are most likely ones, rounded up to whole minutes, on the wall clock (no zones).
A step's hands come first, in one person's hours; what goes on by itself needs nobody and no hours.
Work that fits a person's shortest window is done in one go; longer work goes on in their next window.
From a freeze to the last client that is told, one person stays with it in one go (`jobs.py`).

Fragile hours are counted of each service and summed: the time during which it serves and has a single point of
failure that the finished lab has not. What the finished lab has too is no reason to hurry or to wait.
Which moments are fragile is known for the order as listed; for steps done in another order, each service's stretch
runs from the end of the same step to the end of the same step.
"""

from __future__ import annotations

import datetime
import math
from collections import Counter
from collections.abc import Mapping, Sequence

from falsework.analyses.raising.evenings import DAY_MIN, minutes_until, worker_of
from falsework.analyses.raising.jobs import Jobs, jobs, minutes_of
from falsework.analyses.raising.refusals import MOST_YEARS, nobody, refusal, too_late
from falsework.analyses.raising.result import Fragile, Plan, Schedule, Slot
from falsework.engines.scheduling.solve import solve
from falsework.engines.scheduling.tasks import (
    Impossible,
    Progress,
    Project,
    Stretch,
    Timetable,
)
from falsework.engines.scheduling.windows import pieces
from falsework.errors import LabError, QuestionError, listed, nearest
from falsework.model.lab import Lab
from falsework.model.people import Person

_MOST_DAYS = MOST_YEARS * 366


def schedule(
    lab: Lab,
    plan: Plan,
    fragile: Sequence[Fragile],
    *,
    begins: datetime.date,
    hands: Sequence[str] = (),
    seconds: float = 20.0,
    workers: int = 2,
    progress: Progress | None = None,
) -> Schedule:
    """The calendar of an order of work.

    Args:
        lab: whose people, hours and deliveries count; without people, one unnamed pair of hands works at all hours.
        plan: the order of work.
        fragile: what is fragile at each of its moments; may be empty if nobody asks.
        begins: not before; on the wall clock, without a zone; a day stands for its midnight.
        hands: the only people who take part; everybody if empty.
        seconds: about how long the search may take.
        workers: its threads.
        progress: told how the search goes; its figures are minutes.

    Returns:
        A slot for each step, in their order.

    Raises:
        QuestionError: `begins` has a zone, or nobody is called so.
        LabError: nobody can do a step, its people never work, or it is delivered too late for any calendar.
        LimitError: the work does not fit into ten years.
    """
    begin = _whole_minute(begins)
    people = _people(lab, hands)
    able = _able(lab, plan, people, begin)
    made = jobs(plan, able, [worker_of(person, begin, 1).whole for person in people], begin)
    shorter = _on_jobs(made, stretches(plan, fragile))
    days = 56
    while True:
        project = Project(
            tasks=made.tasks,
            workers=tuple(worker_of(person, begin, days) for person in people),
            stretches=shorter,
        )
        try:
            table = solve(project, seconds=seconds, workers=workers, progress=progress)
        except Impossible as error:
            if error.why != "windows" or days >= _MOST_DAYS:
                raise refusal(plan, people, made, error, project.workers) from error
            days = min(4 * days, _MOST_DAYS)
        else:
            return _schedule(plan, people, made, project, table, begin)


def stretches(plan: Plan, fragile: Sequence[Fragile]) -> tuple[Stretch, ...]:
    """From which step's end to which step's end how many services are fragile, in the order as listed."""
    if not fragile:
        return ()
    number_of = {step.number: index for index, step in enumerate(plan.steps)}
    lasting = _singles(fragile[-1])
    counts: Counter[tuple[int | None, int]] = Counter()
    since: dict[str, int | None] = {}
    for moment in fragile:
        now = {service for part, service in _singles(moment) - lasting}
        at = number_of.get(moment.step)
        for service in sorted(now - since.keys()):
            since[service] = at
        for service in sorted(since.keys() - now):
            begun = since.pop(service)
            if at is not None:
                counts[begun, at] += 1
    return tuple(
        Stretch(first=first, last=last, weight=count)
        for (first, last), count in sorted(
            counts.items(), key=lambda each: (each[0][1], -1 if each[0][0] is None else each[0][0])
        )
    )


def _singles(moment: Fragile) -> set[tuple[str, str]]:
    return {
        (single.part, service)
        for single in moment.singles
        for service in single.services
        if service in moment.serving
    }


def _people(lab: Lab, hands: Sequence[str]) -> tuple[Person | None, ...]:
    known = {str(person.id): person for person in lab.of(Person)}
    for name in hands:
        if name not in known:
            close = nearest(name, known)
            mend = f"Did you mean {close}?" if close else f"Known: {listed(known) or 'nobody'}."
            raise QuestionError(f"nobody is called '{name}'", mend)
    chosen = tuple(known[name] for name in dict.fromkeys(hands)) or tuple(known.values())
    return chosen or (None,)


def _able(
    lab: Lab, plan: Plan, people: Sequence[Person | None], begins: datetime.datetime
) -> tuple[tuple[int, ...], ...]:
    """For each step who may do it.

    Raises:
        LabError: nobody, or it is delivered too late; all such steps at once.
    """
    seats = {str(person.id): seat for seat, person in enumerate(people) if person is not None}
    able, faults = [], []
    for step in plan.steps:
        who = tuple(sorted(seats[name] for name in step.by if name in seats))
        able.append(who if step.by else tuple(range(len(people))))
        if minutes_of(step)[1] and not able[-1]:
            faults.append(nobody(lab, step, people))
        if step.not_before is not None and minutes_until(begins, step.not_before) > _MOST_DAYS * DAY_MIN:
            faults.append(too_late(lab, step))
    if faults:
        raise LabError(faults)
    return tuple(able)


def _on_jobs(made: Jobs, found: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches between steps as stretches between the jobs that hold them."""
    return tuple(
        Stretch(
            first=None if each.first is None else made.job_of[each.first],
            last=made.job_of[each.last],
            weight=each.weight,
            more=(0 if each.first is None else made.before[each.first]) - made.before[each.last],
        )
        for each in found
    )


def _schedule(
    plan: Plan,
    people: Sequence[Person | None],
    made: Jobs,
    project: Project,
    table: Timetable,
    begins: datetime.datetime,
) -> Schedule:
    def at(minutes: int) -> datetime.datetime:
        return begins + datetime.timedelta(minutes=minutes)

    slots = []
    for index, step in enumerate(plan.steps):
        job = made.job_of[index]
        duration, work = minutes_of(step)
        end = table.ends[job] - made.before[index]
        # A step alone may be split over windows; those in one go follow each other within one.
        start = table.starts[job] if made.steps[job] == (index,) else end - duration
        worked = table.worked[job] if made.steps[job] == (index,) else start + work
        seat = table.workers[job] if work else None
        person = None if seat is None else people[seat]
        spans = () if seat is None else pieces(project.workers[seat], start, worked)
        slots.append(
            Slot(
                step=step.number,
                begins=at(start),
                ends=at(end),
                work=tuple((at(opens), at(closes)) for opens, closes in spans),
                who="" if person is None else str(person.id),
            )
        )
    critical = [index for job in _critical(project, table) for index in made.steps[job]]
    return Schedule(
        slots=tuple(slots),
        begins=at(min(table.starts, default=0)),
        ends=at(table.makespan),
        earliest_end=at(table.bound),
        fragile_h=table.stretch / 60,
        least_fragile_h=table.least_stretch / 60,
        critical=tuple(plan.steps[index].number for index in critical),
        spread_s=math.sqrt(sum(plan.steps[index].takes.deviation ** 2 for index in critical)),
    )


def _critical(project: Project, table: Timetable) -> tuple[int, ...]:
    """The chain of tasks to the last end, each waiting for the one before it: for what it makes, or for the hands."""
    if not table.ends:
        return ()
    by_worker: dict[int, list[int]] = {}
    for index, worker in enumerate(table.workers):
        if worker is not None:
            by_worker.setdefault(worker, []).append(index)
    chain = [max(range(len(table.ends)), key=lambda index: (table.ends[index], -index))]
    while True:
        index = chain[-1]
        ready = _waits(project, table, by_worker, index)
        before = max(ready, key=lambda other: (ready[other], -other), default=None)
        if before is None or ready[before] <= project.tasks[index].release:
            return tuple(reversed(chain))
        chain.append(before)


def _waits(
    project: Project, table: Timetable, by_worker: Mapping[int, Sequence[int]], index: int
) -> dict[int, int]:
    """When each that a task waits for was done: tasks before it, and the work that its worker did before."""
    ready = {before: table.ends[before] for before in project.tasks[index].after}
    worker = table.workers[index]
    for other in by_worker[worker] if worker is not None else ():
        if (
            other != index
            and table.worked[other] <= table.starts[index]
            and table.starts[other] < table.starts[index]
        ):
            ready.setdefault(other, table.worked[other])
    return ready


def _whole_minute(moment: datetime.date) -> datetime.datetime:
    if not isinstance(moment, datetime.datetime):
        return datetime.datetime.combine(moment, datetime.time.min)
    if moment.tzinfo is not None:
        raise QuestionError(
            f"the work shall begin at {moment.isoformat()}, which names a time zone",
            "Give the time on the wall clock, without a zone.",
        )
    whole = moment.replace(second=0, microsecond=0)
    return whole if whole == moment else whole + datetime.timedelta(minutes=1)
