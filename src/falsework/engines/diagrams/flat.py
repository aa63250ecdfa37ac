"""What does a finished decision diagram look like, as arrays?

A reduced ordered binary decision diagram (R. E. Bryant 1986, "Graph-based algorithms for Boolean function
manipulation", IEEE Transactions on Computers C-35(8)), without complemented edges, of one function or of
several that share nodes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FALSE, TRUE = 0, 1
"""Numbers of the two terminal nodes."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flat:
    """A diagram read out.

    Node 0 is false and node 1 is true; every other node comes after both its children, so nodes are sorted
    by level, deepest first.

    Attributes:
        level: (n_nodes,) place of the node's variable in the order, 0 at the top; ``n_levels`` for terminals.
        low: (n_nodes,) the child where the variable is 0 (the event did not happen); terminals name themselves.
        high: (n_nodes,) the child where it is 1.
        roots: (n_roots,) the node of each function.
        variable: (n_levels,) which variable stands at each level.
        inside: (n_levels,) where a level's variable stands for another function of this diagram, which shares no
            variable with the rest and lies wholly below: that function's node; else -1. None where there is no such.
    """

    level: NDArray[np.int32]
    low: NDArray[np.int32]
    high: NDArray[np.int32]
    roots: NDArray[np.int32]
    variable: NDArray[np.int32]
    inside: NDArray[np.int32] | None = None

    @property
    def n_nodes(self) -> int:
        """How many nodes there are, the two terminals included."""
        return len(self.level)

    @property
    def n_levels(self) -> int:
        """How many variables there are."""
        return len(self.variable)
