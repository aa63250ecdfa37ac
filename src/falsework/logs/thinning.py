"""Which lines around a moment are not those of an ordinary time?

Lines are counted by kind (`kinds.py`) in an ordinary stretch and in the window around the moment. A kind is told if

- it is *new*: the ordinary stretch has none of it. New kinds come in ordinary times too; how many are to be expected is
  said, after I. J. Good, 1953, The population frequencies of species and the estimation of population parameters,
  Biometrika 40, 237-264: kinds that came once in a stretch, times the share of the window in it.
- there is *more* of it: so many are not to be expected by the exact test of `rates.py`, and no slice of the ordinary
  stretch as long as the window had as many. The second rule is for lines that come in bursts.
- it *stopped*: each slice of the ordinary stretch as long as the time after the moment had it, and after the moment
  there is none, which is not to be expected by the same test.
- it is *severe*, error or worse, and so rare that less than one is to be expected in the window.

The tests are made so that in one of a hundred windows one kind is told by chance (`ALARM`, shared out over all kinds that
are tested), where lines come independently of each other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from falsework.logs.kinds import Kind, bared, said
from falsework.logs.line import Line
from falsework.logs.rates import at_least, at_most
from falsework.logs.stamps import SECOND

ALARM = 0.01
"""The chance that any kind is told of a window in which nothing is out of the ordinary."""
MOST_KINDS = 50_000
"""Kinds that are told apart; the rest count as one kind of their host."""
MOST_MET = 50_000
"""Ways of saying them that are remembered."""
LEAST_S = 600.0
"""An ordinary stretch that is shorter than this, or than the window, says nothing."""
SEVERE = 3
REST = "(more kinds than are told apart)"
ALL = "(any line)"


class Why(StrEnum):
    """Why lines of a kind are told."""

    NEW = "new"
    MORE = "more"
    STOPPED = "stopped"
    SEVERE = "severe"
    UNCOMPARED = "uncompared"
    """There is no ordinary stretch; the kind is rare, or a warning or worse."""


@dataclass(slots=True)
class Count:
    """What was counted of a kind; times in microseconds.

    Attributes:
        before: in the ordinary stretch.
        most: in any slice of it as long as the window.
        slices: slices of it, as long as the time after the moment, that have any.
        window: in the window.
        after: in it, after the moment.
        first_us: of the first seen; kept for whole hosts only.
        last_us: of the last seen, before or in the window.
        severity: the worst.
        number: of the kind, in the order in which they came.
    """

    before: int = 0
    most: int = 0
    slices: int = 0
    window: int = 0
    after: int = 0
    first_us: int = 1 << 62
    last_us: int = 0
    severity: int = 8
    number: int = 0
    slice_now: int = -1
    in_slice: int = 0
    after_slice: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Differs:
    """A kind that is told.

    Attributes:
        kind: the kind.
        why: why.
        count: of it in the window.
        usual: how many were to be expected, by the ordinary stretch.
        chance: of a count as odd as that, if the rate is what it was; 1 where that was not asked.
        last_us: when it was last seen, by its host's clock.
    """

    kind: Kind
    why: Why
    count: int
    usual: float
    chance: float
    last_us: int


class Thinning:
    """Counts lines and tells which kinds differ; what it holds is bounded.

    Args:
        ordinary_us: where the ordinary stretch begins.
        from_us: where it ends and the window begins.
        moment_us: that the window is about.
        until_us: where it ends.
    """

    def __init__(self, ordinary_us: int, from_us: int, moment_us: int, until_us: int) -> None:
        self._begin, self._from, self._moment, self._until = ordinary_us, from_us, moment_us, until_us
        self._counts: dict[Kind, Count] = {}
        # Most lines differ from one before in numbers only; what was found of that one is known by its words.
        self._met: dict[tuple[str, str, str], tuple[Kind, Count, Count]] = {}
        self._latest = from_us
        self._slice = max(until_us - from_us, 1)
        self._after = max(until_us - moment_us, 1)
        self.full = False

    def see(self, line: Line) -> Kind:
        """Count a line of the ordinary stretch or the window, and tell its kind; in a file in about the order of time."""
        at, host = line.at_us, line.host
        met = self._met.get((host, line.app, bare := bared(line.text)))
        if met is None:
            met = self._meet(line, bare)
        kind, count, everything = met
        if at < everything.first_us:
            everything.first_us = at
        if at > self._latest:
            self._latest = at
        if line.severity < count.severity:
            count.severity = line.severity
        self._add(count, at)
        self._add(everything, at)
        return kind

    def number(self, kind: Kind) -> int:
        """The number of a kind that was counted, by which `folded` knows it again."""
        return self._counts[kind].number

    def kind(self, line: Line) -> Kind:
        """The kind that a line counts as."""
        kind = Kind(line.host, line.app, said(bared(line.text)))
        if kind in self._counts or len(self._counts) < MOST_KINDS:
            return kind
        self.full = True
        return Kind(line.host, "", REST)

    def _meet(self, line: Line, bare: str) -> tuple[Kind, Count, Count]:
        if len(self._met) >= MOST_MET:
            self._met.clear()
        kind = self.kind(line)
        found = kind, self._counted(kind), self._counted(Kind(line.host, "", ALL))
        self._met[line.host, line.app, bare] = found
        return found

    def _counted(self, kind: Kind) -> Count:
        if kind not in self._counts:
            self._counts[kind] = Count(number=len(self._counts))
        return self._counts[kind]

    def _add(self, count: Count, at: int) -> None:
        if at > count.last_us:
            count.last_us = at
        if at >= self._from:
            count.window += 1
            count.after += at >= self._moment
            return
        count.before += 1
        # Slices are counted back from the window, so that the last one is whole.
        number = (self._from - at) // self._slice
        if number != count.slice_now:
            count.slice_now, count.in_slice = number, 0
        count.in_slice += 1
        if count.in_slice > count.most:
            count.most = count.in_slice
        number = (self._from - 1 - at) // self._after
        # A later file of the same host may go back: a slice is counted once, rather too few than too many.
        if count.after_slice < 0 or number < count.after_slice:
            count.after_slice = number
            count.slices += 1

    def ordinary_s(self, host: str) -> float:
        """How long the ordinary stretch of a host is: from its first line on, seconds."""
        everything = self._counts.get(Kind(host, "", ALL))
        begin = max(everything.first_us if everything is not None else self._from, self._begin)
        return max(self._from - begin, 0) / SECOND

    def comparable(self, host: str) -> bool:
        """Whether the ordinary stretch of a host is long enough to say anything."""
        return self.ordinary_s(host) >= max(LEAST_S, self._slice / SECOND)

    @property
    def hosts(self) -> tuple[str, ...]:
        """Every host that has a line, in order of name."""
        return tuple(sorted(kind.host for kind in self._counts if kind.says == ALL))

    @property
    def kinds(self) -> int:
        """How many kinds of lines the window has."""
        return sum(1 for kind, count in self._counts.items() if count.window and kind.says != ALL)

    def chance_new(self) -> float:
        """How many new kinds are to be expected in an ordinary window of all hosts that can be compared."""
        found = 0.0
        for kind, count in self._counts.items():
            if count.before == 1 and kind.says not in (ALL, REST) and self.comparable(kind.host):
                found += min(self._slice / SECOND / self.ordinary_s(kind.host), 1.0)
        return found

    def differing(self) -> Mapping[Kind, Differs]:
        """The kinds that are told, in a fixed order."""
        # Where all logs end before the window does they were gathered then, and nobody fell silent by that.
        end = min(self._until, self._latest)
        window_s, after_s = max(end - self._from, 1) / SECOND, max(end - self._moment, 0) / SECOND
        tested = max(2 * sum(1 for count in self._counts.values() if count.before), 1)
        limit = ALARM / tested
        found = {}
        for kind, count in sorted(self._counts.items()):
            differs = self._differs(kind, count, window_s, after_s, limit)
            if differs is not None:
                found[kind] = differs
        silent = {kind.host for kind in found if kind.says == ALL}
        # A host that fell silent says so once, not for each of its kinds.
        return {
            kind: each
            for kind, each in found.items()
            if each.why is not Why.STOPPED or kind.says == ALL or kind.host not in silent
        }

    def _differs(
        self, kind: Kind, count: Count, window_s: float, after_s: float, limit: float
    ) -> Differs | None:
        before_s = self.ordinary_s(kind.host)
        if not self.comparable(kind.host):
            if kind.says != ALL and count.window and (count.window <= 3 or count.severity <= SEVERE + 1):
                return _told(kind, count, Why.UNCOMPARED, 0.0)
            return None
        usual = count.before * window_s / before_s
        if kind.says != ALL and count.window:
            if not count.before:
                # With the table full nobody knows whether it was there before.
                return None if kind.says == REST or self.full else _told(kind, count, Why.NEW, usual)
            if count.window > max(count.most, usual):
                chance = at_least(count.window, window_s, count.before, before_s)
                if chance <= limit:
                    return _told(kind, count, Why.MORE, usual, chance)
            if count.severity <= SEVERE and usual < 1.0:
                return _told(kind, count, Why.SEVERE, usual)
        slices = int(before_s * SECOND / self._after)
        if after_s and not count.after and count.slices >= slices >= 2:
            chance = at_most(0, after_s, count.before, before_s)
            if chance <= limit:
                return _told(kind, count, Why.STOPPED, count.before * after_s / before_s, chance)
        return None


def _told(kind: Kind, count: Count, why: Why, usual: float, chance: float = 1.0) -> Differs:
    return Differs(kind=kind, why=why, count=count.window, usual=usual, chance=chance, last_us=count.last_us)
