from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.diagrams.random_trees import exact, trees, truth

from falsework.engines.diagrams.build import Diagrams
from falsework.engines.diagrams.layers import FIRST
from falsework.engines.diagrams.limits import Bound, Limits, TooLarge
from falsework.engines.diagrams.of_tree import functions
from falsework.engines.diagrams.probability import by_level, probability
from falsework.engines.diagrams.sensitivity import sensitivity


def flat_of(tree, order=None, roots=None):
    """The diagram of a tree, read out."""
    diagrams = Diagrams(range(len(tree.events)) if order is None else order)
    return diagrams.flat(functions(tree, diagrams, [tree.top] if roots is None else roots))


def value(flat, root, failed):
    """What the diagram says when exactly these variables are true."""
    node = int(flat.roots[root])
    while node >= FIRST:
        node = int((flat.high if flat.variable[flat.level[node]] in failed else flat.low)[node])
    return node == 1


@given(trees(), st.randoms(use_true_random=False))
@settings(deadline=None)
def test_the_diagram_says_what_the_tree_says(tree, random):
    """In any order of the variables, for every set of events."""
    order = list(range(len(tree.events)))
    random.shuffle(order)
    flat = flat_of(tree, order)
    for number in range(2 ** len(order)):
        failed = {i for i in range(len(order)) if number >> i & 1}
        assert value(flat, 0, failed) == truth(tree, failed)


@given(trees())
@settings(deadline=None)
def test_nodes_come_after_their_children_and_are_reduced(tree):
    """Nodes are sorted by level, deepest first; none is there twice; none has two equal children."""
    flat = flat_of(tree, roots=range(len(tree.events) + len(tree.gates)))
    inner = np.arange(FIRST, flat.n_nodes)
    assert (np.diff(flat.level) <= 0).all()
    assert (flat.low[inner] < inner).all()
    assert (flat.high[inner] < inner).all()
    assert (flat.low[inner] != flat.high[inner]).all()
    table = np.stack([flat.level, flat.low, flat.high], axis=1)[inner]
    assert len(np.unique(table, axis=0)) == len(table)


@given(trees(), st.integers(1, 5), st.randoms(use_true_random=False))
@settings(deadline=None)
def test_probability_is_the_sum_over_all_states(tree, columns, random):
    """For each of many columns of probabilities at once, and for one."""
    n = len(tree.events)
    flat = flat_of(tree)
    p = np.array([[random.random() for _ in range(columns)] for _ in range(n)])
    found = probability(flat, by_level(flat, p))
    for column in range(columns):
        assert found[0, column] == pytest.approx(exact(tree, p[:, column]), rel=1e-12, abs=1e-15)
    assert probability(flat, by_level(flat, p[:, 0]))[0] == found[0, 0]


@given(trees())
@settings(deadline=None)
def test_sensitivity_is_the_difference_a_certain_event_makes(tree):
    """P with the event certain less P with it impossible, for every event and every gate as a root."""
    n = len(tree.events)
    flat = flat_of(tree, roots=range(n + len(tree.gates)))
    p = by_level(flat, np.array(tree.probabilities))
    found = sensitivity(flat, p)
    both = sensitivity(flat, np.stack([p, p], axis=1))
    np.testing.assert_allclose(both[:, :, 1], found, rtol=1e-12, atol=1e-15)  # sums in another order
    for level in range(n):
        sure, never = p.copy(), p.copy()
        sure[level], never[level] = 1.0, 0.0
        expected = probability(flat, sure) - probability(flat, never)
        assert found[:, level] == pytest.approx(expected, abs=1e-12)


def test_at_least_of_nothing_and_of_too_many():
    """At least none is always true, more than there are never."""
    diagrams = Diagrams([0, 1])
    both = [diagrams.var(0), diagrams.var(1)]
    assert diagrams.at_least(0, both) == diagrams.true
    assert diagrams.at_least(3, both) == diagrams.false
    assert diagrams.all_of([]) == diagrams.true
    assert diagrams.any_of([]) == diagrams.false


def pigeonholes(diagrams, n):
    """The x[i] and y[i] for all i in an order that makes the diagram grow twofold with each."""
    pairs = [diagrams.all_of([diagrams.var(i), diagrams.var(n + i)]) for i in range(n)]
    return diagrams.any_of(pairs)


@pytest.mark.parametrize(
    ("limits", "bound", "said"),
    [
        (Limits(nodes=1000), Bound.NODES, "more than the 1,000 nodes allowed. Allow more nodes,"),
        (Limits(memory_bytes=1 << 20), Bound.MEMORY, "more than the 1 MiB allowed. Allow more memory,"),
        (Limits.within(-1.0), Bound.SECONDS, "seconds allowed. Allow more seconds,"),
    ],
)
def test_a_bound_is_named_when_it_is_hit(limits, bound, said):
    """No hanging and no end of memory: an error that names which bound and how to go on."""
    diagrams_of = lambda: pigeonholes(Diagrams(range(40), limits=limits), 20)  # noqa: E731
    with pytest.raises(TooLarge) as caught:
        diagrams_of()
    assert caught.value.bound == bound
    assert said in str(caught.value)
    assert str(caught.value).startswith("building a decision diagram takes")


def test_what_nobody_needs_makes_room():
    """A diagram that fits is built however many were thrown away before it in the same space."""
    diagrams = Diagrams(range(20), limits=Limits(nodes=3000))
    for _ in range(50):
        found = pigeonholes(diagrams, 10)
    assert diagrams.flat([found]).n_nodes == 2**11  # by hand: 2^k - 1 above, as many below, and two ends
