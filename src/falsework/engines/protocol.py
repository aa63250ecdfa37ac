"""What must an engine that evaluates gates be able to do?"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Protocol

from falsework.engines.gates import BoolArray


class Engine(Protocol):
    """Answers for the graph it was built from; all engines give the same answers."""

    def stands(self, failures: Sequence[Collection[int]]) -> BoolArray:
        """Which kept gates are true in each scenario.

        Args:
            failures: for each scenario the rows of the leaves that are false in it; the others are true.

        Returns:
            Bool (n_kept, n_scenarios), rows in the order the graph keeps them.
            Failing more leaves never makes a gate true.
        """
        ...
