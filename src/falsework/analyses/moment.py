"""What stands so long after a loss, and at which moments does that change?"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from falsework.analyses.verdicts import NEVER, Down, Loss
from falsework.units.scales import DAY_S, HOUR_S

ALWAYS_S = (0.0, 10.0, 60.0, 600.0, HOUR_S, 6 * HOUR_S, DAY_S, 7 * DAY_S)
"""Moments that everybody asks about, whether something changes then or not, seconds."""
APART = 0.02
"""Two moments nearer than this share of the time since the loss are one to a reader: 60 and 61 s, not 4 and 5 s."""


class Now(StrEnum):
    """How a thing is at one moment after a loss."""

    STANDS = "stands"
    WAITS = "falls later"
    DOWN = "is down"
    BACK = "is back"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """When one thing is down, seconds after the loss: from `falls_s`, without it from `back_s` on.

    `back_s` is infinite where it stays down; `before` is when it was down before that and came back.
    """

    falls_s: float
    back_s: float
    before: Span | None = None

    def at(self, at_s: float) -> Now:
        """How the thing is at a moment; at the very moment of a change the change has happened."""
        if at_s < self.falls_s:
            first = self.before is not None and self.before.at(at_s) is Now.DOWN
            return Now.DOWN if first else Now.WAITS
        return Now.DOWN if at_s < self.back_s else Now.BACK

    @property
    def parts(self) -> tuple[Span, ...]:
        """Each time that it is down, in order."""
        return (self,) if self.before is None else (*self.before.parts, self)

    def next_s(self, at_s: float) -> float:
        """The moment of its next change after this one; infinity where none comes."""
        changes = (each for part in self.parts for each in (part.falls_s, part.back_s))
        return next((each for each in changes if each > at_s), NEVER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """How everything is at one moment after a loss.

    Attributes:
        at_s: seconds after the loss.
        spans: every thing that is down at some moment or other; whatever is not in it stands all the time.
        services: the services and alarms, in lab order.
    """

    at_s: float
    spans: Mapping[str, Span]
    services: tuple[str, ...]

    def of(self, thing: str) -> Now:
        """How one thing is."""
        span = self.spans.get(thing)
        return Now.STANDS if span is None else span.at(self.at_s)

    def next_s(self, thing: str) -> float:
        """When that changes, seconds after the loss; infinity where it never does."""
        span = self.spans.get(thing)
        return NEVER if span is None else span.next_s(self.at_s)

    @property
    def down(self) -> frozenset[str]:
        """The things that are down."""
        return frozenset(name for name, span in self.spans.items() if span.at(self.at_s) is Now.DOWN)

    @property
    def tally(self) -> Mapping[Now, int]:
        """How many services are how; each of the four is a key."""
        found = dict.fromkeys(Now, 0)
        for service in self.services:
            found[self.of(service)] += 1
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One moment worth looking at.

    Attributes:
        at_s: seconds after the loss.
        fallen, returned: the things that fell and came back since the stop before, in lab order.
        always: it is one of the moments that everybody asks about.
    """

    at_s: float
    fallen: tuple[str, ...] = ()
    returned: tuple[str, ...] = ()
    always: bool = False


def spans(loss: Loss) -> Mapping[str, Span]:
    """When each thing that does not stand uninterrupted is down; what is down without the loss is all the time."""
    before = loss.view.standing.baseline
    found = {}
    for name, down in loss.down.items():
        if not before.back(name):
            found[name] = Span(falls_s=0.0, back_s=NEVER)
        elif down.falls_s < NEVER:
            found[name] = _span(down)
    return found


def _span(down: Down) -> Span:
    first = _span(down.before) if down.before is not None else None
    return Span(falls_s=down.falls_s, back_s=down.falls_s + down.back_s, before=first)


def moment(loss: Loss, at_s: float) -> Moment:
    """How everything is so many seconds after a loss."""
    return Moment(
        at_s=max(at_s, 0.0), spans=spans(loss), services=tuple(each.service for each in loss.effects)
    )


def stops(loss: Loss, *, always: Iterable[float] = ALWAYS_S) -> tuple[Stop, ...]:
    """The moments at which something changes, with those that everybody asks about, earliest first.

    Moments that a reader can't tell apart are one, at the last of them, so that all of it has happened then; the
    moment of the loss stays by itself.

    Args:
        loss: the loss.
        always: moments to have in any case, seconds.
    """
    asked = frozenset((0.0, *always))
    when = [(name, part) for name, span in spans(loss).items() for part in span.parts]
    changes = {each for _, span in when for each in (span.falls_s, span.back_s) if each < NEVER}
    groups = list(_groups(sorted(asked | changes)))
    ends = [group[-1] for group in groups]
    fallen = _at(ends, ((name, span.falls_s) for name, span in when))
    returned = _at(ends, ((name, span.back_s) for name, span in when))
    return tuple(
        Stop(
            at_s=group[-1],
            fallen=tuple(fallen[number]),
            returned=tuple(returned[number]),
            always=not asked.isdisjoint(group),
        )
        for number, group in enumerate(groups)
    )


def _at(ends: Sequence[float], moments: Iterable[tuple[str, float]]) -> list[list[str]]:
    """The names whose moment comes to an end in each group, in the order given; those that never come are left out."""
    found: list[list[str]] = [[] for _ in ends]
    for name, at_s in moments:
        if at_s < NEVER:
            found[bisect_left(ends, at_s)].append(name)
    return found


def _groups(moments: Iterable[float]) -> Iterable[list[float]]:
    """Moments in order, those that begin within `APART` of a first one with it."""
    group: list[float] = []
    for each in moments:
        if group and (group[0] == 0.0 or each - group[0] > APART * group[0]):
            yield group
            group = []
        group.append(each)
    if group:
        yield group
