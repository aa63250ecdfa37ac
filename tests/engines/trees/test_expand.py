from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engines.trees.drawn import COHERENT, chances, tree_of, trees
from tests.published.trees import figures, open_tree

from falsework.engines.trees.bounds import min_cut_upper_bound, rare_event_sum
from falsework.engines.trees.engine import column, orders
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.expand import expand
from falsework.engines.trees.tree import Op
from falsework.errors import LimitError, QuestionError

ROUNDING = 1e-12


def union(tree, cut_sets, q):
    """The probability that at least one of the cut sets happens."""
    n = len(tree.events)
    cuts = [(Op.AND, sorted(cut)) for cut in cut_sets]
    over = (Op.OR, range(n, n + len(cuts))) if cuts else (Op.CONSTANT, [])
    return Enumeration(tree_of(n, *cuts, over)).probability(q)


@given(tree=trees(ops=(*COHERENT, Op.CONSTANT)))
def test_without_cut_offs_all_are_found(tree):
    """The cut sets are those of the enumeration."""
    assert expand(tree).cut_sets == Enumeration(tree).cut_sets()


@given(data=st.data())
def test_cut_offs_keep_just_what_passes_and_bound_the_rest(data):
    """All minimal cut sets within the cut-offs, no others, and P(top) within the remainder of their union."""
    tree = data.draw(trees(ops=(*COHERENT, Op.CONSTANT), max_events=6))
    q = data.draw(chances(tree))[:, :1]
    max_order = data.draw(st.integers(0, 4))
    least = data.draw(st.sampled_from([0.0, 1e-6, 0.01, 0.3]))
    engine = Enumeration(tree)
    found = expand(tree, q[:, 0], max_order=max_order, least=least)
    wanted = {c for c in engine.cut_sets() if len(c) <= max_order and np.prod(q[sorted(c)]) >= least}
    assert found.cut_sets == wanted
    low, top = union(tree, found.cut_sets, q)[0], engine.probability(q)[0]
    assert low - ROUNDING <= top <= low + found.remainder + ROUNDING


def test_remainder_by_hand():
    """Of two cut sets, {a} and {b, c}, order 1 keeps {a} and may miss P(b c) = 0.06 at most."""
    tree = tree_of(3, (Op.AND, [1, 2]), (Op.OR, [0, 3]))
    found = expand(tree, np.array([0.1, 0.2, 0.3]), max_order=1)
    assert found.cut_sets == {frozenset({0})}
    assert found.dropped == 1
    assert found.remainder == pytest.approx(0.06)


@given(data=st.data())
def test_bounds_hold(data):
    """P(top) <= min-cut upper bound <= rare-event sum, and at most 1."""
    tree = data.draw(trees(ops=COHERENT))
    q = data.draw(chances(tree))
    cut_sets = Enumeration(tree).cut_sets()
    top, upper, rare = (
        Enumeration(tree).probability(q),
        min_cut_upper_bound(cut_sets, q),
        rare_event_sum(cut_sets, q),
    )
    assert (top <= upper + ROUNDING).all()
    assert (upper <= rare + ROUNDING).all()
    assert (upper <= 1).all()


def test_no_cut_set_no_chance():
    """Of no cut sets the bounds are 0, in as many columns as asked for."""
    q = np.full((2, 3), 0.5)
    assert rare_event_sum([], q).tolist() == min_cut_upper_bound([], q).tolist() == [0, 0, 0]


def test_what_it_refuses():
    """Negation, a cut-off by probability without probabilities, and too many sets."""
    with pytest.raises(QuestionError, match="the tree negates"):
        expand(tree_of(1, (Op.NOT, [0])))
    with pytest.raises(QuestionError, match="no probabilities are given"):
        expand(tree_of(1, (Op.SAME, [0])), least=0.1)
    pairs = [(Op.OR, [2 * i, 2 * i + 1]) for i in range(12)]
    with pytest.raises(LimitError, match="more than 1000 sets would have to be looked at"):
        expand(tree_of(24, *pairs, (Op.AND, range(24, 36))), most_sets=1000)


@pytest.mark.slow
def test_a_long_chain_is_no_deep_matter():
    """A hundred thousand gates, each an or of the one below and a shared event."""
    n = 100_000
    tree = tree_of(1, (Op.SAME, [0]), *((Op.OR, [0, i]) for i in range(1, n)))
    assert expand(tree).cut_sets == {frozenset({0})}


@pytest.mark.parametrize(
    "name", [pytest.param("chinese", marks=pytest.mark.slow), "ftr10", "isp9603", "isp9606"]
)
def test_whole_open_trees(name):
    """The number of cut sets is the published one; their orders are those of a second opinion.

    Source: the Aralia collection, figures of its data repository (DOI 10.5281/zenodo.20160659); the orders
    are recomputed, not published.
    """
    tree, published = open_tree("aralia", name)
    found = expand(tree).cut_sets
    assert len(found) == int(published["minimal_cut_sets"])
    second = figures("aralia", "recomputed")[name]
    assert {f"minimal_cut_sets_order_{k}": str(n) for k, n in orders(found).items()}.items() <= second.items()


@pytest.mark.parametrize(
    ("name", "max_order"), [("isp9605", 3), ("edfpa15r", 3), ("baobab1", 3), ("ftr10", 1)]
)
def test_low_orders_of_open_trees(name, max_order):
    """Up to an order, as many cut sets as a second opinion counts; P(top) is within the remainder.

    Source: the published probability is that of the Aralia collection (DOI 10.5281/zenodo.20160659), six digits;
    the counts by order are recomputed, not published.
    """
    tree, published = open_tree("aralia", name)
    second = figures("aralia", "recomputed")[name]
    q = column(tree)
    found = expand(tree, q[:, 0], max_order=max_order)
    wanted = {k: int(second.get(f"minimal_cut_sets_order_{k}", 0)) for k in range(1, max_order + 1)}
    assert orders(found.cut_sets) == {k: n for k, n in wanted.items() if n}
    top = float(published["top_event_probability"])
    likeliest = max(np.prod(q[sorted(cut)]) for cut in found.cut_sets)
    assert likeliest <= top <= min_cut_upper_bound(found.cut_sets, q)[0] + found.remainder


def test_a_cut_off_by_probability_on_an_open_tree():
    """All events have 0.01, so 1e-9 keeps the orders up to 4 of "chinese": 12 of order 2, 24 of order 4."""
    tree, _ = open_tree("aralia", "chinese")
    found = expand(tree, column(tree)[:, 0], least=1e-9)
    assert orders(found.cut_sets) == {2: 12, 4: 24}
    assert found.remainder is not None
    assert 0 < found.remainder < 1e-6
