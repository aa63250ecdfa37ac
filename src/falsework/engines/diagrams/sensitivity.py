"""How much does each function's probability change with each variable's?

dP(root)/dp(variable) is Birnbaum's importance (Z. W. Birnbaum 1969, "On the importance of different components in
a multicomponent system", Multivariate Analysis II). P is linear in every p, so this is P with the variable true less
P with it false. All are found in one pass up and one down: with G(node) the derivative of P(root) by P(node),

    G(low) += (1 - p) G(node),  G(high) += p G(node),  dP/dp = sum over the level of G(node) (P(high) - P(low)),

the chain rule from the root down (reverse accumulation; A. Rauzy 1993 section 4 has the same for one variable).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.diagrams.flat import Flat
from falsework.engines.diagrams.layers import FIRST, layers
from falsework.engines.diagrams.probability import Floats, node_probability

_CHUNK_BYTES = 64 << 20


def sensitivity(flat: Flat, p: Floats) -> Floats:
    """Work out the derivative of each root's probability by each level's.

    Args:
        flat: the diagram.
        p: (n_levels,) or (n_levels, n_columns).

    Returns:
        (n_roots, n_levels) or (n_roots, n_levels, n_columns); 0 for variables the root does not depend on.
    """
    p = np.asarray(p, dtype=np.float64)
    columns = p[:, None] if p.ndim == 1 else p
    out = np.zeros((len(flat.roots), *columns.shape))
    parents = _Parents.of(flat)
    width = max(_CHUNK_BYTES // (8 * flat.n_nodes), 1)
    for start in range(0, columns.shape[1], width):
        part = columns[:, start : start + width].copy()
        value = node_probability(flat, part)
        if flat.inside is not None:
            inner = np.flatnonzero(flat.inside >= 0)
            part[inner] = value[flat.inside[inner]]
        for row, root in enumerate(flat.roots.tolist()):
            out[row, :, start : start + width] = _down(flat, parents, part, value, root)[1]
    return out[:, :, 0] if p.ndim == 1 else out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Parents:
    """The edges, sorted by the node they lead to, so that a whole level sums up what comes in.

    Attributes:
        first: (n_nodes + 1,) where the edges into each node begin.
        parent: (n_edges,) where each comes from.
        is_high: (n_edges,) whether it is the edge for true.
    """

    first: NDArray[np.int64]
    parent: NDArray[np.int64]
    is_high: NDArray[np.bool_]

    @staticmethod
    def of(flat: Flat) -> _Parents:
        n = flat.n_nodes - FIRST
        child = np.concatenate([flat.low[FIRST:], flat.high[FIRST:]])
        order = np.argsort(child, kind="stable")
        return _Parents(
            first=np.searchsorted(child[order], np.arange(flat.n_nodes + 1)),
            parent=order % max(n, 1) + FIRST,
            is_high=order >= n,
        )


def reach(flat: Flat, p: Floats) -> Floats:
    """Work out how likely the walk from the first root comes by each node: dP(root)/dP(node).

    Args:
        flat: the diagram; no level of it may stand for another function.
        p: (n_levels, n_columns).

    Returns:
        (n_nodes, n_columns); for the two terminals 0.
    """
    value = np.zeros((flat.n_nodes, p.shape[1]))
    return _down(flat, _Parents.of(flat), p, value, int(flat.roots[0]))[0]


def _down(flat: Flat, parents: _Parents, p: Floats, value: Floats, root: int) -> tuple[Floats, Floats]:
    gradient = np.zeros_like(value)
    out = np.zeros_like(p)
    for level, start, stop in reversed(layers(flat)):
        if start > root:
            continue
        a, b = int(parents.first[start]), int(parents.first[stop])
        if b > a:
            parent = parents.parent[a:b]
            weight = p[flat.level[parent]]
            low = ~parents.is_high[a:b]
            weight[low] = 1.0 - weight[low]
            weight *= gradient[parent]
            first = parents.first[start : stop + 1] - a
            some = np.flatnonzero(np.diff(first))
            gradient[start + some] += np.add.reduceat(weight, first[some], axis=0)
        if start <= root < stop:
            gradient[root] += 1.0
        change = value[flat.high[start:stop]] - value[flat.low[start:stop]]
        out[level] = np.einsum("nc,nc->c", gradient[start:stop], change)
        if flat.inside is not None and flat.inside[level] >= 0:
            gradient[flat.inside[level]] += out[level]
    return gradient, out
