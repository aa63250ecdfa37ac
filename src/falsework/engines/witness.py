"""What would prove, as things are before anything fails, that each promise of a least fixed point rises?

A gate that rose rests on gates that rose before it: all of an all-of, one of an any-of, k of an at-least,
for a box all its true inputs of that moment.
Followed down to other promises and to gates outside the loop, this gives each promise its witness, a set.
While its whole witness stands the promise stands; so after a failure the witnesses give a first guess that is
never too high, from which rising is short.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from falsework.engines.gates import Kind
from falsework.engines.schedule import Layer, Loop, Rule, layer


def witnesses(loop: Loop, rank: Mapping[int, int]) -> tuple[Layer, ...]:
    """All-of gates, in layers, that stand in for the loop's promises.

    Args:
        loop: an inner loop.
        rank: for each true gate in the loop when it rose, later being higher; -1 for true gates it reads.
    """
    promises = set(loop.close.rows.tolist())
    resting = _resting(loop, rank)
    proofs: dict[int, frozenset[int]] = {}  # of a gate to be looked through
    depth: dict[int, int] = {}
    layers: defaultdict[int, list[Rule]] = defaultdict(list)
    for row in sorted(resting, key=lambda row: rank[row]):
        below = [proofs.get(source, frozenset({source})) for source in resting[row]]
        proof = frozenset[int]().union(*below)
        if row not in promises:
            proofs[row] = proof
        elif proof:
            depth[row] = 1 + max(depth.get(source, -1) for source in proof)
            layers[depth[row]].append(Rule(row=row, kind=Kind.ALL, inputs=tuple(sorted(proof))))
    return tuple(layer(layers[level]) for level in sorted(layers))


def _resting(loop: Loop, rank: Mapping[int, int]) -> dict[int, tuple[int, ...]]:
    """For each true row of the loop, true rows of lower rank that suffice for it."""
    resting: dict[int, tuple[int, ...]] = {}
    for step in (*loop.steps, loop.close):
        assert isinstance(step, Layer), "a least loop has no loops inside"
        for batch in step.batches:
            for row, inputs in zip(batch.rows.tolist(), batch.inputs.T.tolist(), strict=True):
                for output in batch.oracle.outputs if batch.oracle else (row,):
                    if output in rank:
                        earlier = sorted((rank[s], s) for s in inputs if s in rank and rank[s] < rank[output])
                        needed = {Kind.ANY: 1, Kind.AT_LEAST: batch.k}.get(batch.kind, len(earlier))
                        resting[output] = tuple(source for _, source in earlier[:needed])
    return resting
