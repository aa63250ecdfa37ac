"""Does an axis keep times in their order, and mark them where they lie?"""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.faces.report.axis import axis, drawn

times = st.lists(st.floats(0, 6e5), max_size=12)


@given(times, st.sampled_from([None, True, False]))
def test_values_lie_in_order_between_the_ends(values, log):
    """A larger time never lies left of a smaller one, and none lies off the axis."""
    of = axis(values, left=100.0, right=500.0, log=log)
    places = [of.x(value) for value in sorted(values)]
    assert places == sorted(places)
    assert all(100.0 <= place <= 500.0 for place in places)


@given(times, st.sampled_from([None, True, False]))
def test_the_largest_has_room(values, log):
    """The axis reaches at least to the largest time, unless that is beyond all marks."""
    of = axis(values, left=0.0, right=400.0, log=log)
    assert of.high >= max(values, default=0.0) * (1 - 1e-9)


@given(times)
def test_marks_are_told_apart(values):
    """No two marks have the same place or the same words."""
    of = axis(values, left=0.0, right=600.0)
    assert all(of.x(one[0]) < of.x(other[0]) for one, other in pairwise(of.ticks))
    assert len({says for _, says in of.ticks}) == len(of.ticks) >= 2


def test_an_even_axis_keeps_proportions():
    """Twice the minutes lie twice as far from its beginning, which is nothing."""
    of = axis([30.0, 50.0, 60.0], left=0.0, right=300.0)
    assert not of.log
    assert of.low == 0.0
    assert of.x(60.0) == pytest.approx(2 * of.x(30.0))


def test_uneven_values_go_by_powers():
    """Where one service is out for days and the others for minutes, equal steps multiply."""
    of = axis([1.0, 2.0, 3.0, 5000.0], left=0.0, right=300.0)
    assert of.log
    assert of.x(100.0) - of.x(10.0) == pytest.approx(of.x(1000.0) - of.x(100.0))


def test_what_has_no_end_is_passed_over():
    """A time without end does not stretch the axis."""
    assert axis([10.0, math.inf], left=0, right=300) == axis([10.0], left=0, right=300)


def test_words_that_would_touch_are_left_out():
    """On a narrow axis fewer marks have words than there are marks."""
    of = axis([1 / 60, 5e5], left=0.0, right=120.0, log=True)
    text = drawn(of, 20, 40)
    assert 2 <= text.count("<text") < len(of.ticks)
