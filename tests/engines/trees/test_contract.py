"""What is asked of every engine for fault trees; see `falsework.engines.trees.engine`."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engines.trees.diagrams import DiagramEngine
from tests.engines.trees.drawn import chances, happens, states, tree_of, trees

from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.tree import Op


def weight(state, q):
    """The probability of one state."""
    return math.prod(p if event in state else 1 - p for event, p in enumerate(q))


@pytest.mark.parametrize("engine", [Enumeration, DiagramEngine])
class TestContract:
    """Every test for every engine; an engine is made from a tree."""

    @given(data=st.data())
    def test_probability_is_the_sum_over_all_states(self, engine, data):
        """P(top) is the sum of the probabilities of the states in which the definition says yes."""
        tree = data.draw(trees(max_events=6))
        q = data.draw(chances(tree))
        yes = [state for state in states(tree) if happens(tree, state)]
        wanted = [math.fsum(weight(state, column) for state in yes) for column in q.T]
        np.testing.assert_allclose(engine(tree).probability(q), wanted, rtol=1e-12, atol=1e-15)

    @given(data=st.data())
    def test_given_is_probability_with_the_event_sure(self, engine, data):
        """P(top | event) and P(top | not event) are P(top) with q at 1 and at 0, and mix to P(top)."""
        tree = data.draw(trees(max_events=6))
        q = data.draw(chances(tree))
        asked = engine(tree)
        on, off = asked.given(q)
        for event in range(len(tree.events)):
            for found, sure in ((on, 1.0), (off, 0.0)):
                fixed = q.copy()
                fixed[event] = sure
                np.testing.assert_allclose(found[event], asked.probability(fixed), rtol=1e-9, atol=1e-13)
        np.testing.assert_allclose(
            q * on + (1 - q) * off,
            np.broadcast_to(asked.probability(q), q.shape),
            rtol=1e-9,
            atol=1e-13,
        )

    @given(tree=trees(max_events=6))
    def test_cut_sets_are_the_minimal_states_that_say_yes(self, engine, tree):
        """Exactly the sets that bring the top event, all others working, and that hold no smaller such set."""
        cuts = [state for state in states(tree) if happens(tree, state)]
        wanted = {cut for cut in cuts if not any(other < cut for other in cuts)}
        assert engine(tree).cut_sets() == wanted

    @pytest.mark.parametrize("k", [1, 2, 5, 8, 9])
    def test_k_of_nine(self, engine, k):
        """At least k of nine with q = 1/2 is a binomial tail, and its cut sets are all sets of k."""
        tree = tree_of(9, (Op.AT_LEAST, range(9), k))
        asked = engine(tree)
        tail = sum(math.comb(9, i) for i in range(k, 10)) / 2**9
        assert asked.probability(np.full((9, 1), 0.5)) == pytest.approx([tail], rel=1e-14)
        assert asked.cut_sets() == {frozenset(s) for s in itertools.combinations(range(9), k)}

    def test_top_may_be_an_event_or_a_constant(self, engine):
        """A tree of one event; one that always happens has the empty cut set, one that never does has none."""
        alone = tree_of(1, (Op.SAME, [0]))
        assert engine(alone).cut_sets() == {frozenset({0})}
        for k, cuts in ((1, {frozenset()}), (0, set())):
            sure = tree_of(1, (Op.CONSTANT, [], k))
            assert engine(sure).probability(np.full((1, 2), 0.3)).tolist() == [k, k]
            assert engine(sure).cut_sets() == cuts

    def test_small_probabilities_keep_their_digits(self, engine):
        """Six events of 1e-9 in series with nothing else: 1e-54, not 0."""
        tree = tree_of(6, (Op.AND, range(6)))
        assert engine(tree).probability(np.full((6, 1), 1e-9))[0] == pytest.approx(1e-54, rel=1e-12)
