import datetime
from dataclasses import replace

import pytest
from tests.faces.handmade_raising import shed

from falsework.analyses.raising.result import Doing
from falsework.analyses.raising.whole import raised

DAY = datetime.date(2026, 12, 4)


@pytest.fixture(scope="module")
def found():
    """The shed raised from nothing, on the calendar."""
    return raised(shed(), from_nothing=True, begins=DAY, seconds=5.0)


def test_paper_and_days_agree(found):
    """Steps are numbered from 1 as the calendar begins them, and none begins before what it waits for ends."""
    slots = {slot.step: slot for slot in found.schedule.slots}
    assert [step.number for step in found.plan.steps] == list(range(1, len(slots) + 1))
    begins = [slots[step.number].begins for step in found.plan.steps]
    assert begins == sorted(begins)
    for step in found.plan.steps:
        assert all(slots[each].ends <= slots[step.number].begins for each in step.after)
        assert all(each < step.number for each in step.after)


def test_every_moment_is_looked_at(found):
    """There is a fragile moment for each moment of the plan, in order, and nothing is missing at any."""
    assert [each.step for each in found.fragile] == [each.step for each in found.plan.moments]
    assert all(each.missing == () for each in found.fragile)


def test_what_decides_the_end_are_steps(found):
    """Critical steps are numbered as the steps are, and one of them is the last to end."""
    slots = {slot.step: slot for slot in found.schedule.slots}
    assert set(found.schedule.critical) <= set(slots)
    assert max(slots[step].ends for step in found.schedule.critical) == found.schedule.ends


def test_without_a_day_there_is_no_calendar():
    """The same steps come out, in an order of their own."""
    plain = raised(shed(), from_nothing=True)
    assert plain.schedule is None
    doings = [step.doing for step in plain.plan.steps]
    assert doings.count(Doing.LEND) == doings.count(Doing.RETIRE) == 1


def test_progress_is_told():
    """Whoever listens hears of each part of the work, never further than it goes."""
    heard = []
    raised(shed(), from_nothing=True, begins=DAY, seconds=5.0, progress=lambda *each: heard.append(each))
    assert {"looking for the cheapest stand-ins", "looking for the best calendar"} <= {
        what for what, _, _ in heard
    }
    assert all(done <= of for _, done, of in heard)


def test_what_stands_has_no_steps():
    """A lab that stands today is raised by doing nothing, with or without a calendar."""
    done = raised(shed(), begins=DAY)
    assert done.plan.steps == ()
    assert done.schedule is None
    assert not replace(done.plan).stuck
