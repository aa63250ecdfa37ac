"""Does a graph with ages say now what a graph with delays says of the moments at which things fell?"""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.systems import systems

from falsework.engines.aging import aged
from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import GateBuilder, Kind
from falsework.engines.times import times

NOW = 100.0


def sums(delays):
    """Every age that a way with no gate twice can add up to."""
    found = {0.0}
    for delay in delays.values():
        found |= {age + delay for age in found}
    return sorted(found)


@settings(deadline=None)
@given(systems(max_leaves=4, least=False), st.data())
def test_out_for_so_long_now_is_fallen_by_now(graph, data):
    """Leaves that failed some time ago: a kept gate has fallen by now just where the aged one is false.

    Only greatest promises: a loop through a delay keeps itself up, whatever its sign, and here it does.
    """
    wires = np.flatnonzero(graph.kind == Kind.WIRE).tolist()
    delays = {gate: float(data.draw(st.integers(1, 4))) for gate in wires}
    ago = [data.draw(st.sampled_from([None, 0, 1, 2, 3, 5, 8])) for _ in range(graph.n_leaves)]
    moments = np.array([[np.inf if age is None else NOW - age] for age in ago])
    held = np.zeros(graph.n_gates)
    held[list(delays)] = list(delays.values())
    fallen = times(graph, moments, held, mode="fall")[graph.kept, 0] <= NOW
    found = aged(graph, delays, steps=sums(delays))
    failed = [
        row
        for row, (leaf, age) in enumerate(zip(found.leaf.tolist(), found.age.tolist(), strict=True))
        if ago[leaf] is not None and ago[leaf] >= age
    ]
    assert (~Evaluator(found.graph).stands([failed])[:, 0]).tolist() == fallen.tolist()


def test_an_age_between_two_steps_is_answered_for_the_smaller():
    """By hand: a wire of 7 and steps 0 and 5 ask for 5, which is the safe side."""
    builder = GateBuilder()
    wire = builder.wire(builder.leaf("x"), "held")
    graph = builder.freeze([wire])
    found = aged(graph, {int(graph.kept[0]): 7.0}, steps=[0.0, 5.0])
    assert found.age.tolist() == [5.0]


def test_delays_on_a_way_add_up():
    """By hand: x behind 2 and 3 counts once it has been out for 5; y behind 3 only."""
    builder = GateBuilder()
    inner = builder.wire(builder.leaf("x"), "2")
    outer = builder.wire(builder.all_of([inner, builder.leaf("y")]), "3")
    graph = builder.freeze([inner, outer])
    delays = {graph.gate_of[inner]: 2.0, graph.gate_of[outer]: 3.0}
    found = aged(graph, delays, steps=[0.0, 2.0, 3.0, 5.0])
    assert sorted(zip(found.leaf.tolist(), found.age.tolist(), strict=True)) == [(0, 2.0), (0, 5.0), (1, 3.0)]
