"""What can be told of how much gets through the wire?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Gets:
    """How much gets from one thing to another at one moment, bit/s.

    Attributes:
        at_most: over all ways at once, were each cable used as well as can be: the largest flow.
        forwarded: over the way that bridges leave open (a tree of cables), for many streams.
        one_stream: on that way, for one stream: a group of cables carries a single stream on one of them.
        full: what is full at `at_most`: cables, and switches that forward no more; together they part the two
            things, and carry `at_most`.
        way: the switches and cables on the way that bridges leave open, in order.
    """

    at_most: float
    forwarded: float
    one_stream: float
    full: tuple[str, ...] = ()
    way: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterLoss:
    """How much still gets through when one part is lost; any of `lost` alone does the same."""

    lost: tuple[str, ...]
    gets: Gets


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """How much gets from one thing to another, now and after each single loss.

    Attributes:
        one, other: the ends, as asked.
        network: over which it goes; of several the one that gives most; empty where there is no way.
        via: hosts that pass the traffic on from one network to another.
        now: with nothing lost (besides what is out).
        cable_ways: how many ways there are of which no two share a cable.
        switch_ways: how many ways there are of which no two share a switch, cable or card; what both ends are
            plugged into counts too.
        after: losses of any one part that leave less, worst first.
        with_an_end: parts whose loss takes one of the two things itself.
        harmless: how many other parts there are: losing one of these leaves as much.
    """

    one: str
    other: str
    network: str
    via: tuple[str, ...]
    now: Gets
    cable_ways: int
    switch_ways: int
    after: tuple[AfterLoss, ...] = ()
    with_an_end: tuple[str, ...] = ()
    harmless: int = 0


class Fate(StrEnum):
    """What becomes of a stream of traffic."""

    PASSES = "gets through"
    SHORT = "is short"
    CUT_OFF = "is cut off"
    NOT_SENT = "is not sent"
    NOT_TAKEN = "has nobody to take it"
    UNSAID = "leaves by a way that nobody says"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stream:
    """One line of what a service `sends`.

    Attributes:
        service: who sends; its copies that serve share it equally.
        to: where to, as written.
        rate: bit/s, of the whole service.
        where: the place in the lab file.
    """

    service: str
    to: str
    rate: float
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """What becomes of one stream at one moment.

    Attributes:
        stream: which.
        fate: what becomes of it.
        gets: how much arrives, bit/s, where all that share a full link get the same share of what they ask for.
        short: how much does not, bit/s; nothing where nobody sends or nobody is there to take it.
        cut_off: how much of that has no way at all, bit/s.
        tightest: the fullest thing on its way; empty where it has none.
        share: how full that is; 1.0 is full.
        one_stream: what a single stream of it gets at most, bit/s, on the worst of its ways; 0 where it has none.
    """

    stream: Stream
    fate: Fate
    gets: float
    short: float
    cut_off: float = 0.0
    tightest: str = ""
    share: float = 0.0
    one_stream: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """How full one cable, group of cables or switch is.

    Attributes:
        link: the cable, the group as its cables joined by ` + `, or the switch.
        towards: the machine into which the traffic goes; empty for a switch that passes it on.
        cables: the cables of it; empty for a switch.
        asked: what is to go over it, bit/s.
        carries: the most it carries, bit/s.
    """

    link: str
    towards: str
    cables: tuple[str, ...]
    asked: float
    carries: float

    @property
    def share(self) -> float:
        """How full it would be; more than 1.0 is too full."""
        return self.asked / self.carries if self.carries else float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """All traffic at one moment.

    Attributes:
        lost: parts each of which alone does this; empty for now.
        passed: every stream once, in the order of the file; after a loss, one that gets all it asks for both now and
            then may be told as it is now, with the place that is fullest now.
        filled: what carries anything, fullest first; after a loss only what is fuller than now.
        root: the switch from which the tree of open cables is reckoned; empty without switches.
    """

    lost: tuple[str, ...]
    passed: tuple[Passed, ...]
    filled: tuple[Filled, ...]
    root: str = ""

    @property
    def short(self) -> float:
        """How much does not get through, all together, bit/s."""
        return sum(each.short for each in self.passed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Copying:
    """How long a whole copy of something takes over the wire at the least, with nothing else on it.

    Attributes:
        what: `backup` or `rebuild`.
        of: the data or the store.
        to: where it goes; for a rebuild the drive that is written anew.
        size: byte.
        rate: the most that gets through, bit/s; 0 where there is no way.
        takes_s: seconds; infinite where there is no way.
        every_s: how often it is to be done, seconds; None where not said.
        limit: what is full meanwhile.
        where: the place in the lab file.
    """

    what: str
    of: str
    to: str
    size: float
    rate: float
    takes_s: float
    every_s: float | None = None
    limit: tuple[str, ...] = ()
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """The largest share of all traffic that could get through at once, were each cable used as well as can be.

    Attributes:
        share: 1.0 is all of it, 2.0 twice of it.
        full: what is full then; these alone prove it (see `engines.flow.together`).
    """

    share: float
    full: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Traffic:
    """All traffic of services, now and after each single loss.

    Attributes:
        streams: in the order of the file; where empty nothing is told.
        now: with nothing lost (besides what is out).
        after: losses after which something is short or a link is too full that is not so now, worst first.
        fullest: the loss after which a link is fullest, whether too full or not; `now` where nothing is worse.
        together: the largest share that could get through at once, now; None where there is no traffic, where some
            of it has no way at all, or where there is too much to tell.
        copying: backups and rebuilds, for information.
        tried: how many single losses were looked at.
        taken: figures that nobody gave.
    """

    streams: tuple[Stream, ...]
    now: Moment
    after: tuple[Moment, ...]
    fullest: Moment
    together: Together | None
    copying: tuple[Copying, ...]
    tried: int
    taken: tuple[Taken, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Subscribed:
    """How much more a switch's edge could ask for than its uplinks carry.

    Attributes:
        switch: its id.
        edge: what the ports of machines plugged into it carry, bit/s.
        free: what its ports with no cable would add, bit/s.
        uplinks: what its open cables towards the root carry, bit/s; of the root, those to all others.
        all_uplinks: what all its cables to other switches carry, those that wait too, bit/s.
        forwards: the most it passes on at once, bit/s; None where not said.
        worst: the least that any single loss leaves of its uplinks without cutting it off, bit/s.
        worst_lost: which loss that is; empty where none leaves less.
        cut_off_by: a single loss that leaves it no uplink at all; empty where there is none.
        usual: what the traffic of services asks of its uplinks, bit/s (the fuller direction).
        by: who is plugged in, with bit/s.
    """

    switch: str
    edge: float
    free: float
    uplinks: float
    all_uplinks: float
    forwards: float | None
    worst: float
    worst_lost: str
    cut_off_by: str
    usual: float
    by: Mapping[str, float]

    @property
    def ratio(self) -> float | None:
        """N of n:1 at the edge against the uplinks; None for a switch without uplinks."""
        return self.edge / self.uplinks if self.uplinks else None

    @property
    def worst_ratio(self) -> float | None:
        """The same after the worst single loss."""
        return self.edge / self.worst if self.worst else None

    @property
    def inner(self) -> float | None:
        """N of n:1 of all plugged-in ports against what it forwards; None where that is not said."""
        return (self.edge + self.all_uplinks) / self.forwards if self.forwards else None
