"""What does an order of work say in a few sentences, and how long is its fragile stretch?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from falsework.analyses.raising.result import Fragile, Plan, Schedule, Single
from falsework.errors import counted, listed
from falsework.units import format_time

SHOWN = 6
"""How many names a sentence gives before it counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Steps one after the other that leave something more fragile than it will be in the finished lab.

    Attributes:
        first, last: numbers of the first and the last; the same for one.
        seconds: from the end of the first until the end of the step after the last, which ends it: by the
            calendar where there is one, else most likely times one after the other.
        stops: what stops something alone meanwhile and will not in the end, those that stop most first.
    """

    first: int
    last: int
    seconds: float
    stops: tuple[str, ...]


def passing(fragile: Sequence[Fragile]) -> Mapping[int, tuple[Single, ...]]:
    """For each step, the single points of failure that the finished lab does not have, worst first.

    A part that stops more now than it will in the end is one for what it stops more.
    """
    last = max(fragile, key=lambda each: each.step, default=None)
    final = {each.part: frozenset(each.services) for each in last.singles} if last is not None else {}
    found: dict[int, tuple[Single, ...]] = {}
    for each in fragile:
        more = [
            Single(part=single.part, services=services)
            for single in each.singles
            if (
                services := tuple(
                    name for name in single.services if name not in final.get(single.part, frozenset())
                )
            )
        ]
        found[each.step] = tuple(sorted(more, key=lambda single: -len(single.services)))
    return found


def stretch(plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None = None) -> Stretch | None:
    """The longest fragile stretch, in time; the first of equals; None where there is none.

    Args:
        plan: the order of work.
        fragile: how the lab is after each step, by `Fragile.step`.
        schedule: its calendar, if there is one.
    """
    more, lasts = passing(fragile), lasting(plan, schedule)
    runs: list[list[int]] = []
    for number in lasts:
        if not more.get(number):
            runs.append([])
        elif runs and runs[-1]:
            runs[-1].append(number)
        else:
            runs.append([number])
    found = []
    for run in runs:
        if run:
            stops: dict[str, int] = {}
            for single in (single for number in run for single in more[number]):
                stops[single.part] = max(stops.get(single.part, 0), len(single.services))
            names = tuple(sorted(stops, key=lambda name: -stops[name]))
            seconds = sum(lasts[number] for number in run)
            found.append(Stretch(first=run[0], last=run[-1], seconds=seconds, stops=names))
    return max(found, key=lambda each: each.seconds, default=None)


def lasting(plan: Plan, schedule: Schedule | None = None) -> Mapping[int, float]:
    """How long the lab stays as each step leaves it, until the next is done, seconds; by step, 0 for the beginning.

    By the calendar where there is one, else as if steps were done one after the other in their most likely times.
    The last lasts for 0 s: it is no moment on the way.
    """
    if schedule is not None and schedule.slots:
        ends = {slot.step: slot.ends for slot in schedule.slots}
        at = [schedule.begins]
        for step in plan.steps:
            at.append(max(at[-1], ends[step.number]))
        takes = [(late - early).total_seconds() for early, late in pairwise(at)]
    else:
        takes = [step.takes.likely for step in plan.steps]
    return dict(zip([0, *(step.number for step in plan.steps)], [*takes, 0.0], strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """What hangs on one part on the way and will not in the end.

    Attributes:
        part: a part or a stand-in.
        services: what it stops alone at one step or another, in the order in which that comes.
        steps: after which steps, in order.
        seconds: how long in all.
    """

    part: str
    services: tuple[str, ...]
    steps: tuple[int, ...]
    seconds: float


def hanging(plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None = None) -> tuple[Hanging, ...]:
    """What is fragile on the way, part by part, the longest first."""
    lasts = lasting(plan, schedule)
    services: dict[str, dict[str, None]] = {}
    steps: dict[str, list[int]] = {}
    for number, singles in sorted(passing(fragile).items()):
        for single in singles:
            services.setdefault(single.part, {}).update(dict.fromkeys(single.services))
            steps.setdefault(single.part, []).append(number)
    found = [
        Hanging(
            part=part,
            services=tuple(services[part]),
            steps=tuple(numbers),
            seconds=sum(lasts.get(number, 0.0) for number in numbers),
        )
        for part, numbers in steps.items()
    ]
    return tuple(sorted(found, key=lambda each: (-each.seconds, -len(each.services))))


def hands_s(plan: Plan) -> float:
    """Somebody's work in all, seconds."""
    return sum(step.hands_s for step in plan.steps)


def chain_s(plan: Plan) -> float:
    """The longest chain of steps that wait for each other, most likely times, seconds: no hands make it shorter."""
    ends: dict[int, float] = {}
    for step in plan.steps:
        ends[step.number] = step.takes.likely + max((ends.get(each, 0.0) for each in step.after), default=0.0)
    return max(ends.values(), default=0.0)


def headline(plan: Plan, schedule: Schedule | None = None) -> str:
    """The short answer, a sentence without its full stop."""
    if plan.stuck:
        return f"no order of work raises {listed(plan.stuck, SHOWN)}"
    if not plan.steps:
        return "everything stands already: there is nothing to raise"
    steps = counted(len(plan.steps), "step")
    says = f"{steps} {'raises' if len(plan.steps) == 1 else 'raise'} the whole lab"
    if plan.stand_ins:
        says += f" with {counted(len(plan.stand_ins), 'stand-in')}, {listed(plan.stand_ins, SHOWN)}"
    else:
        says += " without a stand-in"
    return f"{says}; {_work(hands_s(plan))} of work" + (
        f", done {moment(schedule)}" if schedule is not None and schedule.slots else ""
    )


def told(plan: Plan, fragile: Sequence[Fragile] = (), schedule: Schedule | None = None) -> tuple[str, ...]:
    """What else belongs to the short answer, sentences without their full stops."""
    found: list[str] = []
    if plan.stuck:
        if plan.circle:
            found.append(f"each waits for the next: {' -> '.join(plan.circle)}")
        if plan.would_do:
            found.append(f"one more stand-in would do, for any one of {listed(plan.would_do, SHOWN)}")
        else:
            found.append("no single stand-in more would do")
        return tuple(found)
    if plan.stand_ins:
        if plan.proven:
            found.append(
                f"no set of stand-ins that you accept costs less than this one, {format_time(plan.cost_s)}"
            )
        else:
            found.append(
                f"the stand-ins cost {format_time(plan.cost_s)}; that none cost less than {format_time(plan.bound_s)} is proven"
            )
    if schedule is not None and schedule.slots:
        found.append(_calendar(schedule))
    elif plan.steps:
        found.append(
            f"the longest chain of steps that wait for each other takes {format_time(chain_s(plan))}"
        )
    if fragile and plan.steps:
        worst = stretch(plan, fragile, schedule)
        found.append(
            _stretch(worst) if worst else "at no step is anything more fragile than in the finished lab"
        )
    if any(step.assumed for step in plan.steps):
        count = sum(1 for step in plan.steps if step.assumed)
        found.append(f"how long {counted(count, 'step')} {'takes' if count == 1 else 'take'} is assumed")
    return tuple(found)


def moment(schedule: Schedule) -> str:
    """When it is done, in words: `on Sat 19 Dec 2026 at 14:30`."""
    return f"on {schedule.ends:%a} {schedule.ends.day} {schedule.ends:%b %Y} at {schedule.ends:%H:%M}"


def _calendar(schedule: Schedule) -> str:
    begins = f"{schedule.begins:%a} {schedule.begins.day} {schedule.begins:%b %Y}"
    sure = (
        "no calendar ends before"
        if schedule.earliest_end >= schedule.ends
        else f"no calendar ends before {schedule.earliest_end:%a} {schedule.earliest_end.day} "
        f"{schedule.earliest_end:%b at %H:%M}"
    )
    says = f"it begins on {begins}; {sure}"
    if schedule.spread_s > 0:
        says += f"; take or give {format_time(schedule.spread_s)} of doing"
    return says


def _stretch(worst: Stretch) -> str:
    where = (
        f"from step {worst.first} to step {worst.last}"
        if worst.first != worst.last
        else f"after step {worst.first}"
    )
    return (
        f"the longest fragile stretch is {where}, {format_time(worst.seconds)}: {listed(worst.stops, 3)} alone "
        f"{'stops' if len(worst.stops) == 1 else 'each stop'} what will not hang on {'it' if len(worst.stops) == 1 else 'them'} in the end"
    )


def _work(seconds: float) -> str:
    """Work in hours, however many: a day of work is not a day."""
    return f"{round(seconds / 3600):,} h" if seconds >= 36_000 else format_time(seconds)
