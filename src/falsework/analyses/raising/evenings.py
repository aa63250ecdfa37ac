"""When can each person work, from a moment on, day after day on the calendar?

Times are the owner's wall clock, without a zone: where clocks are set back or forward, that night is an hour off.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from falsework.engines.scheduling.tasks import Span, Worker
from falsework.model.hours import Windows, weekly
from falsework.model.people import Person

MINUTE_S = 60
DAY_MIN = 24 * 60
WEEK_MIN = 7 * DAY_MIN


def worker_of(person: Person | None, begins: datetime.datetime, days: int) -> Worker:
    """A person's windows in whole minutes from `begins`.

    Args:
        person: None is somebody with all the time in the world; so is one whose hours are not said.
        begins: on the wall clock, a whole minute.
        days: how far to look.
    """
    if person is None or (not person.works and not person.away):
        return Worker(windows=((0, days * DAY_MIN),), whole=days * DAY_MIN)
    weeks = _minutes(
        weekly(person.works, person.place("works")) if person.works else ((0.0, 60.0 * WEEK_MIN),)
    )
    monday = begins.replace(hour=0, minute=0) - datetime.timedelta(days=begins.weekday())
    past = round((begins - monday).total_seconds()) // MINUTE_S
    offsets = range(-past, days * DAY_MIN, WEEK_MIN)
    spans = _joined([(start + offset, end + offset) for offset in offsets for start, end in weeks])
    for day in sorted(set(person.away)):
        from_ = minutes_until(begins, day)
        if from_ < days * DAY_MIN:
            spans = _without(spans, (from_, from_ + DAY_MIN))
    cut = ((max(start, 0), min(end, days * DAY_MIN)) for start, end in spans)
    return Worker(windows=tuple(span for span in cut if span[0] < span[1]), whole=usual(weeks))


def usual(week: Sequence[Span]) -> int:
    """The shortest window of a week, minutes: work that fits into it fits into all of them."""
    twice = _joined([*week, *((start + WEEK_MIN, end + WEEK_MIN) for start, end in week)])
    # The first and the last may be cut by the ends of the two weeks; a whole one of each is in between.
    inner = twice[1:-1] if len(twice) > 2 else twice
    return min(end - start for start, end in inner)


def minutes_until(begins: datetime.datetime, day: datetime.date) -> int:
    """Minutes from a moment to the begin of a day; negative if that is past."""
    midnight = datetime.datetime.combine(day, datetime.time.min)
    return round((midnight - begins).total_seconds()) // MINUTE_S


def _minutes(week: Windows) -> list[Span]:
    return [(round(start) // MINUTE_S, round(end) // MINUTE_S) for start, end in week]


def _joined(spans: list[Span]) -> list[Span]:
    """Those that touch made one; in order."""
    joined: list[Span] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


def _without(spans: list[Span], gone: Span) -> list[Span]:
    pieces = [
        piece for start, end in spans for piece in ((start, min(end, gone[0])), (max(start, gone[1]), end))
    ]
    return [piece for piece in pieces if piece[0] < piece[1]]
