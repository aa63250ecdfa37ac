"""What is said of a placement of all copies?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.analyses.aims.result import AimResult
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One of the things that a placement is judged by, the weightiest first.

    Attributes:
        name: as in `falsework.support.placing.LEVELS`.
        today: what it costs as the copies lie today, assumed places included; None where some copy lies nowhere,
            or a rule is broken that must hold.
        found: what it costs in the placement that was found.
        bound: what no placement can be under that is as good at all levels before; as `found` where proven.
    """

    name: str
    today: int | None
    found: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether nothing better can be had at this level."""
        return self.found == self.bound


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One copy goes from one host to another, or starts for the first time.

    Attributes:
        copy: its id.
        service: of which it is one.
        start: the host it is on; empty where it is on none: its place was only assumed, or it was stopped before.
        end: the host it goes to; empty where it has to be stopped for a while, so that others can pass.
        last: whether it is then where it should be; not so where it only waits on that host for room elsewhere.
        size: what is copied, in byte: its memory, and its disk where that lies on the host; of a copy that was
            stopped, and starts on another host than it ran on, its disk alone.
        seconds: how long that takes at the least, over the slower of both hosts' best ports.
        breaks: rules of the lab that are not kept after it, until a later one; empty where all is well.
        worse: by how many losses the aims are further off after it than at both ends.
        was: where `start` is empty, the host on which the lab file says it runs, if that is out.
    """

    copy: str
    service: str
    start: str
    end: str
    last: bool
    size: float
    seconds: float
    breaks: tuple[str, ...]
    worse: int
    was: str = ""

    @property
    def clean(self) -> bool:
        """Whether nothing is stopped, broken or further off by it."""
        return bool(self.end) and not self.breaks and not self.worse


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """How full a host is, in its resources of which somebody gave a figure.

    Attributes:
        host: its id.
        copies: those on it whose place was open, in lab order.
        before: those that are on it today.
        used: by resource, in base units (cores, byte, W, counts).
        has: what it has for them, by the same resources.
    """

    host: str
    copies: tuple[str, ...]
    before: tuple[str, ...]
    used: Mapping[str, float]
    has: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehoused:
    """What happens to the copies of lost hosts that restart elsewhere.

    Attributes:
        says: the loss, as the rule that it comes from is called.
        hosts: those that are gone.
        homes: the new host of each copy that finds one, by its id.
        homeless: copies that find none.
        left_out: copies that may be left out (`sheds`), and are.
    """

    says: str
    hosts: tuple[str, ...]
    homes: Mapping[str, str]
    homeless: tuple[str, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Something that the lab says and that no placement keeps, together with the other reasons.

    Attributes:
        says: the rule, or what takes too much.
        where: where the lab file says so.
    """

    says: str
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """Where each copy should run.

    Attributes:
        host_of: the host of every copy whose place was open, in lab order; empty where none was found.
        memory: what each of these copies takes, in byte.
        levels: what the placement costs, the weightiest level first.
        moves: from today to there, in an order that keeps room and rules on the way, or the least bad that was found.
        filled: every host that copies may be on, in lab order.
        worst: what becomes of the copies, placed so, after the loss that leaves the least room; None where no copy
            restarts elsewhere.
        before: the aims as the lab is placed today.
        after: the aims as it would be placed.
        rounds: how many placements were judged.
        why_not: a smallest set of what contradicts itself, where nothing can be placed at all, or else where no
            placement meets all the aims; empty where one does.
        smallest: whether leaving out any one of `why_not` was shown to help.
        would_do: the lightest changes that do away with what `why_not` tells, at most three; empty where none was
            found.
        all_tried: whether no lighter ones among those that were looked at would do, or none at all.
        seconds: how long the search took.
    """

    host_of: Mapping[str, str]
    memory: Mapping[str, float]
    levels: tuple[Level, ...]
    moves: tuple[Move, ...]
    filled: tuple[Filled, ...]
    worst: Rehoused | None
    before: tuple[AimResult, ...]
    after: tuple[AimResult, ...]
    rounds: int
    why_not: tuple[Reason, ...]
    smallest: bool
    would_do: tuple[str, ...]
    all_tried: bool
    seconds: float

    @property
    def possible(self) -> bool:
        """Whether all copies could be placed by the rules that must hold."""
        return bool(self.host_of or not self.memory)

    @property
    def broken(self) -> tuple[AimResult, ...]:
        """The aims that the placement does not meet."""
        return tuple(aim for aim in self.after if aim.met is False)
