"""On which day is each drill done, at the owner's pace and in somebody's hours?

Times are the owner's wall clock, without a zone.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.drilling.result import Plan
from falsework.errors import QuestionError
from falsework.model.hours import Windows, weekly
from falsework.model.lab import Lab
from falsework.model.people import Person
from falsework.units import DAY_S, WEEK_S

EVERY_S = 2 * WEEK_S
"""From one drill to the next, where the owner says nothing, seconds."""
LEAST_EVERY_S = DAY_S
NOON_S = 10 * 3600.0
"""When a drill begins where nobody's hours are said: seconds after midnight."""
FURTHEST_DAYS = 400
"""How far from its day a drill may be put before it is said that nobody has time."""
_STEP_S = 900.0
"""A drill takes quarters of an hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Date:
    """When one drill is done.

    Attributes:
        plan: its name.
        begins, ends: on the wall clock.
        who: in whose hours; empty where nobody's are said.
        fits: whether it fits into those hours as a whole.
    """

    plan: str
    begins: datetime.datetime
    ends: datetime.datetime
    who: str = ""
    fits: bool = True


def paced(
    lab: Lab, plans: Sequence[Plan], *, begins: datetime.date, every_s: float = EVERY_S
) -> tuple[Date, ...]:
    """A date for each drill, in their order, so far apart as the owner wants, the first not before `begins`.

    Raises:
        QuestionError: the pace is shorter than a day, nobody ever has time, or the last would be after the year 9999.
    """
    if not LEAST_EVERY_S <= every_s < math.inf:
        raise QuestionError(
            what="drills are at least a day apart, so that what one finds is mended before the next",
            mend="Write for example --every '2 weeks'.",
        )
    people = [
        (person, weekly(person.works, person.place("works")) if person.works else ((0.0, WEEK_S),))
        for person in lab.of(Person)
        if person.works or person.away
    ]
    try:
        return _dates(people, plans, begins, every_s)
    except OverflowError:
        raise QuestionError(
            what="at this pace, from this day on, the last drill would be after the year 9999",
            mend="Begin earlier, or leave less time between two.",
        ) from None


def _dates(
    people: Sequence[tuple[Person, Windows]], plans: Sequence[Plan], begins: datetime.date, every_s: float
) -> tuple[Date, ...]:
    found: list[Date] = []
    for number, plan in enumerate(plans):
        day = begins + datetime.timedelta(seconds=number * every_s)
        if found:
            day = max(day, found[-1].begins.date() + datetime.timedelta(days=1))
        takes_s = max(math.ceil((plan.hands_s + plan.lasts_s) / _STEP_S), 1) * _STEP_S
        found.append(_date(plan, people, day, takes_s))
    return tuple(found)


def _date(plan: Plan, people: Sequence[tuple[Person, Windows]], day: datetime.date, takes_s: float) -> Date:
    midnight = datetime.datetime.combine(day, datetime.time.min)
    if not people:
        start = midnight + datetime.timedelta(seconds=NOON_S)
        return Date(plan=plan.name, begins=start, ends=start + datetime.timedelta(seconds=takes_s))
    whole = [(each, person) for person, week in people for each in _first(person, week, midnight, takes_s)]
    longest = max((end - start for _, week in people for start, end in week), default=0.0)
    fits = bool(whole)
    if not whole:  # into the longest there is, and it says so
        whole = [
            (each, person) for person, week in people for each in _first(person, week, midnight, longest)
        ]
    if not whole:
        raise QuestionError(
            what="nobody has time for a drill within a year", mend="Look at `works` and `away` under people."
        )
    start, person = min(whole, key=lambda each: (each[0], each[1].id))
    return Date(
        plan=plan.name,
        begins=start,
        ends=start + datetime.timedelta(seconds=takes_s),
        who=str(person.id),
        fits=fits,
    )


def _first(
    person: Person, week: Windows, midnight: datetime.datetime, takes_s: float
) -> Iterator[datetime.datetime]:
    """The first window of a person that is long enough, if there is one."""
    for days in range(FURTHEST_DAYS):
        day = midnight + datetime.timedelta(days=days)
        if day.date() in person.away:
            continue
        offset = day.weekday() * DAY_S
        for start, end in week:
            from_s = max(start, offset if person.works else offset + NOON_S)
            if from_s < offset + DAY_S and end - from_s >= takes_s:
                yield day + datetime.timedelta(seconds=from_s - offset)
                return
