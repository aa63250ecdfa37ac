"""What is told of a loss: what is made again, what is restored, what was only here, and in which order?"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from enum import StrEnum

from falsework.units import ThreePoint
from falsework.where import Where


class Way(StrEnum):
    """How a destroyed thing comes back, from best to worst."""

    MADE = "made again"
    RESTORED = "restored"
    STAND_IN = "needs a stand-in"
    ONLY_HERE = "only here"

    @property
    def rank(self) -> int:
        """0 for the best."""
        return tuple(Way).index(self)


class Task(StrEnum):
    """What a piece of work does."""

    SAVE = "save"
    """Copy to a place outside before anything is taken down."""
    LEND = "lend"
    """Set up a stand-in."""
    MEND = "mend"
    """Repair, replace or make a destroyed thing."""
    START = "start"
    """What only fell starts again, by itself once it has what it needs."""
    RESTORE = "restore"
    """Bring data back from a backup."""
    RETIRE = "retire"
    """Take a stand-in away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The backup that data comes back from.

    Attributes:
        to: where it lies: a store, node, service or something outside.
        every_s: how often it is made, seconds: the most that is lost; None where not said.
        proved: when a restore from it was last seen to work; None for never.
        outside: whether it lies outside the lab.
        needs: what it can't be read without, such as a key.
        where: its place in the lab file.
    """

    to: tuple[str, ...]
    every_s: float | None
    proved: datetime.date | None
    outside: bool
    needs: tuple[str, ...] = ()
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fate:
    """How one destroyed thing, data set or key comes back.

    Attributes:
        thing: id.
        word: what it is: node, service, data, key, ...
        way: how it comes back; ONLY_HERE where it does not.
        source: the backup, where it is restored.
        stand_ins: the accepted stand-ins that it can't come back without; where WAY is STAND_IN and this is
            empty, none that is accepted does it.
        would_do: services for any one of which a stand-in would do it, where none that is accepted does.
        would_keep: data and keys of any one of which a copy kept out of the lab would do it, likewise.
        mend: where it does not come back: what would change that, one sentence without its full stop.
        reasons: why, as a chain: each clause leads to the next.
        circle: the smallest circle of things that wait for each other, ending where it began; where there is one.
        size: bytes, where data.
        loses_s: work lost at most, seconds: 0 for none, None where nobody says how much.
        back_s: when it is back, most likely, seconds from the loss; infinity for never.
    """

    thing: str
    word: str
    way: Way
    source: Source | None = None
    stand_ins: tuple[str, ...] = ()
    would_do: tuple[str, ...] = ()
    would_keep: tuple[str, ...] = ()
    mend: str = ""
    reasons: tuple[str, ...] = ()
    circle: tuple[str, ...] = ()
    size: float | None = None
    loses_s: float | None = 0.0
    back_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One piece of work, in the order in which it can be done.

    Attributes:
        number: from 1.
        task: what kind of work it is.
        things: what it is about; several that are alike and done together are one piece.
        says: the action in plain words.
        after: numbers of the pieces of work that must be done before.
        takes: from its begin to its end without waiting for a delivery, seconds.
        hands_s: how much of that is somebody's work, at its start, seconds.
        waits_s: how long a delivery takes, counted from the loss, seconds; 0 where none is waited for.
        begins_s, ends_s: most likely, seconds from the loss, for one pair of hands that works in its hours.
        moves: bytes that are copied; 0 where none.
        slowest: what limits the copying, in words; empty where none is copied.
        by: who may do it; empty for anyone.
        command: the owner's own command, never run.
        check: how to see that it worked.
        back: how to go back.
        cautions: what can be hurt: hands, backs, data.
        assumed: whether its times were assumed.
    """

    number: int
    task: Task
    things: tuple[str, ...]
    says: str
    takes: ThreePoint
    after: tuple[int, ...] = ()
    hands_s: float = 0.0
    waits_s: float = 0.0
    begins_s: float = 0.0
    ends_s: float = 0.0
    moves: float = 0.0
    slowest: str = ""
    by: tuple[str, ...] = ()
    command: str = ""
    check: str = ""
    back: str = ""
    cautions: tuple[str, ...] = ()
    assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Objective:
    """What the owner said of data, against what comes of the loss.

    Attributes:
        data: id.
        may_lose_s: the most work that may be lost, seconds; None where not said.
        loses_s: what is lost at most; None where nobody says; infinity where all of it.
        back_within_s: how soon it must be back, seconds; None where not said.
        back_s: when it is back, most likely; infinity for never.
        where: the data's place in the lab file.
    """

    data: str
    may_lose_s: float | None
    loses_s: float | None
    back_within_s: float | None
    back_s: float
    where: Where | None = None

    @property
    def loses_too_much(self) -> bool:
        """Whether more may be lost than the owner allows; unknown counts as too much."""
        return self.may_lose_s is not None and (self.loses_s is None or self.loses_s > self.may_lose_s)

    @property
    def back_too_late(self) -> bool:
        """Whether it is back later than the owner allows."""
        return self.back_within_s is not None and self.back_s > self.back_within_s

    @property
    def met(self) -> bool:
        """Whether both hold."""
        return not self.loses_too_much and not self.back_too_late


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One thing, or several together, destroyed with all that is in them.

    Attributes:
        lost: the things asked about, as named.
        alike: other things whose loss alone does just the same, in lab order; named in place of asking again.
        destroyed: everything that is destroyed, what is in it included, in lab order.
        fallen: services that fall with it and stand again later, in lab order.
        way: the worst of the fates.
        fates: of every destroyed thing, data set and key that is more than an implied part; worst first.
        works: what has to be done, in an order in which it can be.
        back_s: from the loss until everything that comes back stands: least, most likely, most; seconds.
            Infinity where something that only a stand-in would help never stands.
        hands_s: somebody's work in all, seconds.
        objectives: of the data that is touched and has any.
        stand_ins: accepted stand-ins that it takes, the fewest.
        assumed: sentences on what was assumed.
    """

    lost: tuple[str, ...]
    destroyed: tuple[str, ...]
    fallen: tuple[str, ...]
    way: Way
    fates: tuple[Fate, ...]
    works: tuple[Work, ...]
    back_s: ThreePoint
    hands_s: float
    alike: tuple[str, ...] = ()
    objectives: tuple[Objective, ...] = ()
    stand_ins: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    def of(self, thing: str) -> Fate:
        """The fate of one thing.

        Raises:
            KeyError: it is not among the fates.
        """
        for fate in self.fates:
            if fate.thing == thing:
                return fate
        raise KeyError(thing)

    @property
    def broken(self) -> tuple[Objective, ...]:
        """The objectives that are not met."""
        return tuple(each for each in self.objectives if not each.met)


@dataclass(frozen=True, slots=True, kw_only=True)
class Save:
    """Something to copy out of the lab before it is taken down.

    Attributes:
        thing: data or key.
        word: "data" or "key".
        size: bytes; 0 for a key.
        to: the kind of place it must go to, in words.
        why: why nothing else brings it back.
        brings: what comes back because of it, itself included.
        takes_s: how long the copying takes, seconds.
        slowest: what limits that, in words.
        assumed: whether size or speed was assumed.
        where: its place in the lab file.
    """

    thing: str
    word: str
    size: float
    to: str
    why: tuple[str, ...]
    brings: tuple[str, ...]
    takes_s: float
    slowest: str
    assumed: bool
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Teardown:
    """The whole lab taken down, wiped, and made again.

    Attributes:
        remains: what is left: outside things and people, in lab order.
        unsaved: what would come of it if nothing were saved before.
        saves: the shortest list of what to save: fewest bytes, then fewest things; in the order to save them.
        size: bytes of all of them.
        takes_s: copying all of them one after the other, seconds.
        proven: whether no shorter list does.
        saved: what comes of it when they are saved: its works are the order of the rebuild, saving first.
        gone: what can't be got back even so.
    """

    remains: tuple[str, ...]
    unsaved: Loss
    saves: tuple[Save, ...]
    size: float
    takes_s: float
    proven: bool
    saved: Loss
    gone: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebuild:
    """Every thing alone, and the whole lab.

    Attributes:
        losses: one for each class of things whose loss does the same; worst first, then in lab order.
        teardown: the whole lab.
    """

    losses: tuple[Loss, ...]
    teardown: Teardown
