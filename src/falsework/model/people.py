"""Who mends, what tells a fault, what stands in, what is there today, and what must be true?"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from falsework.model.declare import Record, key
from falsework.model.forms import (
    Amount,
    Bound,
    Choice,
    Count,
    Day,
    Flag,
    Guess,
    Inside,
    Listed,
    Names,
    Text,
)
from falsework.model.parts import Thing
from falsework.units import Dimension, ThreePoint

VERDICTS = ("stands", "thin", "blinks", "falls", "lost")
"""From best to worst (design: what a failure does to a service)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person(Thing):
    """Someone who can mend things."""

    IS: ClassVar[str] = "person"
    works: str = key(Text("hours such as Mon-Fri 19:00-22:00 and Sat 09:00-17:00"), "when", default="")
    away: tuple[datetime.date, ...] = key(Listed(Day()), "days on which they do not work", default=())
    comes_in: float | None = key(Amount(Dimension.TIME, "40 min"), "how long until hands are on site")
    notices_in: float | None = key(
        Amount(Dimension.TIME, "1 day"), "how long until a fault is noticed without an alarm"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm(Thing):
    """A way by which a fault is told to someone: it works only if every step of the way does."""

    IS: ClassVar[str] = "alarm"
    raised_by: Bound | None = key(Names("service"), "the service that sees the fault", needed=True)
    leaves_by: Bound | None = key(Names(), "every step that the message passes, in order", needed=True)
    told_in: float | None = key(Amount(Dimension.TIME, "5 min"), "from fault to message")
    silence_seen_by: Bound | None = key(Names(), "who outside notices when nothing comes any more")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare(Record):
    """Spares of one kind."""

    shelf: int = key(Count(0, 10_000), "how many lie on the shelf", default=0)
    comes_in: float | None = key(Amount(Dimension.TIME, "5 days"), "how long another one takes to arrive")
    price: str = key(Text(), "what it costs", default="")


def spare_from_text(text: str) -> Mapping[str, str] | None:
    """`2` on the shelf."""
    return {"shelf": text} if text.isdigit() else None


SPARE = Inside(Spare, short=spare_from_text, example="2, or {shelf: 2, comes in: 5 days}")


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIn(Thing):
    """Something temporary that meets needs until the real thing stands."""

    IS: ClassVar[str] = "stand-in"
    for_: Bound | None = key(Names(), "what it stands in for", needed=True)
    costs: float | None = key(Amount(Dimension.TIME, "2 h"), "what it costs to set up")
    until: Bound | None = key(Names(), "it is retired once these stand; what it stands in for if not said")
    address: str = key(Text("an address"), "its address, if clients will learn it", default="")
    on: Bound | None = key(Names("node", one=True), "the node it runs on; a box of its own if not said")
    speed: float | None = key(
        Amount(Dimension.SPEED, "1 Gb/s"), "how fast its state can be read and sent, if less than the wire"
    )
    gathers: float | None = key(
        Amount(Dimension.DATA, "2 GiB"),
        "how much state it holds when the real thing takes over; all of the data of what it stands in for if not said",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Out(Record):
    """A part that is known to be out."""

    part: Bound = key(Names(), "the part", needed=True)
    since: datetime.date | None = key(Day(), "since when")


@dataclass(frozen=True, slots=True, kw_only=True)
class Today(Record):
    """How things are today."""

    built: Bound | None = key(Names(), "what already stands; all if not said")
    not_built: Bound | None = key(Names(), "what does not stand yet")
    out: tuple[Out, ...] = key(
        Listed(Inside(Out, short=lambda text: {"part": text}, example="desk-3")),
        "parts that are known to be out",
        default=(),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(Record):
    """One step of an order of work written by hand."""

    do: str = key(Text("what is done"), "what is done, in a few words", needed=True)
    brings: Bound | None = key(Names(), "what stands after it")
    with_: Bound | None = key(Names(), "the stand-ins that it sets up")
    retires: Bound | None = key(Names(), "the stand-ins, services or nodes that it stops")
    repoints: Bound | None = key(Names(), "the clients that it points at the new place")
    moves: Bound | None = key(
        Names("service", "data"), "what gives its state to its permanent home in this step"
    )
    takes: ThreePoint | None = key(Guess(Dimension.TIME, "1..2..4 h"), "how long")
    hands: float | None = key(Amount(Dimension.TIME, "20 min"), "how much of that is work")
    by: Bound | None = key(Names("person"), "who can do it; anyone if not said")
    command: str = key(Text(), "your own command, to be printed with the step; it is never run", default="")
    check: str = key(Text("how to see that it worked"), "how to see that it worked", default="")
    back: str = key(Text("how to go back"), "how to go back", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim(Record):
    """Something that must be true of the lab."""

    name: str = ""
    lose: Bound | None = key(Names(), "any one of these may be lost: words such as node or strip, or names")
    at_once: int = key(Count(1, 4), "how many of them at the same time", default=1)
    at_most: str = key(Choice(*VERDICTS), "the worst that may happen then", default="blinks")
    of: Bound | None = key(Names("service", "data"), "the services it is about; all if not said")
    within: float | None = key(
        Amount(Dimension.TIME, "15 min"),
        "only what happens in this time counts; for a cold start, the time it may take",
    )
    blinks_under: float | None = key(Amount(Dimension.TIME, "1 min"), "no interruption may be longer")
    out_under: float | None = key(Amount(Dimension.TIME, "60 min"), "expected time out in a year")
    cold_start: str = key(
        Choice("without hands", "without outside help", "at all"),
        "that it all comes back after a power cut",
        default="",
    )
    room_without: Bound | None = key(Names(), "all copies have room with any one of these gone")
    told: bool = key(Flag(), "yes: whatever falls, an alarm leaves", default=False)
    addresses_kept: bool = key(
        Flag(), "yes: no address changes under its clients during the build", default=False
    )
    during_build: bool = key(Flag(), "yes: must hold at every step of the build too", default=False)
