from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.diagrams.random_trees import exact, trees

from falsework.engines.diagrams.limits import Bound, Limits, TooLarge
from falsework.engines.diagrams.net import Net
from falsework.engines.diagrams.orders import RULES
from falsework.engines.diagrams.sandwich import Span, sandwich, sandwich_of_spans, tightest
from falsework.engines.diagrams.simplify import merged, simplified
from falsework.engines.trees.tree import Gate, Op

PLENTY = Limits(nodes=1 << 16)


@given(trees(), st.integers(4, 12), st.sampled_from(sorted(RULES)), st.sampled_from([merged, simplified]))
@settings(deadline=None, max_examples=200)
def test_the_exact_probability_lies_between(tree, room, rule, writing):
    """However little room there is, in any order, with and without negation."""
    net = writing(Net.of(tree))
    found = sandwich(net, dict(enumerate(tree.probabilities)), room=room, rule=rule, limits=PLENTY)
    truly = exact(tree)
    assert found.low <= truly + 1e-12
    assert found.high >= truly - 1e-12
    assert 0.0 <= found.low <= found.high <= 1.0


@given(trees(most_gates=6))
@settings(deadline=None)
def test_with_room_enough_it_is_exact(tree):
    """Nothing is replaced where everything fits."""
    net = merged(Net.of(tree))
    p = dict(enumerate(tree.probabilities))
    found = sandwich(net, p, room=1 << 12, rule="as written", limits=PLENTY)
    assert found.low == pytest.approx(exact(tree), abs=1e-12)
    assert found.high == pytest.approx(exact(tree), abs=1e-12)


@given(trees(coherent=True))
@settings(deadline=None)
def test_a_probability_that_is_only_bounded_widens_the_bounds(tree):
    """Both ends of every event's span are within what is found from the spans."""
    net = merged(Net.of(tree))
    spans = {i: Span(p * 0.9, p) for i, p in enumerate(tree.probabilities)}
    found = sandwich_of_spans(net, spans, room=8, rule="as written", limits=PLENTY)
    for ends in ([s.low for s in spans.values()], [s.high for s in spans.values()]):
        assert found.low - 1e-12 <= exact(tree, ends) <= found.high + 1e-12


def test_the_clock_stops_it():
    """A bound that is hit is named."""
    gates = tuple(Gate(op=Op.AND, inputs=(i, 100 + i)) for i in range(100))
    net = Net(n_events=200, gates=(*gates, Gate(op=Op.OR, inputs=tuple(range(200, 300)))), top=300)
    with pytest.raises(TooLarge) as caught:
        sandwich(net, dict.fromkeys(range(200), 0.1), room=10, rule="as written", limits=Limits.within(-1.0))
    assert caught.value.bound == Bound.SECONDS


@given(trees())
@settings(deadline=None)
def test_several_together_enclose_too(tree):
    """What all sandwiches agree on holds the exact probability; without time, all from 0 to 1."""
    p = dict(enumerate(tree.probabilities))
    found = tightest(tree, p, limits=PLENTY)
    assert found.low - 1e-12 <= exact(tree) <= found.high + 1e-12
    late = tightest(tree, p, limits=Limits.within(-1.0))
    assert late.low <= exact(tree) + 1e-12
    assert late.high >= exact(tree) - 1e-12
