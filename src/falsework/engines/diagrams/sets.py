"""What does a family of sets look like, as a zero-suppressed diagram?

S. Minato 1993, "Zero-suppressed BDDs for set manipulation in combinatorial problems", DAC: a path from the root to
`UNIT` is one set, made of the variables whose high edge it takes; variables it passes over are not in the set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

NONE, UNIT = 0, 1
"""Numbers of the two ends: no set at all; just the empty set."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sets:
    """Families of sets that share nodes.

    Nodes 0 and 1 are the ends; every other node comes after both its children.

    Attributes:
        level: (n_nodes,) of each node's variable; ``n_levels`` for the ends.
        low: (n_nodes,) the sets without the variable.
        high: (n_nodes,) the sets with it, it taken out.
        root: the family that is meant.
        variable: (n_levels,) which variable stands at each level.
        inside: (n_levels,) where a variable stands for a family of its own, over other variables, its node; else -1.
            A set that holds the variable then stands for as many sets as the family has.
    """

    level: Sequence[int]
    low: Sequence[int]
    high: Sequence[int]
    root: int
    variable: Sequence[int]
    inside: Sequence[int]

    @property
    def n_nodes(self) -> int:
        """How many nodes there are, the two ends included."""
        return len(self.level)


class SetsBuilder:
    """Puts families together from below.

    Args:
        n_levels: how many variables there are.
    """

    def __init__(self, n_levels: int) -> None:
        self.level = [n_levels, n_levels]
        self.low = [NONE, UNIT]
        self.high = [NONE, UNIT]
        self._known: dict[tuple[int, int, int], int] = {}

    def node(self, level: int, low: int, high: int) -> int:
        """Return the family of the sets of `low` and, with the level's variable put in, those of `high`."""
        if high == NONE:
            return low
        key = (level, low, high)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = len(self.level)
            self.level.append(level)
            self.low.append(low)
            self.high.append(high)
        return found
