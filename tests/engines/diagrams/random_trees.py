"""Small random fault trees, and the slow obvious way to judge what is said of them."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import strategies as st

from falsework.engines.trees.tree import Gate, Op, Tree

COHERENT = (Op.AND, Op.OR, Op.AT_LEAST, Op.SAME, Op.CONSTANT)


@st.composite
def trees(draw, *, coherent=False, most_events=7, most_gates=9):
    """A tree with few events; gates often share inputs."""
    n = draw(st.integers(1, most_events))
    ops = [Op.AND, Op.AND, Op.OR, Op.OR, Op.AT_LEAST, Op.SAME] + ([] if coherent else [Op.XOR, Op.NOT])
    gates = []
    for number in range(draw(st.integers(1, most_gates))):
        op = draw(st.sampled_from([*ops, Op.CONSTANT] if draw(st.integers(0, 15)) == 0 else ops))
        if op is Op.CONSTANT:
            gates.append(Gate(op=op, inputs=(), k=draw(st.integers(0, 1))))
            continue
        size = 1 if op in (Op.NOT, Op.SAME) else draw(st.integers(1, 4))
        inputs = tuple(draw(st.lists(st.integers(0, n + number - 1), min_size=size, max_size=size)))
        gates.append(Gate(op=op, inputs=inputs, k=draw(st.integers(1, size)) if op is Op.AT_LEAST else 0))
    probabilities = tuple(draw(st.lists(st.floats(0.001, 0.9), min_size=n, max_size=n)))
    return Tree(
        name="random",
        events=tuple(f"e{i}" for i in range(n)),
        probabilities=probabilities,
        gates=tuple(gates),
        gate_names=tuple(f"g{i}" for i in range(len(gates))),
        top=n + len(gates) - 1,
    )


def truth(tree, failed):
    """Whether the top event happens when exactly these events have."""
    values = [i in failed for i in range(len(tree.events))]
    for gate in tree.gates:
        of = [values[i] for i in gate.inputs]
        values.append(
            {
                Op.AND: all(of),
                Op.OR: any(of),
                Op.AT_LEAST: sum(of) >= gate.k,
                Op.XOR: sum(of) % 2 == 1,
                Op.NOT: not of[0] if of else False,
                Op.SAME: of[0] if of else False,
                Op.CONSTANT: gate.k == 1,
            }[gate.op]
        )
    return values[tree.top]


def all_true(tree):
    """Every set of events that makes the top event happen while all others do not."""
    n = len(tree.events)
    sets = (frozenset(np.flatnonzero(bits).tolist()) for bits in product((0, 1), repeat=n))
    return [failed for failed in sets if truth(tree, failed)]


def exact(tree, probabilities=None):
    """The probability of the top event, summed over all states."""
    p = tree.probabilities if probabilities is None else probabilities
    return float(
        sum(np.prod([p[i] if i in s else 1 - p[i] for i in range(len(tree.events))]) for s in all_true(tree))
    )


def minimal(tree):
    """The sets that make the top event happen and hold no other that does."""
    every = sorted(all_true(tree), key=len)
    kept = []
    for failed in every:
        if not any(other < failed for other in kept):
            kept.append(failed)
    return sorted(kept, key=lambda s: (len(s), sorted(s)))


def tree_of(n_events, *gates, q=None):
    """A tree of gates given as (op, inputs) or (op, inputs, k), the last the top; every event as likely as not."""
    made = tuple(Gate(op=g[0], inputs=tuple(g[1]), k=g[2] if len(g) > 2 else 0) for g in gates)
    return Tree(
        name="made",
        events=tuple(f"e{i}" for i in range(n_events)),
        probabilities=(0.5,) * n_events if q is None else tuple(q),
        gates=made,
        gate_names=tuple(f"g{i}" for i in range(len(made))),
        top=n_events + len(made) - 1,
    )


def small():
    """Three pairs of which one must fail."""
    return tree_of(6, *((Op.AND, [2 * i, 2 * i + 1]) for i in range(3)), (Op.OR, [6, 7, 8]))
