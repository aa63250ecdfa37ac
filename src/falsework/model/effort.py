"""How long does it take to make a thing from nothing, and how much of that is somebody's work?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.model.parts import Thing
from falsework.model.people import StandIn
from falsework.units import ThreePoint

MINUTE = 60.0
HOUR = 3600.0

SOURCE = "assumed"
"""Nobody but us says so; each is told as assumed wherever it is used."""

_ASSUMED: dict[str, tuple[float, float, float, float]] = {
    "circuit": (30, 60, 240, 30),
    "ups": (20, 40, 90, 30),
    "strip": (5, 10, 20, 10),
    "enclosure": (20, 40, 90, 40),
    "node": (30, 60, 180, 20),
    "switch": (20, 40, 120, 40),
    "store": (10, 30, 120, 15),
    "pool": (30, 60, 240, 30),
    "service": (20, 60, 240, 20),
    "alarm": (10, 20, 60, 20),
    "stand-in": (30, 60, 120, 60),
}
"""Least, most likely and most minutes, and the minutes of work at the start, by the word of the thing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """What making one thing takes.

    Attributes:
        takes: seconds from having all it needs until it stands.
        hands_s: seconds of somebody's work, at its start; not more than most likely taken.
        assumed: whether either was assumed.
    """

    takes: ThreePoint
    hands_s: float
    assumed: bool


def effort(thing: Thing) -> Effort:
    """What the owner says under `raising`, else what is assumed for such a thing; nothing for what has no part in it."""
    said = thing.raising
    low, likely, high, hands = (MINUTE * each for each in _ASSUMED.get(thing.IS, (0, 0, 0, 0)))
    takes = ThreePoint(low=low, likely=likely, high=high)
    known = said is not None and said.takes is not None
    if said is not None and said.takes is not None:
        takes = said.takes
    elif isinstance(thing, StandIn) and thing.costs is not None:
        takes, hands, known = (
            ThreePoint(low=thing.costs, likely=thing.costs, high=thing.costs),
            thing.costs,
            True,
        )
    if said is not None and said.hands is not None:
        hands = said.hands
    return Effort(takes=takes, hands_s=min(hands, takes.likely), assumed=not known and takes.high > 0)
