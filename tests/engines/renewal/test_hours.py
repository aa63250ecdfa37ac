"""Does the next open hour come when a calendar says?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.renewal.hours import Hours
from falsework.units import WEEK_S

windows = st.lists(
    st.tuples(st.integers(0, 1000), st.integers(1, 400)).map(
        lambda pair: (pair[0] * 500.0, min((pair[0] + pair[1]) * 500.0, WEEK_S))
    ),
    min_size=1,
    max_size=5,
)


@given(windows, st.integers(0, 5000))
def test_opens_is_the_first_open_moment(pairs, steps):
    """The answer is open, not before the question, and no open moment lies between (watched every 250 s)."""
    hours = Hours(pairs)
    asked = steps * 250.0
    found = float(hours.opens(np.array([asked]))[0])

    def is_open(moment):
        return any(start <= moment % WEEK_S < end for start, end in pairs)

    assert found >= asked
    assert is_open(found)
    assert not any(is_open(moment) for moment in np.arange(asked, found, 250.0))


def test_always_open():
    """Without windows it is open at any moment."""
    moments = np.array([0.0, 5.5, 10 * WEEK_S + 3])
    assert np.array_equal(Hours().opens(moments), moments)


@pytest.mark.parametrize("pairs", [[], [(5.0, 5.0)], [(-1.0, 5.0)], [(0.0, WEEK_S + 1)]])
def test_no_hours_are_refused(pairs):
    """A week without an open hour, or a window outside the week, is refused."""
    with pytest.raises(ValueError, match="week"):
        Hours(pairs)
