"""What does a writer of explanations look at?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from falsework import units
from falsework.analyses.comparing import Comparison, Line
from falsework.analyses.comparing.compare import prediction
from falsework.analyses.verdicts import Down, Loss
from falsework.findings.edits.writing import Edit
from falsework.model.lab import Lab
from falsework.model.parts import Thing, ThingId
from falsework.model.services import Copy, Service
from falsework.support.standing import Standing
from falsework.units import Dimension

NAMED = (
    "service", "store", "key", "node", "enclosure", "switch", "ups", "strip", "circuit", "outside", "rack", "room",
)  # fmt: skip
"""What an owner would name in a need, the likest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change of the lab file that may explain what was seen.

    Attributes:
        edit: the change.
        rank: how likely it is beforehand, 0 for the likeliest.
        way: what it is one of: a need, a hold, a time, a copy, a plug.
    """

    edit: Edit
    rank: int
    way: str = ""


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A lab, what was taken out, and one thing that was seen to do otherwise.

    Attributes:
        standing: the lab, with what was out beforehand.
        comparison: the run beside it.
        line: the thing.
    """

    standing: Standing
    comparison: Comparison
    line: Line

    @property
    def lab(self) -> Lab:
        """The lab."""
        return self.standing.lab

    @cached_property
    def loss(self) -> Loss:
        """What the lab file says of what was taken out."""
        return prediction(self.standing, self.comparison.lost).loss

    @cached_property
    def gone(self) -> tuple[Thing, ...]:
        """What was lost or fell with it and has a name of its own, the likest to be needed first."""
        names = dict.fromkeys((*self.comparison.lost, *self.loss.down))
        things = [self.lab.things[ThingId(name)] for name in names if ThingId(name) in self.lab.things]
        return tuple(
            sorted((each for each in things if each.IS in NAMED), key=lambda each: NAMED.index(each.IS))
        )

    @cached_property
    def gone_names(self) -> frozenset[str]:
        """All that was lost or fell with it."""
        return frozenset((*self.comparison.lost, *self.loss.down))

    def down(self, name: str) -> Down | None:
        """When a thing is down, as the lab file says."""
        return self.loss.down.get(name)

    def falls_s(self, name: str) -> float:
        """When it falls: at once where it was taken out."""
        at = self.loss.down.get(name)
        return at.falls_s if at is not None else 0.0

    def leans(self, name: str, on: str) -> bool:
        """Whether one thing leans on another, by whatever way."""
        return on in self.standing.support.under(name)

    @cached_property
    def under(self) -> tuple[Thing, ...]:
        """The thing, and everything that it leans on by whatever way."""
        names = dict.fromkeys((self.line.thing, *sorted(self.standing.support.under(self.line.thing))))
        return tuple(self.lab.things[ThingId(name)] for name in names if ThingId(name) in self.lab.things)

    def services(self) -> Iterator[Service]:
        """The service itself, then those that it leans on."""
        return (each for each in self.under if isinstance(each, Service))

    def copies(self, service: Service) -> tuple[Copy, ...]:
        """The copies of a service, in order."""
        return tuple(copy for copy in self.lab.of(Copy) if copy.service == service.id)

    @property
    def came_back(self) -> bool:
        """Whether it was seen to fall and to come back before it was put back."""
        return self.line.ended and math.isfinite(self.line.lasts_s)

    @property
    def window_s(self) -> float:
        """How long it was out, seconds."""
        return self.comparison.until_s - self.comparison.from_s


def written_time(seconds: float) -> str:
    """A time as one would write it into the file: three figures are enough."""
    if seconds <= 0:
        return "0 s"
    step = 10.0 ** (math.floor(math.log10(seconds)) - 2)
    rounded = max(round(seconds / step) * step, 0.01)
    return units.format(round(rounded, 3), Dimension.TIME)
