"""Which random fault trees do the tests run on, and what do they say, read word for word?"""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import strategies as st

from falsework.engines.trees.tree import Gate, Op, Tree

COHERENT = (Op.AND, Op.OR, Op.AT_LEAST, Op.SAME)
EVERY = (*COHERENT, Op.XOR, Op.NOT, Op.CONSTANT)


def tree_of(n_events, *gates, q=None):
    """A tree of events named e0, e1, ... and gates given as (op, inputs) or (op, inputs, k); the last is the top."""
    made = tuple(Gate(op=g[0], inputs=tuple(g[1]), k=g[2] if len(g) > 2 else 0) for g in gates)
    return Tree(
        name="drawn",
        events=tuple(f"e{i}" for i in range(n_events)),
        probabilities=tuple(q) if q is not None else (None,) * n_events,
        gates=made,
        gate_names=tuple(f"g{i}" for i in range(len(made))),
        top=n_events + len(made) - 1,
    )


@st.composite
def trees(draw: st.DrawFn, *, ops=EVERY, max_events: int = 7, max_gates: int = 8) -> Tree:
    """A tree in which gates are shared, inputs repeat, and some events are not used."""
    n = draw(st.integers(1, max_events))
    gates = []
    for number in range(draw(st.integers(1, max_gates))):
        op = draw(st.sampled_from(ops))
        single = op in (Op.NOT, Op.SAME)
        count = 0 if op is Op.CONSTANT else 1 if single else draw(st.integers(1, 5))
        inputs = [draw(st.integers(0, n + number - 1)) for _ in range(count)]
        k = draw(st.integers(1, count)) if op is Op.AT_LEAST else draw(st.integers(0, 1)) if not count else 0
        gates.append((op, inputs, k))
    return tree_of(n, *gates)


@st.composite
def chances(draw: st.DrawFn, tree: Tree, *, sure: bool = True):
    """Probabilities (n_events, n_columns) for a tree; 0 and 1 too if `sure`."""
    columns = draw(st.integers(1, 3))
    one = st.floats(0, 1) if sure else st.floats(1e-6, 1 - 1e-6)
    drawn = draw(st.lists(one, min_size=len(tree.events) * columns, max_size=len(tree.events) * columns))
    return np.array(drawn).reshape(len(tree.events), columns)


def happens(tree, state):
    """Whether the top event happens when just the events in `state` do, straight from the definition."""
    value = [event in state for event in range(len(tree.events))]
    for gate in tree.gates:
        given = [value[node] for node in gate.inputs]
        match gate.op:
            case Op.AND:
                value.append(all(given))
            case Op.OR:
                value.append(any(given))
            case Op.AT_LEAST:
                value.append(sum(given) >= gate.k)
            case Op.XOR:
                value.append(sum(given) % 2 == 1)
            case Op.NOT:
                value.append(not given[0])
            case Op.SAME:
                value.append(given[0])
            case Op.CONSTANT:
                value.append(bool(gate.k))
    return value[tree.top]


def states(tree):
    """Every set of events, smallest first."""
    events = range(len(tree.events))
    return [frozenset(s) for size in range(len(events) + 1) for s in itertools.combinations(events, size)]
