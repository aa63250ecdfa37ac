"""Is what is said of a tree what listing all its states says?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from tests.engines.diagrams.random_trees import small, tree_of, trees

from falsework.engines.diagrams.limits import Bound, Limits, TooLarge
from falsework.engines.diagrams.solve import diagram, minimal_cut_sets, solve, top_probability
from falsework.engines.trees.engine import column, orders
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.tree import Op

HALF_OF_MANY = tree_of(24, (Op.AT_LEAST, range(24), 12))  # 12 * 13 nodes at least, whatever the order
ROOMY = {"seconds": 600.0, "memory_bytes": 64 << 20}


def asked(tree):
    """Everything about a tree, with room enough."""
    return solve(tree, **ROOMY)


@given(trees(most_events=9, most_gates=12))
@settings(deadline=None)
def test_probability_and_counts_are_those_of_enumeration(tree):
    """The probability, the count of minimal cut sets and the counts by order; negating gates and constants too."""
    states = Enumeration(tree)
    cut_sets = states.cut_sets()
    found = asked(tree)
    wanted = states.probability(column(tree))[0]
    assert found.top_probability == pytest.approx(wanted, rel=1e-12, abs=1e-15)
    assert found.lower == found.upper == found.top_probability
    assert found.minimal_cut_sets == len(cut_sets)
    assert dict(found.by_order) == dict(orders(cut_sets))


@pytest.mark.parametrize("op", [Op.AND, Op.OR, Op.SAME, Op.XOR, Op.AT_LEAST])
def test_a_gate_of_one_event_is_the_event(op):
    """One cut set of one event, with the event's probability; also through another such gate."""
    for gates in ([(op, [0], 1)], [(op, [0], 1), (Op.AND, [2])], [(op, [1], 1), (op, [2], 1)]):
        found = asked(tree_of(2, *gates, q=[0.25, 0.25]))
        assert (found.top_probability, found.minimal_cut_sets) == (0.25, 1)
        assert dict(found.by_order) == {1: 1}


def test_the_top_may_be_an_event():
    """A tree without gates."""
    found = asked(tree_of(1, q=[0.125]))
    assert (found.top_probability, found.minimal_cut_sets) == (0.125, 1)


@pytest.mark.parametrize("op", [Op.NOT, Op.XOR, Op.AND])
def test_what_cannot_happen_and_what_must(op):
    """A negated event has the empty cut set; an event with itself, xor or and-not, has none."""
    gates = {
        Op.NOT: [(Op.NOT, [0])],
        Op.XOR: [(Op.XOR, [0, 0])],
        Op.AND: [(Op.NOT, [0]), (Op.AND, [0, 1])],
    }[op]
    found = asked(tree_of(1, *gates, q=[0.25]))
    wanted = (0.75, 1, {0: 1}) if op is Op.NOT else (0.0, 0, {})
    assert (found.top_probability, found.minimal_cut_sets, dict(found.by_order)) == wanted


@pytest.mark.parametrize("k", [0, 1])
def test_a_house_event_switches_a_branch(k):
    """(e0 and house) or e1: e1 alone where the house event is off, both where it is on."""
    tree = tree_of(2, (Op.CONSTANT, [], k), (Op.AND, [0, 2]), (Op.OR, [1, 3]), q=[0.5, 0.25])
    found = asked(tree)
    assert found.top_probability == (0.625 if k else 0.25)
    assert found.minimal_cut_sets == 1 + k


@pytest.mark.parametrize("k", [0, 1])
def test_the_top_may_be_a_constant(k):
    """What always happens has just the empty cut set, what never does has none."""
    found = asked(tree_of(1, (Op.CONSTANT, [], k)))
    assert found.top_probability == k
    assert found.minimal_cut_sets == k


def test_without_probabilities_there_are_still_cut_sets():
    """A file may give none: then nothing is said of chances, not even bounds."""
    found = asked(tree_of(3, (Op.AT_LEAST, [0, 1, 2], 2), q=[0.1, None, 0.1]))
    assert (found.top_probability, found.lower, found.upper) == (None, None, None)
    assert found.minimal_cut_sets == 3


@pytest.mark.parametrize(
    ("limits", "bound"),
    [
        (Limits(nodes=60), Bound.NODES),
        (Limits(memory_bytes=60 * 48), Bound.MEMORY),
        (Limits.within(-1.0), Bound.SECONDS),
    ],
)
def test_a_tree_that_is_too_large_names_the_bound(limits, bound):
    """Half of many has more nodes in every order than fit; no attempt comes through."""
    with pytest.raises(TooLarge, match=bound.value) as caught:
        diagram(HALF_OF_MANY, limits=limits)
    assert caught.value.bound is bound


def test_cut_sets_that_are_too_many_to_find_name_the_bound():
    """The diagram fits, reading off its minimal sets does not: an error, and the diagram stays good."""
    made = diagram(HALF_OF_MANY, limits=Limits(nodes=1 << 14))
    with pytest.raises(TooLarge) as caught:
        minimal_cut_sets(made, Limits(nodes=60))
    assert caught.value.bound is Bound.NODES
    assert top_probability(made) is not None


@given(trees(most_events=8))
@settings(deadline=None, max_examples=30)
def test_without_room_what_is_said_encloses_the_truth(tree):
    """With room for a handful of nodes and no time, bounds; never a wrong figure."""
    wanted = Enumeration(tree).probability(column(tree))[0]
    found = solve(tree, seconds=1e-9, memory_bytes=1 << 10)
    assert found.lower <= wanted * (1 + 1e-12) + 1e-15
    assert wanted * (1 - 1e-12) - 1e-15 <= found.upper
    if found.top_probability is None:
        assert found.minimal_cut_sets is None


def test_progress_is_told():
    """Every stage that is slow says what it does; counts never run backwards within a stage."""
    told = []
    solve(small(), **ROOMY, progress=lambda doing, done, of: told.append((doing, done, of)))
    assert told
    assert all(done >= 0 and of >= 0 for _, done, of in told)
    assert np.all(np.diff([done for doing, done, _ in told if doing == told[0][0]]) >= 0)
