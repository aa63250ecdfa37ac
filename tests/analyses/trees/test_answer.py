"""Is what is said of a tree what its table of states says?"""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.engines.trees.drawn import COHERENT, tree_of, trees

from falsework.analyses.trees import answer as answering
from falsework.analyses.trees.answer import answer
from falsework.engines.diagrams.limits import Bound, TooLarge
from falsework.engines.trees.engine import named, orders
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.tree import Op, Tree


def with_chances(tree, q):
    """The tree with these probabilities."""
    return Tree(
        name=tree.name,
        events=tree.events,
        probabilities=tuple(q),
        gates=tree.gates,
        gate_names=tree.gate_names,
        top=tree.top,
    )


@st.composite
def sized(draw, **how):
    """A tree whose events have probabilities."""
    tree = draw(trees(max_events=6, **how))
    count = len(tree.events)
    return with_chances(tree, draw(st.lists(st.floats(0.01, 0.9), min_size=count, max_size=count)))


@settings(max_examples=60)
@given(sized())
def test_the_chance_and_the_sets_are_those_of_the_table(tree):
    """Probability, number of minimal cut sets by order, and every one of them with its product."""
    table = Enumeration(tree)
    q = np.array(tree.probabilities)[:, None]
    found = answer(tree, most=100)
    assert found.chance == pytest.approx(float(table.probability(q)[0]), rel=1e-9, abs=1e-15)
    cuts = {each for each in table.cut_sets() if each}
    counts = orders(cuts)
    assert found.by_order == tuple(counts.get(order, 0) for order in range(1, max(counts, default=0) + 1))
    if frozenset() in table.cut_sets():
        return
    assert {frozenset(each.events) for each in found.likeliest} == named(tree, cuts)
    chances = [each.chance for each in found.likeliest]
    assert chances == sorted(chances, reverse=True)
    for each in found.likeliest:
        wanted = math.prod(float(tree.probabilities[tree.events.index(name)]) for name in each.events)
        assert each.chance == pytest.approx(wanted, rel=1e-12)


@settings(max_examples=60)
@given(sized())
def test_the_weights_are_those_of_the_table(tree):
    """P(top | event) and P(top | not event), as enumerated, give the same figures."""
    table = Enumeration(tree)
    q = np.array(tree.probabilities)[:, None]
    top = float(table.probability(q)[0])
    assume(top > 1e-9)
    on, off = table.given(q)
    for each in answer(tree).weights:
        event = tree.events.index(each.event)
        p1, p0 = float(on[event, 0]), float(off[event, 0])
        assert each.birnbaum == pytest.approx(p1 - p0, rel=1e-7, abs=1e-12)
        assert each.diagnosis == pytest.approx(each.chance * p1 / top, rel=1e-7, abs=1e-12)
        assert each.achievement == pytest.approx(p1 / top, rel=1e-7, abs=1e-12)
        if p0 == 0.0:
            assert each.reduction == math.inf
        elif p0 > 1e-9:
            assert each.reduction == pytest.approx(top / p0, rel=1e-6)


def too_large(*_, **__):
    """A diagram that outgrows its bounds."""
    raise TooLarge(Bound.NODES, 16, "building a decision diagram")


@settings(max_examples=60)
@given(tree=sized(ops=COHERENT))
def test_what_is_too_large_has_proven_bounds(tree):
    """Without a diagram the true chance lies between the bounds, and why it is not exact is said."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(answering, "diagram", too_large)
        found = answer(tree, most=100)
    true = float(Enumeration(tree).probability(np.array(tree.probabilities)[:, None])[0])
    assert found.chance is None
    assert found.left.startswith("building a decision diagram takes more than")
    assert found.lower <= true * (1 + 1e-9) + 1e-15
    assert found.upper >= true * (1 - 1e-9) - 1e-15


def test_without_probabilities_the_smallest_sets_come_first():
    """A tree that gives no figures has cut sets all the same, shortest first, and says which events lack one."""
    tree = tree_of(4, (Op.AND, (0, 1)), (Op.AND, (0, 2, 3)), (Op.OR, (4, 5)))
    found = answer(tree)
    assert (found.chance, found.lower, found.upper, found.weights) == (None, None, None, ())
    assert found.lacking == ("e0", "e1", "e2", "e3")
    assert [each.events for each in found.likeliest] == [("e0", "e1"), ("e0", "e2", "e3")]
    assert all(each.chance is None for each in found.likeliest)


def test_of_very_many_sets_the_likeliest_are_found_at_once():
    """Of 8^12 sets in twelve groups of eight, solved as modules, the first is the product of the largest."""
    groups = 12
    gates = [(Op.OR, tuple(range(8 * group, 8 * group + 8))) for group in range(groups)]
    gates.append((Op.AND, tuple(8 * groups + group for group in range(groups))))
    q = [0.01 * (1 + event % 8) for event in range(8 * groups)]
    found = answer(tree_of(8 * groups, *gates, q=q), most=3)
    assert found.total == 8**groups
    assert found.by_order == (*[0] * (groups - 1), 8**groups)
    assert found.likeliest[0].events == tuple(f"e{8 * group + 7}" for group in range(groups))
    assert found.likeliest[0].chance == pytest.approx(0.08**groups)
    for one, other in itertools.pairwise(found.likeliest):
        assert one.chance >= other.chance
