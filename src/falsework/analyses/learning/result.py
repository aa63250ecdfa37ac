"""What do the runs of a record teach of a lab?"""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from falsework.engines.reliability.sharing import Beta
from falsework.engines.reliability.timing import Belief
from falsework.model.simple import Seen
from falsework.model.stumbling import Stumbled
from falsework.model.timed import Timing
from falsework.units import Quantity

Passed = tuple[int, str, str]
"""What teaches nothing: the run, 0 for what was told; the thing, or empty; and why not, a clause."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One time that was measured of a figure.

    Attributes:
        thing: the id of what it is a figure of.
        attribute: that of the measured times (`model.timed`).
        timing: how long it took, and when.
        run: in which run; 0 where somebody told it.
    """

    thing: str
    attribute: str
    timing: Timing
    run: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A time that was seen from outside only, and of which its owner can tell more.

    Attributes:
        thing, attribute: as in `Measured`.
        at_most_s: no longer than that it took, seconds.
        on: the moment at which it began, as it is written in the lab file.
        run: in which run.
    """

    thing: str
    attribute: str
    at_most_s: float
    on: str
    run: int

    @property
    def key(self) -> str:
        """The figure, as in the lab file."""
        return self.attribute.replace("_", " ")

    @property
    def moment(self) -> datetime.datetime:
        """When it began, in UTC."""
        return datetime.datetime.fromisoformat(self.on)


@dataclass(frozen=True, slots=True, kw_only=True)
class Update:
    """One figure, and the measured times that correct it.

    Attributes:
        thing: the id of the service, pool, part, store or data.
        key: which of its figures, as in the lab file.
        before: the figure that counts now, seconds; None where there is none.
        source: `written` by the owner, `assumed`, or `worked out` from sizes and speeds.
        known: times that are in the lab file already.
        new: those that this record adds.
        prior: what is believed now, the known times counted in; None where nothing is.
        posterior: what is believed with the new ones.
        after: the figure that will count, seconds.
        guessed: how many measured times the figure that was written, assumed or worked out counts for.
        runs: the runs that the new times are from; 0 for one that somebody told.
    """

    thing: str
    key: str
    before: Quantity | float | None
    source: str
    known: tuple[Timing, ...]
    new: tuple[Timing, ...]
    prior: Belief | None
    posterior: Belief
    after: Quantity | float
    guessed: float
    runs: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """Something that was seen to work.

    Attributes:
        thing: the id of a service, a part, a drill, or of data.
        key: `proved`, or `restored` for data.
        on: the day, in UTC.
        before: the day that the lab file has now; None for none.
        run: the run that proves it.
    """

    thing: str
    key: str
    on: datetime.date
    before: datetime.date | None
    run: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """Failures of a part that were seen, and how long it was watched.

    Attributes:
        thing: the part.
        before: what the lab file counts already; None for nothing.
        failures, watched_s: what this record adds; seconds.
        after: both together, with the moment until which it was counted.
        runs: the runs that were counted.
    """

    thing: str
    before: Seen | None
    failures: int
    watched_s: float
    after: Seen
    runs: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Take-overs and restarts of a service that were asked for, and how many did not happen.

    Attributes:
        thing: the service.
        known: what the lab file counts already; None for nothing.
        failed, of: what this record adds.
        after: both together, with the moment until which it was counted.
        source: whether `stumbles` was `written` or `assumed`.
        guess: what that counts for.
        posterior: what is believed with all that was counted.
        share_before, share_after: the share that counts now, and the one that will.
        runs: the runs that were counted.
    """

    thing: str
    known: Stumbled | None
    failed: int
    of: int
    after: Stumbled
    source: str
    guess: Beta
    posterior: Beta
    share_before: Quantity | None
    share_after: Quantity
    runs: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """What the runs of a record teach.

    Attributes:
        updates: in the order of the lab.
        proofs: in the order of the lab.
        counts: failures of parts, in the order of the lab.
        stumbles: in the order of the lab.
        asks: what only the owner can tell, the oldest first.
        passed: runs, or what one of them showed of a thing, that teach nothing, and why.
        runs: how many there are in the record.
    """

    updates: tuple[Update, ...]
    proofs: tuple[Proof, ...]
    counts: tuple[Counted, ...]
    stumbles: tuple[Counts, ...]
    asks: tuple[Ask, ...]
    passed: tuple[Passed, ...]
    runs: int

    @property
    def empty(self) -> bool:
        """Whether there is nothing new."""
        return not (self.updates or self.proofs or self.counts or self.stumbles)
