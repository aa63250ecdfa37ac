"""Is the wait for working hours what walking through the week gives?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import waiting
from falsework.errors import QuestionError
from falsework.units import WEEK_S

H, D = 3600.0, 86_400.0
OFFICE = [(day * D + 9 * H, day * D + 17 * H) for day in range(5)]
ALWAYS = [(0.0, WEEK_S)]


@st.composite
def weeks(draw):
    """Windows in order and apart, on quarter hours; some touch the ends of the week."""
    marks = draw(st.lists(st.integers(0, 672), min_size=2, max_size=12, unique=True).map(sorted))
    return [
        (900.0 * a, 900.0 * b) for a, b in zip(marks[0 : len(marks) // 2 * 2 : 2], marks[1::2], strict=True)
    ]


# In the middle of each minute, so that no moment lies on an edge.
MOMENTS = np.arange(30.0, WEEK_S, 60.0)


def walked(windows, moment):
    """The wait found by looking at this week's windows and the next week's."""
    later = [*windows, *((a + WEEK_S, b + WEEK_S) for a, b in windows)]
    return min(max(a - moment, 0.0) for a, b in later if b > moment)


@given(weeks(), st.lists(st.floats(0, WEEK_S, exclude_max=True), min_size=1, max_size=5))
def test_the_wait_from_a_moment_is_the_walk_to_the_next_window(windows, moments):
    """From a moment in this week or a later one, the wait is to the first window not over yet."""
    found = waiting.wait_from_s(windows, moments)
    assert found == pytest.approx([walked(windows, moment) for moment in moments], abs=1e-6)
    # Off the edges, where rounding by a week may change the answer.
    inner = np.floor(np.array(moments) / 60) * 60 + 30
    assert waiting.wait_from_s(windows, inner + 3 * WEEK_S) == pytest.approx(
        waiting.wait_from_s(windows, inner), abs=1e-6
    )


@given(weeks())
def test_the_mean_is_the_mean_over_all_minutes(windows):
    """The mean wait is the average of the waits from the middle of every minute."""
    # Windows begin on whole minutes, so the middle of a minute waits what the minute does on average.
    assert waiting.mean_wait_s(windows) == pytest.approx(
        waiting.wait_from_s(windows, MOMENTS).mean(), abs=1e-6
    )


@given(weeks(), st.floats(0, WEEK_S))
def test_the_distribution_is_the_share_of_minutes(windows, wait):
    """The chance to wait at most w is the share of the minutes from which one does, to a minute per gap."""
    found = float(waiting.wait_within(windows, wait))
    share = float((waiting.wait_from_s(windows, MOMENTS) <= wait).mean())
    assert found == pytest.approx(share, abs=(len(windows) + 1) * 60 / WEEK_S)


@given(weeks(), st.floats(0, 1))
def test_percentiles_undo_the_distribution(windows, chance):
    """The percentile is within the chance, and nothing shorter is."""
    wait = float(waiting.wait_percentile_s(windows, chance))
    assert float(waiting.wait_within(windows, wait)) >= chance - 1e-9
    if wait > 1:
        assert float(waiting.wait_within(windows, wait - 1)) < chance


def worked_off(windows, moment, work):
    """When work is done, by going through the windows of many weeks one by one."""
    left, week = work, 0
    while True:
        for start, end in windows:
            begin = max(start + week * WEEK_S, moment)
            if begin < end + week * WEEK_S:
                if left <= end + week * WEEK_S - begin:
                    return begin + left - moment
                left -= end + week * WEEK_S - begin
        week += 1


@given(weeks(), st.lists(st.integers(0, 10_079), min_size=1, max_size=4), st.integers(0, 20_000))
def test_work_is_done_window_by_window(windows, minutes, work):
    """From a moment, work ends when going through the windows one by one has used it up."""
    moments = np.array(minutes) * 60.0
    found = waiting.done_from_s(windows, moments, 60.0 * work)
    assert found == pytest.approx([worked_off(windows, moment, 60.0 * work) for moment in moments])


@given(weeks(), st.integers(0, 3_000))
def test_the_mean_until_done_is_the_mean_over_all_minutes(windows, work):
    """The mean time until done is the average from the middle of every minute; for no work it is the mean wait."""
    found = waiting.mean_done_s(windows, 60.0 * work)
    assert found == pytest.approx(
        waiting.done_from_s(windows, MOMENTS, 60.0 * work).mean(), rel=1e-9, abs=1e-6
    )
    assert waiting.mean_done_s(windows, 0.0) == pytest.approx(waiting.mean_wait_s(windows), abs=1e-9)
    assert waiting.mean_done_s(ALWAYS, 60.0 * work) == pytest.approx(60.0 * work)


def test_work_that_fills_a_window_ends_with_it():
    """Eight hours from nine on a Monday are done at five; one second more only on Tuesday at nine."""
    assert waiting.done_from_s(OFFICE, 9 * H, [8 * H, 8 * H + 1]) == pytest.approx([8 * H, D + 1])


def test_office_hours_by_hand():
    """Five days 09-17: four gaps of 16 h and one of 64 h in 168 h: (4 x 256 + 4096) / 336 h = 15.238 h."""
    assert waiting.mean_wait_s(OFFICE) / H == pytest.approx((4 * 16**2 + 64**2) / 336)
    assert waiting.open_share(OFFICE) == pytest.approx(40 / 168)
    assert waiting.wait_percentile_s(OFFICE, [0.2, 1.0]) / H == pytest.approx([0, 64])


def test_who_always_works_never_waits():
    """A week without gaps has no wait, at any percentile."""
    assert waiting.mean_wait_s(ALWAYS) == 0
    assert waiting.wait_percentile_s(ALWAYS, [0.0, 0.5, 1.0]) == pytest.approx([0, 0, 0])
    assert waiting.wait_within(ALWAYS, 0.0) == 1


@pytest.mark.parametrize(
    ("windows", "said"),
    [
        ([], "there is no hour in the week in which one may work"),
        ([(5.0, 5.0)], "windows are empty, out of order, overlap or leave the week"),
        ([(5.0, 9.0), (8.0, 10.0)], "out of order, overlap"),
        ([(0.0, WEEK_S + 1)], "leave the week"),
        ([(-1.0, 5.0)], "window is -1"),
        ([1.0, 2.0], "windows have the shape (2,)"),
    ],
)
def test_nonsense_is_refused(windows, said):
    """Windows that are none are refused in words."""
    with pytest.raises(QuestionError) as caught:
        waiting.mean_wait_s(windows)
    assert said in str(caught.value)
