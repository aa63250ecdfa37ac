"""Are families of sets counted as if they were listed?"""

from __future__ import annotations

from collections import Counter
from math import comb

import pytest
from hypothesis import given, settings
from tests.engines.diagrams.random_trees import tree_of, trees

from falsework.engines.diagrams.counts import count, count_by_order, occurrences
from falsework.engines.diagrams.limits import Limits
from falsework.engines.diagrams.solve import diagram, minimal_cut_sets
from falsework.engines.trees.engine import orders
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.tree import Op

LIMITS = Limits(nodes=1 << 17)


def cut_sets(tree):
    """The minimal cut sets of a tree, as a diagram."""
    return minimal_cut_sets(diagram(tree, limits=LIMITS), LIMITS)


@given(trees(most_events=8, most_gates=12))
@settings(deadline=None)
def test_counts_are_those_of_the_list(tree):
    """In all, of each order, and of those that hold each event."""
    listed = Enumeration(tree).cut_sets()
    sets = cut_sets(tree)
    assert count(sets) == len(listed)
    assert count_by_order(sets) == dict(orders(listed))
    assert occurrences(sets) == Counter(event for each in listed for event in each)


@pytest.mark.parametrize(("n", "k"), [(10, 1), (40, 20), (90, 45)])
def test_k_of_many(n, k):
    """At least k of n: the binomial coefficient, far beyond 64 bits, and each event in k/n of the sets."""
    sets = cut_sets(tree_of(n, (Op.AT_LEAST, range(n), k)))
    assert count_by_order(sets) == {k: comb(n, k)}
    assert occurrences(sets) == dict.fromkeys(range(n), comb(n - 1, k - 1))


def test_sets_of_independent_parts_multiply():
    """All of ten blocks, 3 of 4 events in each, make 4^10 sets of 30."""
    gates = [(Op.AT_LEAST, range(4 * i, 4 * i + 4), 3) for i in range(10)]
    sets = cut_sets(tree_of(40, *gates, (Op.AND, range(40, 50))))
    assert count_by_order(sets) == {30: 4**10}
    assert occurrences(sets) == dict.fromkeys(range(40), 3 * 4**9)
