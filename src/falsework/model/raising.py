"""What does it take to make a thing from nothing: how long, whose hands, from when on, and how is it checked?"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from falsework.model.declare import Record, key
from falsework.model.forms import Amount, Bound, Day, Guess, Inside, Names, Text
from falsework.units import Dimension, ThreePoint


@dataclass(frozen=True, slots=True, kw_only=True)
class Raising(Record):
    """What it takes to make a thing from nothing. A plain time stands for `takes`."""

    takes: ThreePoint | None = key(
        Guess(Dimension.TIME, "30..60..180 min"), "from having all it needs until it stands"
    )
    hands: float | None = key(
        Amount(Dimension.TIME, "20 min"), "how much of that is somebody's work; it begins with it"
    )
    by: Bound | None = key(Names("person"), "who can do it; anyone if not said")
    comes_on: datetime.date | None = key(Day(), "the day it is delivered; nothing begins before")
    command: str = key(Text(), "your own command, to be printed with the step; it is never run", default="")
    check: str = key(Text("how to see that it worked"), "how to see that it worked", default="")
    back: str = key(Text("how to go back"), "how to go back", default="")


def raising_from_text(text: str) -> Mapping[str, str] | None:
    """`30..60..180 min`."""
    return {"takes": text}


RAISING = Inside(Raising, short=raising_from_text, example="{takes: 30..60..180 min, hands: 20 min}")
