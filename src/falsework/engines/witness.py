"""What would prove, as things are before anything fails, that each gate of a least fixed point rises?

Of the gates that rose before it, a witness names enough to make a gate rise: all of an all-of, one of an any-of,
k of an at-least, of a box all.
While its witness stands the gate stands; so after a failure the witnesses give a first guess that is never too
high, from which rising is short.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from falsework.engines.gates import Kind
from falsework.engines.schedule import Layer, Loop, Rule, layer


def witnesses(loop: Loop, rank: Mapping[int, int]) -> tuple[Layer, ...]:
    """All-of gates, in layers, that stand in for the loop's own.

    Args:
        loop: an inner loop.
        rank: for each true gate inside when it rose, later being higher; true gates outside count as -1.
            Gates that never rose, inside or outside, are in it too, as None would be: absent ones are outside.
    """
    proofs = {
        row: proof for step in (*_layers(loop), loop.close) for row, proof in _proofs(step, rank).items()
    }
    level: dict[int, int] = {}
    layers: defaultdict[int, list[Rule]] = defaultdict(list)
    for row in sorted(proofs, key=lambda row: rank[row]):
        proof = proofs[row]
        level[row] = 1 + max(level.get(source, -1) for source in proof)
        layers[level[row]].append(Rule(row=row, kind=Kind.ALL, inputs=proof))
    return tuple(layer(layers[depth]) for depth in sorted(layers))


def _layers(loop: Loop) -> tuple[Layer, ...]:
    """The loop's steps; an inner loop has no loops inside."""
    return tuple(step for step in loop.steps if isinstance(step, Layer))


def _proofs(step: Layer, rank: Mapping[int, int]) -> dict[int, tuple[int, ...]]:
    """For each true row, distinct true inputs of lower rank that suffice; rows that need none are left out."""
    proofs: dict[int, tuple[int, ...]] = {}
    for batch in step.batches:
        for row, inputs in zip(batch.rows.tolist(), batch.inputs.T.tolist(), strict=True):
            outputs = batch.oracle.outputs if batch.oracle else (row,)
            for output in outputs:
                if output not in rank:
                    continue
                earlier = sorted((rank[s], s) for s in inputs if s in rank and rank[s] < rank[output])
                needed = {Kind.ANY: 1, Kind.AT_LEAST: batch.k}.get(batch.kind, len(earlier))
                if earlier:
                    proofs[output] = tuple(sorted({source for _, source in earlier[:needed]}))
    return proofs
