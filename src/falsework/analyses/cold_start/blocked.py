"""What is a stuck thing stuck on, and what unsticks it?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from falsework.where import Where


class Why(StrEnum):
    """What a chain of reasons ends at."""

    LOOP = "loop"
    OFF = "stays off"
    FIRST = "first by hand"
    EARLY = "too early"
    EXPIRED = "expired"
    OUTSIDE = "outside"
    NOBODY = "nobody there"
    OUT = "out"
    UNSEEN = "unseen"


class How(StrEnum):
    """What unsticks, the smallest first."""

    SWITCH_ON = "switch on"
    START_FIRST = "start the first"
    START_AGAIN = "start again"
    COME = "come"
    STAND_IN = "stand-in"
    FIXED_ADDRESS = "fixed address"
    OWN_TIME = "own time"
    KEEP_ELSEWHERE = "keep elsewhere"
    RENEW = "renew"
    KNOW_LAST = "know the last"
    DO_WITHOUT = "do without"
    OUTSIDE = "from outside"
    REPAIR = "repair"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One thing that is not up, and what it waits for.

    Attributes:
        thing: what is not up.
        on: what it waits for; empty where the chain ends.
        says: how it waits, or why it stays down, in a clause.
        where: the place in the lab file that says so.
    """

    thing: str
    on: str
    says: str
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """Something to do, after which what was stuck comes up.

    Attributes:
        how: the kind.
        things: what it is done to, or who does without.
        on: what they need not wait for any more; empty where the kind asks for none.
        says: what to do, in words.
        where: the place in the lab file that it is about.
        by_hand: whether a hand does it once the power is back; else it changes the lab, before the power goes.
    """

    how: How
    things: tuple[str, ...]
    on: str
    says: str
    where: Where | None
    by_hand: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Stuck:
    """One thing that stays down.

    Attributes:
        thing: its id.
        because: the chain of reasons; where it ends in things that wait for each other, it ends where it met them.
        root: number, from 0, of the root it ends at.
        unsticks: numbers of all the roots to be mended before it comes up.
    """

    thing: str
    because: tuple[Reason, ...]
    root: int | None
    unsticks: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Root:
    """What things hang on that stay down.

    Attributes:
        why: what it is.
        things: the thing, or the circle, ending where it began.
        says: it in a clause.
        mend: the smallest thing found that takes it away; None where none is known.
        hangs: what stays down until it is mended, in lab order.
    """

    why: Why
    things: tuple[str, ...]
    says: str
    mend: Mend | None
    hangs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocked:
    """Why each stuck thing is stuck, and what unsticks it.

    Attributes:
        stuck: one for each stuck thing.
        roots: in the order in which they are mended.
        up_s: when what was stuck is up once all that is done, seconds after the power is back; hands are there
            from `hands_s` on.
        left: what stays down all the same: no mend was found.
        hands_s: when hands are there, seconds.
    """

    stuck: tuple[Stuck, ...]
    roots: tuple[Root, ...]
    up_s: Mapping[str, float]
    left: tuple[str, ...]
    hands_s: float
