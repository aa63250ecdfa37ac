"""Do the bounds of what is too large to be exact hold?"""

from __future__ import annotations

from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.diagrams.random_trees import tree_of, trees

from falsework.engines.diagrams import bounded
from falsework.engines.diagrams.bounded import bounds
from falsework.engines.diagrams.limits import Limits
from falsework.engines.trees.engine import column
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.tree import Op


def between(tree, *, room=1 << 10, largest=1 << 10, limits=None):
    """Bounds, where only small diagrams are built upon."""
    with patch.multiple(bounded, _NODES=room, _SMALL=largest):
        return bounds(tree, limits=limits or Limits())


@given(trees(most_events=8, most_gates=12), st.sampled_from([0, 1, 2, 4, 8]))
@settings(deadline=None)
def test_the_exact_probability_lies_between(tree, largest):
    """However little is exact below, negating gates or not."""
    wanted = Enumeration(tree).probability(column(tree))[0]
    found = between(tree, largest=largest)
    assert 0.0 <= found.lower <= wanted * (1 + 1e-12) + 1e-15
    assert wanted * (1 - 1e-12) - 1e-15 <= found.upper <= 1.0


@given(trees(most_events=8, most_gates=12, coherent=True))
@settings(deadline=None)
def test_with_room_they_meet(tree):
    """Where every gate has a small diagram, both bounds are the probability."""
    found = between(tree)
    assert found.lower == found.upper
    assert found.lower == pytest.approx(Enumeration(tree).probability(column(tree))[0], rel=1e-12)


def test_independent_inputs_bound_by_their_product():
    """Without any diagram: and of unshared events is at least the product, or at most the complement's."""
    q = [0.1, 0.2, 0.3]
    late = Limits.within(-1.0)
    both = between(tree_of(3, (Op.AND, range(3)), q=q), limits=late)
    assert (both.lower, both.upper) == (pytest.approx(0.006), 0.1)
    some = between(tree_of(3, (Op.OR, range(3)), q=q), limits=late)
    assert (some.lower, some.upper) == (0.3, pytest.approx(1 - 0.9 * 0.8 * 0.7))
    two = between(tree_of(3, (Op.AT_LEAST, range(3), 2), q=q), limits=late)
    assert (two.lower, two.upper) == (pytest.approx(0.06), pytest.approx(0.3))
