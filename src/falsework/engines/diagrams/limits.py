"""How big may a diagram get, and what is said when it gets bigger?"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from falsework.errors import LimitError

Progress = Callable[[str, int, int], None]
"""Told what is being done, how far it is and how far it goes; the last may be 0 for not known."""

BYTES_PER_NODE = 48
"""Upper end of what one node takes while a diagram is built, tables and caches included; measured, 0010."""


class Bound(StrEnum):
    """What can run out."""

    NODES = "nodes"
    SECONDS = "seconds"
    MEMORY = "memory"


class TooLarge(LimitError):
    """A diagram would outgrow what was allowed.

    Args:
        bound: what ran out.
        allowed: how much of it was allowed: nodes, seconds, or bytes.
        doing: what was being done.
    """

    def __init__(self, bound: Bound, allowed: float, doing: str) -> None:
        self.bound = bound
        self.allowed = allowed
        amount = {
            Bound.NODES: f"{allowed:,.0f} nodes",
            Bound.SECONDS: f"{allowed:,.3g} seconds",
            Bound.MEMORY: f"{allowed / 2**20:,.0f} MiB",
        }[bound]
        super().__init__(
            f"{doing} takes more than the {amount} allowed",
            f"Allow more {bound}, or ask for bounds instead of an exact answer.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What may be used.

    Attributes:
        nodes: nodes alive at a time, garbage not yet swept included.
        memory_bytes: for the nodes and their tables; both bounds hold.
        until: when to stop, on the clock of `time.perf_counter`; None for never.
        seconds: how long that was from the start, for the message only.
    """

    nodes: int = 1 << 25
    memory_bytes: int = 2 << 30
    until: float | None = None
    seconds: float = 0.0

    @staticmethod
    def within(seconds: float, *, nodes: int = 1 << 25, memory_bytes: int = 2 << 30) -> Limits:
        """Return limits of which the time starts to run now."""
        return Limits(
            nodes=nodes, memory_bytes=memory_bytes, until=time.perf_counter() + seconds, seconds=seconds
        )

    @property
    def capacity(self) -> int:
        """How many nodes fit in."""
        return max(min(self.nodes, self.memory_bytes // BYTES_PER_NODE, (1 << 31) - 2), 16)

    @property
    def left(self) -> float:
        """Seconds left; infinite where time is not bounded."""
        return float("inf") if self.until is None else self.until - time.perf_counter()

    def full(self, doing: str) -> TooLarge:
        """Return the error that says nodes ran out, naming the tighter of the two bounds."""
        if self.nodes <= self.memory_bytes // BYTES_PER_NODE:
            return TooLarge(Bound.NODES, self.nodes, doing)
        return TooLarge(Bound.MEMORY, self.memory_bytes, doing)

    def check(self, doing: str) -> None:
        """Look at the clock.

        Raises:
            TooLarge: the time is over.
        """
        if self.until is not None and time.perf_counter() > self.until:
            raise TooLarge(Bound.SECONDS, self.seconds, doing)
