"""What is taken for a figure that the owner may leave out, and what is usual?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure that may be missing.

    Attributes:
        key: of the lab file that would say it.
        value, low, high: what is taken, and what is usual, in base units.
        says: the value as people say it.
        source: who says so.
    """

    key: str
    value: float
    low: float
    high: float
    says: str
    source: str

    def taken(
        self,
        things: Sequence[str],
        *,
        of: str = "",
        low: str = "",
        high: str = "",
        where: Where | None = None,
    ) -> Taken:
        """How it is told that it was taken for some things.

        Args:
            things: for whom, in lab order.
            of: the result that hangs on it.
            low: that result with the figure at its low end, as people say it.
            high: the same at its high end; where it is as at the low one, neither is told.
            where: a place where the key would go.
        """
        hangs = low != high
        return Taken(
            key=self.key,
            things=tuple(things),
            value=self.says,
            source=self.source,
            of=of,
            low=low if hangs else "",
            high=high if hangs else "",
            where=where,
        )
