from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.trees.walk import Circle, Walk


def walked(leans_on):
    """An order, or a circle."""
    walk = Walk(leans_on)
    try:
        return walk.below([0]) + walk.below(range(len(leans_on))), ()
    except Circle as circle:
        return [], circle.members


@given(data=st.data(), n=st.integers(1, 8))
def test_order_or_circle(data, n):
    """Either each thing comes after all it leans on, once, or a real circle is shown."""
    leans_on = data.draw(st.lists(st.lists(st.integers(0, n - 1), max_size=3), min_size=n, max_size=n))
    order, circle = walked(leans_on)
    if circle:
        assert all(b in leans_on[a] for a, b in pairwise([*circle, circle[0]]))
        assert len(set(circle)) == len(circle)
    else:
        assert sorted(order) == list(range(n))
        place = {node: i for i, node in enumerate(order)}
        assert all(place[below] < place[node] for node in range(n) for below in leans_on[node])


def test_a_circle_of_one():
    """What leans on itself is a circle too."""
    with pytest.raises(Circle) as caught:
        Walk([[0]]).below([0])
    assert caught.value.members == (0,)
