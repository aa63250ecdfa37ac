from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engines.trees.drawn import COHERENT, chances, happens, states, tree_of, trees

from falsework.engines.trees.enumerate import MOST_EVENTS, Enumeration
from falsework.engines.trees.tree import Op
from falsework.errors import LimitError


@given(tree=trees(max_events=8))
def test_table_says_what_the_definition_says(tree):
    """State by state, also where the states fill several words."""
    table = Enumeration(tree).table
    assert all(table[sum(1 << event for event in state)] == happens(tree, state) for state in states(tree))


@given(data=st.data())
def test_through_counts_cut_sets_with_the_event(data):
    """The union of an event's cut sets is a tree of its own: an or over ands."""
    tree = data.draw(trees(ops=COHERENT, max_events=6))
    q = data.draw(chances(tree))
    engine = Enumeration(tree)
    n, found = len(tree.events), engine.through(q)
    for event in range(n):
        cuts = [cut for cut in engine.cut_sets() if event in cut]
        ands = [(Op.AND, sorted(cut)) for cut in cuts]
        top = (Op.OR, range(n, n + len(cuts))) if cuts else (Op.CONSTANT, [])
        assert found[event] == pytest.approx(Enumeration(tree_of(n, *ands, top)).probability(q))


def test_twenty_events_are_the_most():
    """Twenty are answered; for more it says what to do instead."""
    Enumeration(tree_of(MOST_EVENTS, (Op.OR, range(MOST_EVENTS))))
    with pytest.raises(LimitError, match=r"at most 20 can be enumerated\. Use a decision diagram instead"):
        Enumeration(tree_of(MOST_EVENTS + 1, (Op.OR, range(3))))
