"""Which figure was taken because the owner gave none, and how much hangs on it?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A figure that was taken for one that is missing.

    Attributes:
        key: the key of the lab file that would replace it.
        things: for whom it was taken, in lab order.
        value: the figure, as people say it, with its unit.
        source: who says so; 'common practice' or 'assumed' where that is the truth.
        of: the result that hangs on it, in a few words.
        low, high: that result with the figure at either end of what is usual, as people say it; both empty where
            nothing that is told depends on it.
        where: a place where the key would go.
    """

    key: str
    things: tuple[str, ...]
    value: str
    source: str
    of: str = ""
    low: str = ""
    high: str = ""
    where: Where | None = None
