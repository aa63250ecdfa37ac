"""Tests of the days on which drills are done, and of the calendar file, read back by another library."""

from __future__ import annotations

import datetime
import itertools

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.drilling.labs import PAIR, standing

from falsework.analyses.drilling import Plan, drills
from falsework.analyses.drilling.pacing import paced
from falsework.errors import QuestionError
from falsework.faces.drill_calendar import drill_calendar
from falsework.model.hours import weekly
from falsework.units import DAY_S, WEEK_S

FRIDAY = datetime.date(2026, 12, 4)
ME = "people: {me: {works: Mon-Fri 19:00-22:00 and Sat 09:00-17:00, away: [2026-12-18]}}\n"


def dates(more="", *, plans=None, every_s=2 * WEEK_S, begins=FRIDAY):
    """The dates of some drills of half an hour."""
    lab = standing(PAIR, more=more).lab
    some = plans or [Plan(name=f"p{n}", title="", hands_s=900.0, lasts_s=900.0) for n in range(3)]
    return paced(lab, some, begins=begins, every_s=every_s)


def test_drills_are_so_far_apart_as_the_owner_wants():
    """Every two weeks from Friday, in the evening hours; the day away moves one to the next day."""
    told = dates(ME)
    assert [each.begins for each in told] == [
        datetime.datetime(2026, 12, 4, 19),
        datetime.datetime(2026, 12, 19, 9),
        datetime.datetime(2027, 1, 1, 19),
    ]
    assert {each.who for each in told} == {"me"}


def test_without_hours_they_begin_in_the_morning():
    """Nobody's hours are said: on the day itself."""
    assert [each.begins.date() for each in dates()] == [
        FRIDAY + datetime.timedelta(days=14 * number) for number in range(3)
    ]


def test_a_long_drill_goes_where_it_fits_or_says_that_it_does_not():
    """Six hours fit only into a Saturday; twelve fit nowhere, and that is told."""
    long = [
        Plan(name="long", title="", hands_s=6 * 3600.0),
        Plan(name="longest", title="", hands_s=12 * 3600.0),
    ]
    first, second = dates(ME, plans=long)
    assert (first.begins, first.fits) == (datetime.datetime(2026, 12, 5, 9), True)
    assert not second.fits


@given(st.integers(1, 40), st.dates(datetime.date(2026, 1, 1), datetime.date(2027, 12, 31)))
@settings(max_examples=30)
def test_each_lies_in_somebodys_hours_and_after_the_one_before(days, begins):
    """At any pace from any day: in the hours of the person named, never on a day away, in order, not before its day."""
    told = dates(ME, every_s=days * DAY_S, begins=begins)
    windows = weekly("Mon-Fri 19:00-22:00 and Sat 09:00-17:00")
    for number, each in enumerate(told):
        start = each.begins.weekday() * DAY_S + each.begins.hour * 3600 + each.begins.minute * 60
        assert any(a <= start and start + 1800 <= b for a, b in windows)
        assert each.begins.date() != datetime.date(2026, 12, 18)
        assert each.begins.date() >= begins + datetime.timedelta(days=number * days)
    assert all(one.begins.date() < two.begins.date() for one, two in itertools.pairwise(told))


def test_a_pace_under_a_day_is_refused():
    """What one drill finds is mended before the next."""
    with pytest.raises(QuestionError, match="at least a day apart"):
        dates(every_s=3600.0)


@pytest.mark.parametrize(
    ("begins", "every_s"), [(datetime.date(9999, 12, 30), 2 * WEEK_S), (FRIDAY, 1e15), (FRIDAY, 1e200)]
)
@pytest.mark.parametrize("more", ["", ME])
def test_days_beyond_the_calendar_are_refused(begins, every_s, more):
    """Years end with 9999: a day or a pace beyond is told as a slip, not as a defect."""
    with pytest.raises(QuestionError, match="after the year 9999"):
        dates(more, begins=begins, every_s=every_s)


def test_another_library_reads_the_same_appointments():
    """One appointment a drill, with its begin, its end and all it says; the same UID when it moves."""
    lab = standing(PAIR, more=ME)
    told = drills(lab, FRIDAY, workers=1)
    when = paced(lab.lab, told.plans, begins=FRIDAY)
    text = drill_calendar(lab.lab, told.plans, when)
    events = list(vobject.readOne(text).vevent_list)
    assert [(e.summary.value, e.dtstart.value, e.dtend.value) for e in events] == [
        (f"Drill: {each.plan}", each.begins, each.ends) for each in when
    ]
    assert all(e.dtend.value > e.dtstart.value for e in events)
    mail = next(e for e in events if e.summary.value == "Drill: lose one").description.value
    assert "Foretold: mail blinks at once, and is back after 40 s" in mail
    assert all(f"{word}: " in mail for word in ("Who", "Caution", "Do", "Watch", "Stop", "Put back"))
    later = paced(lab.lab, told.plans, begins=FRIDAY + datetime.timedelta(days=7))
    moved = list(vobject.readOne(drill_calendar(lab.lab, told.plans, later)).vevent_list)
    assert [e.uid.value for e in moved] == [e.uid.value for e in events]
    assert len({e.uid.value for e in events}) == len(events)
    assert drill_calendar(lab.lab, told.plans, when) == text
