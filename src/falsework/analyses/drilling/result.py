"""What is told of drills: what the plan promises, and what proves it?"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from falsework.analyses.verdicts import NEVER, Verdict
from falsework.where import Where

FRESH_DAYS = 365
"""What was seen to be so within a year needs no proof now: drills prove first what was not."""


class Sort(StrEnum):
    """What sort of thing a plan promises."""

    AIM = "a loss that an aim covers"
    TAKE_OVER = "a take-over"
    ADDRESS = "an address that moves"
    RESTART = "a restart on another host"
    STORE = "a store without one of its drives"
    RESTORE = "a restore of a backup"
    COLD = "a cold start"
    HOLD = "a hold"
    ALARM = "an alarm that leaves"
    ROOM = "room after a loss"
    FULL = "a disk that is full"
    WIRE = "a second way on the wire"


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One thing that the plan promises, and that a drill can prove.

    Attributes:
        name: unique in its lab, such as `any one box may go: twin-1`.
        sort: what sort of promise it is.
        says: the promise, one sentence without its full stop.
        about: the services, data, stores or alarms that it is about.
        lost: the parts whose loss it is about, the first of `alike`; empty for a restore and a cold start.
        alike: every loss that is taken for equal to this one, itself the first: the same kinds, the same effect on
            every service, the same spare ways used in the same way. A proof of one is taken for a proof of all.
        aims: the aims that lean on it.
        worst: the worst that happens to a service or data set if it is wrong.
        proved: when it was last seen to be so; None for never.
        where: its place in the lab file.
    """

    name: str
    sort: Sort
    says: str
    about: tuple[str, ...]
    lost: tuple[str, ...] = ()
    alike: tuple[tuple[str, ...], ...] = ()
    aims: tuple[str, ...] = ()
    worst: Verdict = Verdict.FALLS
    proved: datetime.date | None = None
    where: Where | None = None

    def fresh(self, today: datetime.date) -> bool:
        """Whether it was seen to be so within a year."""
        return self.proved is not None and (today - self.proved).days < FRESH_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """What a drill is foretold to do to one service.

    Attributes:
        service: its id; an alarm is one too.
        verdict: as of a loss; a cold start stops all: `blinks` for what comes back by itself.
        falls_s: seconds from the beginning until it falls or is interrupted; infinity where it is not.
        back_s: seconds from the beginning until it serves again by itself, infinity where it waits for the put-back;
            0 where it is not interrupted. In a cold start counted from the moment when the power is back.
        why: the chain of reasons, one clause; empty where it stands.
        probes: the probes that see it.
    """

    service: str
    verdict: Verdict
    falls_s: float = NEVER
    back_s: float = 0.0
    why: str = ""
    probes: tuple[str, ...] = ()

    @property
    def blinks_s(self) -> float:
        """How long the interruption lasts where it ends by itself, seconds; else 0."""
        return self.back_s - self.falls_s if self.verdict is Verdict.BLINKS else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """One drill, whole.

    Attributes:
        name: unique in its lab, such as `lose twin-1`; the owner's where they wrote it.
        title: what is tried, a few words.
        tries: as `model.drilling.TRIED`.
        lost: the parts that are taken out, all at once.
        stops: copies that are stopped by hand, and stores that fill up, while the parts under them go on.
        of: the services that it is about; for a restore the data, and where its backup lies; empty where it is about
            all it touches.
        proves: names of the claims that it proves, as long as nothing else is out.
        effects: what it does, worst and earliest first; services that merely stand are left out.
        stands: services that go on, in lab order.
        worst: the worst that happens if what it tries is wrong.
        proved: when the stalest of its claims was last proved; None for never.
        do_words: what to do, in order; sentences.
        watch: what to watch; sentences.
        unseen: services that it touches and no probe sees.
        stop_when: when to stop and put back; sentences.
        put_back_words: how to put it back, in order; sentences.
        cautions: what can be hurt; sentences.
        at_risk: data that lies on what is taken out.
        after: drills to be done first, by name, and not before they went well.
        held: why it waits for them, a clause; empty where it does not.
        do: the owner's command that begins it; empty for none. Never run by itself.
        put_back: the owner's command that ends it.
        stop_after_s: when it is given up, whatever has happened; None where nobody says.
        lasts_s: how long until all that is foretold has happened and has been watched, seconds.
        hands_s: how much of somebody's time it takes, seconds.
        may_stop: services that the owner lets it interrupt, whatever the aims say.
        own: whether the owner wrote it into the lab file.
        where: its place in the lab file, if it has one.
    """

    name: str
    title: str
    tries: str = "loss"
    lost: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    of: tuple[str, ...] = ()
    proves: tuple[str, ...] = ()
    effects: tuple[Foretold, ...] = ()
    stands: tuple[str, ...] = ()
    worst: Verdict = Verdict.STANDS
    proved: datetime.date | None = None
    do_words: tuple[str, ...] = ()
    watch: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    stop_when: tuple[str, ...] = ()
    put_back_words: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    at_risk: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    held: str = ""
    do: str = ""
    put_back: str = ""
    stop_after_s: float | None = None
    lasts_s: float = 0.0
    hands_s: float = 0.0
    may_stop: tuple[str, ...] = ()
    own: bool = False
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """Something that an aim asks and that the plan does not hold: no drill can prove it.

    Attributes:
        aim: the aim's name.
        lost: the parts whose loss is worse than it allows.
        says: what happens, a clause.
    """

    aim: str
    lost: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drills:
    """Which drills are worth doing, and in which order.

    Attributes:
        today: the day for which staleness was told.
        plans: the drills that prove every claim, in the order in which to do them; the owner's own are among them.
        claims: everything that the plan promises and a drill can prove.
        fewest: the fewest drills that could do it, the owner's own counted; as many as `plans` where that is proved.
        broken: what aims ask and the plan does not hold.
        unproved: sentences on what no drill here can prove.
        assumed: sentences on what was taken for equal, or left out.
    """

    today: datetime.date
    plans: tuple[Plan, ...]
    claims: tuple[Claim, ...]
    fewest: int = 0
    broken: tuple[Broken, ...] = ()
    unproved: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether the plan holds all that its aims ask, so that nothing is left to be mended before it is proved."""
        return not self.broken

    @property
    def optimal(self) -> bool:
        """Whether no smaller set of drills proves the same."""
        return self.fewest == len(self.plans)


def proofs(plans: Sequence[Plan], claim: Claim) -> tuple[str, ...]:
    """The drills among these that prove a claim, by name."""
    return tuple(plan.name for plan in plans if claim.name in plan.proves)
