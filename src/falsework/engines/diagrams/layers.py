"""Which nodes of a diagram stand at the same level?"""

from __future__ import annotations

import numpy as np

from falsework.engines.diagrams.flat import Flat

FIRST = 2
"""Number of the first node that is not a terminal."""


def layers(flat: Flat) -> list[tuple[int, int, int]]:
    """List (level, first node, last node + 1) of every level that has nodes, the deepest first."""
    level = flat.level[FIRST:]
    if not len(level):
        return []
    cuts = np.flatnonzero(np.diff(level)) + FIRST + 1
    starts = [FIRST, *cuts.tolist()]
    stops = [*cuts.tolist(), flat.n_nodes]
    return list(zip(flat.level[starts].tolist(), starts, stops, strict=True))
