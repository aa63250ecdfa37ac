"""Which pieces of work does a loss make, and in which order can they be done?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import nsmallest
from math import inf

from falsework import units
from falsework.analyses.rebuild.destroyed import Destroying, Ruin, in_lab_order
from falsework.analyses.rebuild.mending import Job, jobs
from falsework.analyses.rebuild.regrowing import Regrowth, data_places
from falsework.analyses.rebuild.result import Task, Work
from falsework.analyses.rebuild.timing import Hours, Span, Timetable, standing_start, timetable
from falsework.engines.founded.growing import Growing
from falsework.errors import listed
from falsework.model.effort import MINUTE, effort
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Data, Pool, Service
from falsework.support.copying import Copier, Copying
from falsework.units import Dimension, ThreePoint

RESTORE_HANDS_S = 15 * MINUTE
"""Somebody's work on one restore: 15 minutes, assumed."""
RETIRE_HANDS_S = 10 * MINUTE
"""Somebody's work on taking a stand-in away: 10 minutes, assumed."""
DATA_CAUTION = "Restore beside what is still there, and look at it before anything is written over."
POINTS = ("likely", "low", "high")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Labour:
    """The work on every item.

    Attributes:
        job: by item, what is done; items that come by themselves have none.
        task: by item, what kind of work that is.
        copying: by item, of data that are copied.
    """

    job: Mapping[int, Job]
    task: Mapping[int, Task]
    copying: Mapping[int, Copying]


def labour(
    destroying: Destroying,
    copier: Copier,
    ruin: Ruin,
    growth: Regrowth,
    guessed: frozenset[str],
    stand_ins: Collection[str],
) -> Labour:
    """What has to be done for each item.

    Args:
        destroying: the lab.
        copier: says how fast data move.
        ruin: the loss.
        growth: what is down.
        guessed: things whose time to mend was assumed.
        stand_ins: those that are used.
    """
    lab = destroying.lab
    found: dict[int, Job] = {}
    task: dict[int, Task] = {}
    copying: dict[int, Copying] = {}
    names = [name for name in ruin.destroyed if name in growth.item and name in lab.things]
    for name, job in jobs(destroying, ruin, in_lab_order(destroying, names), guessed).items():
        found[growth.item[name]], task[growth.item[name]] = job, Task.MEND
    for pool in lab.of(Pool):
        if pool.id in growth.item and pool.hosts and set(pool.hosts.ids) <= ruin.destroyed:
            found[growth.item[pool.id]] = _job(pool, f"join the hosts of {pool.id} again")
            task[growth.item[pool.id]] = Task.MEND
    for name in stand_ins:
        stand_in = lab.things[ThingId(name)]
        assert isinstance(stand_in, StandIn)
        covers = listed(stand_in.for_.ids if stand_in.for_ else ())
        found[growth.item[name]] = _job(stand_in, f"set up {name} in place of {covers}")
        task[growth.item[name]] = Task.LEND
    for name, number in growth.restored.items():
        data = lab.things[ThingId(name)]
        assert isinstance(data, Data)
        at = growth.item[name]
        source = data.backed_up[number].to.ids if number >= 0 else ()
        copy = copier.restoring if source else copier.copying
        copying[at] = copy(data, source, data_places(data))
        hands_s = min(RESTORE_HANDS_S, copying[at].seconds) if copying[at].known else RESTORE_HANDS_S
        takes = copying[at].seconds + (0.0 if copying[at].known else hands_s)
        where = f"from its backup in {listed(source)}" if source else "from what you saved"
        found[at] = Job(
            says=f"bring {name} back {where} ({units.format(copying[at].size, Dimension.DATA)})",
            takes=ThreePoint(low=takes, likely=takes, high=takes),
            hands_s=hands_s,
            check=f"open a few of {name} and compare them with what you remember",
            back="what was restored can be wiped and restored again",
            cautions=(DATA_CAUTION,),
            assumed=copying[at].assumed,
        )
        task[at] = Task.RESTORE
    return Labour(job=found, task=task, copying=copying)


def _job(thing: Pool | StandIn, says: str) -> Job:
    whole, said = effort(thing), thing.raising
    return Job(
        says=says,
        takes=whole.takes,
        hands_s=whole.hands_s,
        by=said.by.ids if said and said.by else (),
        command=said.command if said else "",
        check=said.check if said else "",
        back=said.back if said else "",
        assumed=whole.assumed,
    )


def timetables(
    destroying: Destroying,
    growth: Regrowth,
    done: Labour,
    hours: Hours,
    *,
    from_s: float,
    noticed_s: float,
    never: Collection[int],
) -> tuple[Timetable, ...]:
    """Most likely, least and most: three timetables of the same work.

    Args:
        destroying: the lab.
        growth: what is down.
        done: the work on it.
        hours: of the hands.
        from_s: when work begins.
        noticed_s: when a spare is ordered.
        never: items that are not begun.
    """
    things = destroying.standing.support.things
    spans = [Span()] * len(growth.system.names)
    for name, at in growth.item.items():
        if at not in done.job and name in things:
            spans[at] = Span(takes_s=things[name].wakes_s or things[name].returns_s or 0.0)
    starts: dict[frozenset[int], Growing] = {}
    found = []
    for point in POINTS:
        for at, job in done.job.items():
            takes: float = getattr(job.takes, point)
            waits = noticed_s + job.waits_s if job.waits_s else 0.0
            spans[at] = Span(takes_s=takes, hands_s=min(job.hands_s, takes), waits_s=waits)
        work = frozenset(at for at in done.job if not spans[at].nothing)
        if work not in starts:
            starts[work] = standing_start(growth.bare, spans, never)
        found.append(timetable(starts[work], spans, hours, from_s=from_s, never=never))
    return tuple(found)


def works(
    destroying: Destroying,
    ruin: Ruin,
    growth: Regrowth,
    done: Labour,
    times: Timetable,
    stand_ins: Sequence[str],
) -> tuple[Work, ...]:
    """Every piece of work that can be done, in order of its begin.

    Services that only start again are pieces of work without hands; copies of one service that are made one
    after the other are one piece.
    """
    lab = destroying.lab
    items = [at for at, job in done.job.items() if job.says and times.begins_s[at] < inf]
    items += [
        growth.item[service.id]
        for name in growth.item
        if isinstance(service := lab.things.get(ThingId(name)), Service)
        and times.serves_s[growth.item[service.id]] < inf
        and not any(copy.id in ruin.destroyed for copy in destroying.copies_of.get(service.id, ()))
    ]
    # A service that starts is done once it serves; all else is ordered by its begin.
    items.sort(key=lambda at: (times.begins_s[at] if at in done.job else times.serves_s[at], at))
    merged: list[list[int]] = []
    for at in items:
        if merged and _together(destroying, growth, merged[-1][-1], at):
            merged[-1].append(at)
        else:
            merged.append([at])
    number = {at: place for place, some in enumerate(merged, start=1) for at in some}
    found = [_work(destroying, growth, done, times, some, number[some[0]]) for some in merged]
    found = _ordered(growth, times, merged, number, found)
    return tuple(_with_retired(destroying, growth, times, stand_ins, found))


def _together(destroying: Destroying, growth: Regrowth, one: int, other: int) -> bool:
    first, second = (destroying.lab.things.get(ThingId(growth.system.names[at])) for at in (one, other))
    return (
        isinstance(first, Copy)
        and isinstance(second, Copy)
        and (first.service, first.pool) == (second.service, second.pool)
    )


def _work(
    destroying: Destroying,
    growth: Regrowth,
    done: Labour,
    times: Timetable,
    some: Sequence[int],
    number: int,
) -> Work:
    names = tuple(growth.system.names[at] for at in some)
    if some[0] not in done.job:
        at = times.serves_s[some[0]]
        returns = destroying.standing.support.things[names[0]].returns_s or 0.0
        return Work(
            number=number,
            task=Task.START,
            things=names,
            says=f"{names[0]} starts again by itself",
            takes=ThreePoint(low=returns, likely=returns, high=returns),
            begins_s=at,
            ends_s=at,
        )
    each = [done.job[at] for at in some]
    first = each[0]
    says = first.says
    if len(some) > 1:
        copies = [destroying.lab.things[ThingId(name)] for name in names]
        places = dict.fromkeys(copy.pool or copy.host for copy in copies if isinstance(copy, Copy))
        service = copies[0]
        assert isinstance(service, Copy)
        says = f"install {service.service} again on {listed(places)}"
    copying = done.copying.get(some[0])
    return Work(
        number=number,
        task=done.task[some[0]],
        things=names,
        says=says,
        takes=ThreePoint(
            low=sum(job.takes.low for job in each),
            likely=sum(job.takes.likely for job in each),
            high=sum(job.takes.high for job in each),
        ),
        hands_s=sum(job.hands_s for job in each),
        waits_s=max(job.waits_s for job in each),
        begins_s=min(times.begins_s[at] for at in some),
        ends_s=max(times.ends_s[at] for at in some),
        moves=copying.size if copying else 0.0,
        slowest=copying.slowest if copying else "",
        by=first.by,
        command=first.command,
        check=first.check,
        back=first.back,
        cautions=first.cautions,
        assumed=any(job.assumed for job in each),
    )


def _ordered(
    growth: Regrowth,
    times: Timetable,
    merged: Sequence[Sequence[int]],
    number: Mapping[int, int],
    found: Sequence[Work],
) -> list[Work]:
    """With what each waits for; what follows from another is left out."""
    behind: dict[int, int] = {0: 0}
    ordered = []
    for work, some in zip(found, merged, strict=True):
        direct = {
            number[at]
            for at in _waited_for(growth, times, some, number, starts=work.task is Task.START)
            if number[at] < work.number
        }
        implied = 0
        for each in direct:
            implied |= behind[each]
        behind[work.number] = implied
        for each in direct:
            behind[work.number] |= 1 << each
        after = tuple(sorted(each for each in direct if not implied >> each & 1))
        ordered.append(replace(work, after=after))
    return ordered


def _waited_for(
    growth: Regrowth, times: Timetable, some: Sequence[int], number: Mapping[int, int], *, starts: bool
) -> set[int]:
    """The items with work that these rest on: those that first met each of their clauses, and what those rest on."""
    system = growth.system
    found: set[int] = set()
    stack = [(at, serve) for at in some for serve in ((False, True) if starts else (False,))]
    seen = set(stack)
    while stack:
        at, serve = stack.pop()
        if at in number and at not in some and not serve:
            found.add(at)
            continue
        for clause in system.serve[at] if serve else system.begin[at]:
            moments = times.ends_s if clause.begun else times.serves_s
            first: Collection[int] = clause.of
            if clause.enough < len(first):
                first = nsmallest(clause.enough, first, key=lambda each: (moments[each], each))
            for each in first:
                for state in ((each, False), *(() if clause.begun else ((each, True),))):
                    if state not in seen:
                        seen.add(state)
                        stack.append(state)
    return found


def _with_retired(
    destroying: Destroying,
    growth: Regrowth,
    times: Timetable,
    stand_ins: Sequence[str],
    found: Sequence[Work],
) -> list[Work]:
    """With the end of each stand-in put where it comes, and all numbered again."""
    lab = destroying.lab
    of = destroying.service_of
    every = list(found)
    for name in stand_ins:
        stand_in = lab.things[ThingId(name)]
        assert isinstance(stand_in, StandIn)
        until = stand_in.until or stand_in.for_
        names = set(until.ids) if until else set()
        at = max((times.serves_s[growth.item[each]] for each in names if each in growth.item), default=0.0)
        at = max(at, times.ends_s[growth.item[name]])
        after = [
            work.number
            for work in found
            if work.ends_s <= at
            and any(each == name or each in names or of.get(each) in names for each in work.things)
        ]
        every.append(
            Work(
                number=0,
                task=Task.RETIRE,
                things=(name,),
                says=f"bring home what {name} has gathered, and take it away",
                takes=ThreePoint(low=RETIRE_HANDS_S, likely=RETIRE_HANDS_S, high=RETIRE_HANDS_S),
                hands_s=RETIRE_HANDS_S,
                after=tuple(after),
                begins_s=at,
                ends_s=at + RETIRE_HANDS_S,
                check=f"everything answers with {name} unplugged",
                assumed=True,
            )
        )
    every.sort(key=lambda work: (work.begins_s, work.number == 0, work.number))
    now = {work.number: place for place, work in enumerate(every, start=1) if work.number}
    return [
        replace(work, number=place, after=tuple(sorted(now[each] for each in work.after)))
        for place, work in enumerate(every, start=1)
    ]
