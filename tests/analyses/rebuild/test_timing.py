from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.analyses.rebuild.timing import Hours

HOUR = 3600.0
EVENINGS = tuple((day * 24 * HOUR + 19 * HOUR, day * 24 * HOUR + 22 * HOUR) for day in range(5))


def test_work_rests_between_the_windows():
    """Four hours of work from Monday evening on end on Tuesday, an hour after its start."""
    hours = Hours(EVENINGS, from_s=0.0)
    assert hours.ends(0.0, 4 * HOUR) == 25 * HOUR
    assert hours.ends(0.0, 3 * HOUR) == 3 * HOUR


@given(st.floats(0, 5e6), st.floats(0, 1e6), st.floats(0, 1e6))
@settings(deadline=None, max_examples=200)
def test_work_always_ends_and_later_with_more_of_it(at, work, more):
    """However moments are rounded, the end is found, not before the work is done."""
    hours = Hours(EVENINGS, from_s=12345.678)
    end = hours.ends(at, work)
    assert end >= at + work - 1e-3
    assert hours.ends(at, work + more) >= end - 1e-3


@pytest.mark.parametrize("work", [0.0, 1e-12, HOUR])
def test_work_from_just_before_the_end_of_a_window(work):
    """A moment rounded to just before an end goes on in the next window."""
    hours = Hours(EVENINGS, from_s=0.1)
    at = hours.ends(0.1, 3 * HOUR)
    assert hours.ends(at, work) >= at
