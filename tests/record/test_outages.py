"""Are outages told with bounds that hold the truth?"""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.record.observed import NEVER
from falsework.record.outages import Change, outages
from falsework.record.seen import Gap, Told, Why

YES, NO, SILENT, UNKNOWN = Told


def told(*answers, every_s=1.0, took_s=0.0, gaps=(), usual_s=math.nan, says=""):
    """The outages of answers asked once a second from 0."""
    changes, before = [], None
    for at, each in enumerate(answers):
        asked_s = at * every_s
        if before is None or answers[at - 1] != each:
            last_s = None if before is None else before
            changes.append(
                Change(
                    asked_s=asked_s,
                    told_s=asked_s + took_s,
                    told=each,
                    says=says,
                    last_s=last_s,
                    last_told_s=None if last_s is None else last_s + took_s,
                )
            )
        before = asked_s
    return outages(changes, gaps, last_s=before or 0.0, every_s=every_s, usual_s=usual_s)


def test_one_bad_answer_is_an_outage_of_the_length_its_bounds_allow():
    """It began and ended between the good ones beside it."""
    (found,) = told(YES, YES, NO, YES)
    assert (found.good_s, found.bad_s, found.last_bad_s, found.good_again_s) == (1, 2, 2, 3)
    assert (found.from_s, found.until_s, found.lasts_s, found.within_s) == (1.5, 2.5, 1, 1)
    assert not found.unsure


def test_refused_and_then_silent_is_one_outage():
    """It is told as it began."""
    (found,) = told(YES, NO, SILENT, NO, YES)
    assert (found.bad_s, found.last_bad_s, found.told) == (1, 3, NO)


def test_an_outage_from_the_start_has_no_beginning():
    """Nobody knows for how long it had been so."""
    (found,) = told(SILENT, SILENT, YES)
    assert found.good_s == -NEVER
    assert found.from_s == 0
    assert found.within_s == NEVER


def test_an_outage_at_the_end_goes_on():
    """Its last bad question is the last that was asked."""
    (found,) = told(YES, NO, NO, NO)
    assert (found.last_bad_s, found.good_again_s, found.lasts_s) == (3, NEVER, NEVER)


def test_not_knowing_is_no_outage_and_widens_one():
    """Unknown between good answers is nothing; beside a bad one it makes the end unsure."""
    assert told(YES, UNKNOWN, UNKNOWN, YES) == ()
    (begin,) = told(YES, UNKNOWN, NO, YES)
    assert (begin.good_s, begin.bad_s, begin.unsure) == (0, 2, True)
    (end,) = told(YES, NO, UNKNOWN, YES)
    assert (end.last_bad_s, end.good_again_s, end.unsure) == (1, 3, True)
    (within,) = told(YES, NO, UNKNOWN, NO, YES)
    assert (within.bad_s, within.last_bad_s, within.good_again_s, within.unsure) == (1, 3, 4, True)
    (open_,) = told(YES, NO, UNKNOWN)
    assert (open_.last_bad_s, open_.good_again_s, open_.unsure) == (1, NEVER, True)


def test_a_gap_makes_the_end_unsure_that_it_touches():
    """One in the middle of good answers, or of bad ones, does nothing."""
    answers = (YES, YES, NO, NO, NO, YES, YES)
    for from_s, unsure in ((0.2, False), (1.2, True), (2.5, False), (4.5, True), (5.5, False)):
        (found,) = told(*answers, gaps=(Gap(from_s=from_s, until_s=from_s + 0.4, why=Why.BUSY),))
        assert found.unsure is unsure, from_s


def test_what_was_frozen_serves_when_it_answers_not_when_it_was_asked():
    """Frozen from 10.0 to 12.0, asked ten times a second with a patience of 1 s, answered in 1 ms otherwise.

    The question of 11.1 waits in the queue until 12.0; the last that was given up was that of 11.0, at 12.0.
    """
    changes = (
        Change(asked_s=0.0, told_s=0.001, told=YES, says="", last_s=None, last_told_s=None),
        Change(asked_s=10.0, told_s=11.0, told=SILENT, says="", last_s=9.9, last_told_s=9.901),
        Change(asked_s=11.1, told_s=12.001, told=YES, says="", last_s=10.95, last_told_s=11.95),
    )
    (found,) = outages(changes, (), last_s=20.0, every_s=0.1, usual_s=0.001)
    assert found.good_again_s == 12.0
    assert found.last_bad_s == 11.95
    assert abs(found.lasts_s - 2.0) < 0.15


def test_one_that_was_given_up_a_moment_too_early_waited_in_vain_all_the_same():
    """Frozen until 12.0, and the last bad question was given up at 12.02, while the queue was worked off."""
    changes = (
        Change(asked_s=0.0, told_s=0.001, told=YES, says="", last_s=None, last_told_s=None),
        Change(asked_s=10.0, told_s=11.0, told=SILENT, says="", last_s=9.9, last_told_s=9.901),
        Change(asked_s=11.1, told_s=12.011, told=YES, says="", last_s=11.0, last_told_s=12.02),
    )
    (found,) = outages(changes, (), last_s=20.0, every_s=0.1, usual_s=0.001)
    assert found.good_again_s == pytest.approx(12.01)
    assert found.last_bad_s == pytest.approx(11.91)


@given(
    st.lists(st.tuples(st.floats(1, 50), st.floats(0.05, 40)), max_size=5),
    st.floats(0.1, 7),
    st.floats(0, 1),
)
@settings(max_examples=60)
def test_bounds_hold_the_truth(spells, every_s, phase):
    """Whatever is out when, and however often one asks: each true outage that was asked in is within its bounds."""
    truth, at_s = [], 0.0
    for up_s, down_s in spells:
        truth.append((at_s + up_s, at_s + up_s + down_s))
        at_s += up_s + down_s
    asked = [phase * every_s + number * every_s for number in range(int((at_s + 60) / every_s))]
    told_ = [NO if any(a <= t < b for a, b in truth) else YES for t in asked]
    changes = [
        Change(
            asked_s=t,
            told_s=t,
            told=each,
            says="",
            last_s=asked[n - 1] if n else None,
            last_told_s=asked[n - 1] if n else None,
        )
        for n, (t, each) in enumerate(zip(asked, told_, strict=True))
        if not n or told_[n - 1] != each
    ]
    found = outages(changes, (), last_s=asked[-1], every_s=every_s, usual_s=0.0)
    hit = [(a, b) for a, b in truth if any(a <= t < b for t in asked)]
    assert all(one.good_again_s <= other.bad_s for one, other in pairwise(found))
    for a, b in hit:
        assert any(each.good_s <= a <= each.bad_s or each.bad_s <= a <= each.good_again_s for each in found)
        assert any(
            each.last_bad_s <= b <= each.good_again_s or each.bad_s <= b <= each.last_bad_s for each in found
        )
    assert len(found) <= len(hit)
    assert all(any(each.good_s <= a <= each.bad_s for a, _ in hit) for each in found)
