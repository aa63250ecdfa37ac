"""What comes out where a run is laid beside what was foretold?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from falsework.analyses.verdicts import Verdict
from falsework.record.observed import Outage

NEVER = math.inf


class Sort(StrEnum):
    """How what was seen agrees with what was foretold, the worst first."""

    WRONG = "wrong"
    SLOWER = "slower"
    FASTER = "faster"
    NOT_SEEN = "not seen"
    AS_FORETOLD = "as foretold"

    @property
    def rank(self) -> int:
        """Its place among them, 0 for the worst."""
        return list(Sort).index(self)


class Wrong(StrEnum):
    """In which way it was otherwise."""

    NOT = ""
    FELL = "fell though it should stand"
    STOOD = "stood though it should fall"
    STAYED = "did not come back though it should"
    CAME = "came back though it should not"
    SOONER = "fell sooner than it should"
    LATER = "fell later than it should"
    AGAIN = "fell again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """What was foretold of one thing; seconds after the action, each time between two ends.

    Attributes:
        verdict: see `Verdict`.
        falls_s: when it falls or is interrupted; infinity where it is not.
        falls_within: from the soonest to the latest.
        lasts_s: how long it is out; infinity where it does not come back by itself, 0 where it is not out.
        lasts_within: from the shortest to the longest.
        reached: whether the loss takes away anything at all that it leans on.
        before: an interruption from which it is back before it falls for good; None where there is none.
    """

    verdict: Verdict
    falls_s: float
    falls_within: tuple[float, float]
    lasts_s: float
    lasts_within: tuple[float, float]
    reached: bool
    before: Foretold | None = None

    @property
    def returns_s(self) -> float:
        """When it is back, seconds after the action; infinity where it is not."""
        return self.falls_s + self.lasts_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing, foretold and observed.

    Attributes:
        thing: its id.
        service: whether it is a service.
        sort: how both agree.
        wrong: in which way they do not.
        foretold: what the lab file says.
        falls_s: when it was seen to fall, seconds after the action; infinity where it was not.
        lasts_s: how long it was out; infinity where it was until it was put back, or longer.
        within_s: by how much `lasts_s` may be wrong either way.
        ended: whether the end of the outage was seen before it was put back.
        probes: which probes count; empty where none does.
        before, after: outages that have nothing to do with the action: before it, and after it was put back.
        more: further outages between the two.
        sure: whether the stopwatch ran all the time that matters.
        says: all of it in one sentence, without its full stop.
    """

    thing: str
    service: bool
    sort: Sort
    wrong: Wrong
    foretold: Foretold
    falls_s: float
    lasts_s: float
    within_s: float
    ended: bool
    probes: tuple[str, ...]
    before: tuple[Outage, ...]
    after: tuple[Outage, ...]
    more: tuple[Outage, ...]
    sure: bool
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A run beside what was foretold.

    Attributes:
        run: its number.
        drill: the name of the drill; empty for none.
        lost: what was taken out.
        out: what was out beforehand.
        from_s, until_s: from the action to when it was put back or the run ended, seconds since the run began.
        lines: services in lab order, then whatever else a probe sees; empty where nothing was judged.
        why_not: why nothing was judged; empty where it was.
        unknown: probes that see nothing that the lab file has.
    """

    run: int
    drill: str
    lost: tuple[str, ...]
    out: tuple[str, ...]
    from_s: float
    until_s: float
    lines: tuple[Line, ...]
    why_not: str = ""
    unknown: tuple[str, ...] = ()

    def of(self, thing: str) -> Line:
        """The line of a thing."""
        return next(line for line in self.lines if line.thing == thing)

    def sorted(self, sort: Sort) -> tuple[Line, ...]:
        """The lines of one sort."""
        return tuple(line for line in self.lines if line.sort is sort)

    @property
    def seen(self) -> tuple[Line, ...]:
        """The lines on which something was seen."""
        return tuple(line for line in self.lines if line.sort is not Sort.NOT_SEEN)

    @property
    def as_foretold(self) -> bool:
        """Whether something was seen, and all of it went as foretold, times too."""
        return bool(self.seen) and all(line.sort is Sort.AS_FORETOLD for line in self.seen)

    @property
    def right(self) -> bool:
        """Whether nothing was wrong."""
        return not self.sorted(Sort.WRONG)
