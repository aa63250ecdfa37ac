"""How likely is each function to be true, given how likely each variable is?

P(node) = (1 - p) P(low) + p P(high) for independent variables: the expansion by which the diagram is made
(A. Rauzy 1993, "New algorithms for fault trees analysis", Reliability Engineering and System Safety 40, section 4).
Exact up to rounding: only sums and products of numbers between 0 and 1, so small ones keep their digits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from falsework.engines.diagrams.flat import TRUE, Flat
from falsework.engines.diagrams.layers import layers

Floats = NDArray[np.float64]

_CHUNK_BYTES = 128 << 20


def by_level(flat: Flat, of_variable: Floats) -> Floats:
    """Sort rows given by variable number into the order of levels.

    Args:
        flat: the diagram.
        of_variable: (n, ...) where every variable of the diagram is less than n.
    """
    taken: Floats = np.asarray(of_variable, dtype=np.float64)[flat.variable]
    return taken


def probability(flat: Flat, p: Floats) -> Floats:
    """Work out how likely each root is.

    Args:
        flat: the diagram.
        p: (n_levels,) or (n_levels, n_columns) probability that the variable of each level is true; see `by_level`.

    Returns:
        (n_roots,) or (n_roots, n_columns).

    Cost:
        One pass over the nodes, whole levels at a time; columns in portions, so that memory stays small.
    """
    p = np.asarray(p, dtype=np.float64)
    if p.ndim == 1:
        found: Floats = node_probability(flat, p[:, None])[flat.roots, 0]
        return found
    out = np.empty((len(flat.roots), p.shape[1]))
    width = max(_CHUNK_BYTES // (8 * flat.n_nodes), 1)
    for start in range(0, p.shape[1], width):
        out[:, start : start + width] = node_probability(flat, p[:, start : start + width])[flat.roots]
    return out


def node_probability(flat: Flat, p: Floats) -> Floats:
    """Work out how likely each node is.

    Args:
        flat: the diagram.
        p: (n_levels, n_columns); what it says of levels that stand for another function is not looked at.

    Returns:
        (n_nodes, n_columns).
    """
    value = np.empty((flat.n_nodes, p.shape[1]))
    value[:TRUE] = 0.0
    value[TRUE] = 1.0
    for level, start, stop in layers(flat):
        likely = p[level]
        if flat.inside is not None and flat.inside[level] >= 0:
            likely = value[flat.inside[level]]
        of_low = value[flat.low[start:stop]]
        of_low *= 1.0 - likely
        of_high = value[flat.high[start:stop]]
        of_high *= likely
        np.add(of_low, of_high, out=value[start:stop])
    return value
