"""What is a cold start?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdStart:
    """A start from nothing but mains.

    Attributes:
        up_s: when each thing that comes up is up, seconds after the power is back.
        stuck: services and nodes that stay down, in lab order.
        circles: things that wait for each other, smallest circle first; each ends where it began.
        by_hand: things that stay off until a hand switches them on.
        too_early: things that tried once, before what they need was there.
        off_s: how long the power was out, seconds; None where nobody asked.
        expired: keys and certificates that ran out meanwhile, in lab order.
        doubtful: those that ran out only if less than that was left when the power went: it was out for a third
            of what they last, or longer.
    """

    up_s: Mapping[str, float]
    stuck: tuple[str, ...]
    circles: tuple[tuple[str, ...], ...]
    by_hand: tuple[str, ...]
    too_early: tuple[str, ...]
    off_s: float | None = None
    expired: tuple[str, ...] = ()
    doubtful: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether everything comes back."""
        return not self.stuck
