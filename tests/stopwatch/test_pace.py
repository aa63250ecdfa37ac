import heapq
import itertools

from hypothesis import given
from hypothesis import strategies as st

from falsework.stopwatch.pace import Pace


def due(pace, until_s):
    """All moments up to one, as a stopwatch that is never late asks them."""
    asked = []
    while pace.heap and pace.heap[0][0] <= until_s:
        at_s, number = pace.heap[0]
        next_s, missed = pace.after(number, at_s, at_s)
        assert missed == 0
        heapq.heapreplace(pace.heap, (next_s, number))
        asked.append((at_s, number))
    return asked


def test_those_asked_equally_often_are_spread_evenly():
    """Ten thousand questions a second come every tenth of a millisecond, and not all at once."""
    moments = [at_s for at_s, _ in due(Pace([1.0] * 10_000), 3.0)]
    steps = [after - before for before, after in itertools.pairwise(moments)]
    assert len(moments) in (30_000, 30_001)
    assert max(steps) < 0.000_101


@given(
    st.lists(st.sampled_from([0.01, 0.1, 1.0, 7.0, 60.0, 3600.0]), min_size=1, max_size=20), st.floats(0, 1e6)
)
def test_each_is_asked_within_a_second_and_then_as_often_as_said(every, from_s):
    """The first time comes soon, the second no sooner than said, and each further one exactly as said."""
    pace = Pace(every, from_s=from_s)
    asked = due(pace, from_s + 10.0)
    for number, every_s in enumerate(every):
        moments = [at_s - from_s for at_s, probe in asked if probe == number]
        assert 0 <= moments[0] < 1.000_001
        steps = [after - before for before, after in itertools.pairwise(moments)]
        assert all(step >= every_s - 1e-6 for step in steps)
        assert all(abs(step - every_s) < 1e-6 for step in steps[1:])


@given(
    st.lists(st.sampled_from([0.1, 1.0, 60.0]), min_size=1, max_size=20),
    st.floats(0.5, 20.0),
)
def test_after_a_halt_all_go_on_in_their_grid_or_soon(every, halt_s):
    """What is asked often goes on at its usual moments, what is asked seldom comes within a second; nothing at once."""
    pace = Pace(every)
    due(pace, 5.0)
    before = {number: at_s for at_s, number in pace.heap}
    missed = pace.skip(5.0 + halt_s)
    assert missed >= sum(at_s <= 5.0 + halt_s for at_s in before.values())
    for at_s, number in pace.heap:
        if before[number] > 5.0 + halt_s:
            assert at_s == before[number]
        else:
            assert 5.0 + halt_s <= at_s <= 5.0 + halt_s + max(1.0, min(every[number], 2.0)) + 1e-6
            if every[number] <= 2.0:
                steps = (at_s - before[number]) / every[number]
                assert abs(steps - round(steps)) < 1e-6


def test_what_is_too_late_is_let_go():
    """Three moments gone by are three missed, and the next one is in the future."""
    pace = Pace([0.1])
    next_s, missed = pace.after(0, 1.0, 1.35)
    assert (round(next_s, 6), missed) == (1.4, 3)
