"""How is it seen that a service serves, and how is a loss tried on purpose?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from falsework.model.asks import Ask, Asks
from falsework.model.declare import key
from falsework.model.forms import Amount, Bound, Choice, Names, Ranged, Text
from falsework.model.parts import Thing
from falsework.units import Dimension, Quantity

SEEN = ("service", "alarm", "outside", "enclosure", "node", "switch", "ups", "strip", "controller")
"""What a probe may see."""
TRIED = ("loss", "cold start", "restore", "failover", "cut", "clock", "full disk")
"""What a drill may try."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe(Thing):
    """A question that users' machines ask too: what it shows is what they see."""

    IS: ClassVar[str] = "probe"
    asks: Ask = key(Asks(), "what it asks, and of whom", needed=True)
    sees: Bound | None = key(
        Names(*SEEN, one=True), "what stands if it is answered; the service with that address if not said"
    )
    whole: Bound | None = key(
        Names("store", one=True),
        "the store that is whole, with nothing left to rebuild, if it is answered; such a probe sees nothing else",
    )
    expects: str = key(
        Text("status 200, an address, or words of the answer"),
        "what a good answer has in it; any answer is good if not said",
        default="",
    )
    from_: Bound | None = key(
        Names("node", "outside", one=True),
        "where it asks from; the machine the stopwatch runs on if not said",
    )
    every: float | None = key(
        Amount(Dimension.TIME, "1 s"), "how often it asks; 1 s, and 100 ms in a drill, if not said"
    )
    patience: float | None = key(
        Amount(Dimension.TIME, "1 s"), "how long it waits for the answer; 1 s if not said"
    )
    false_alarms: Quantity | None = key(
        Ranged(Dimension.SHARE, "0.1 %"), "how often it is not answered although what it sees stands"
    )
    misses: Quantity | None = key(
        Ranged(Dimension.SHARE, "1 %"), "how often it is answered although what it sees is down"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill(Thing):
    """Something that is tried on purpose, to see whether the plan is true."""

    IS: ClassVar[str] = "drill"
    tries: str = key(Choice(*TRIED), "what it tries", default="loss")
    loses: Bound | None = key(Names(), "the parts that it takes out, all at once")
    of: Bound | None = key(Names("service", "data"), "the service or data that it is about")
    may_stop: Bound | None = key(
        Names("service"), "services that may be interrupted by it, whatever the aims say"
    )
    do: str = key(Text(), "your own command that begins it; run only on your word", default="")
    put_back: str = key(Text(), "your own command that ends it; run when it is over or given up", default="")
    stop_after: float | None = key(
        Amount(Dimension.TIME, "10 min"), "when it is given up and put back, whatever has happened"
    )
