"""What is an order of work?"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Set
from dataclasses import dataclass
from enum import StrEnum

from falsework.units import ThreePoint
from falsework.where import Where


class Doing(StrEnum):
    """What a step does."""

    LEND = "lend"
    """Set up a stand-in."""
    BRING = "bring"
    """Make things from nothing."""
    FREEZE = "freeze"
    """Stop writing, so that state can be copied."""
    COPY = "copy"
    """Copy state to its permanent home."""
    CHECK = "check"
    """Compare the copy with what it was made from."""
    HAND_OVER = "hand over"
    """The permanent thing becomes the one owner and takes what clients know: an address, a name."""
    REPOINT = "repoint"
    """Tell clients that learnt the old address the new one."""
    PROVE = "prove"
    """Show that it serves without the stand-in."""
    RETIRE = "retire"
    """Take the stand-in away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StateMove:
    """State that goes to its permanent home.

    Attributes:
        state: the data, or the service whose state it is.
        source, target: who holds it before and after: a stand-in, a service, a store or a node.
        size: how much, bytes.
        speed: how fast at most, bit/s.
        slowest: what limits that speed, in words.
        seconds: size over speed.
        in_use: followed until it has caught up, instead of frozen while it is copied.
        assumed: whether size or speed was assumed.
    """

    state: str
    source: str
    target: str
    size: float
    speed: float
    slowest: str
    seconds: float
    in_use: bool
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of an order of work.

    Attributes:
        number: from 1.
        doing: what kind of step it is.
        things: what it brings, lends, copies, hands over, repoints, proves or retires.
        of: in a cut-over, the stand-in that is relieved; empty elsewhere.
        says: the action in plain words.
        after: numbers of the steps that must be done before.
        leans: what it needs standing meanwhile: things, and stand-ins in their place.
        moves: state that it moves.
        takes: how long, seconds.
        hands_s: how much of that is somebody's work, at its start, seconds.
        by: who may do it; empty for anyone.
        not_before: the day something it needs is delivered.
        command: the owner's own command, never run.
        check: how to see that it worked.
        back: how to go back.
        no_return: why there is no going back after it; empty where there is.
        out_s: services that it interrupts, with seconds.
        owners: after it, who owns each piece of state that any stand-in ever owns.
        cautions: what can be hurt: hands, backs, data.
        notes: what else to know, such as a second copy that is no redundancy yet.
        assumed: whether its times were assumed.
        where: its place in the lab file, for a step written by hand.
    """

    number: int
    doing: Doing
    things: tuple[str, ...]
    says: str
    takes: ThreePoint
    of: str = ""
    after: tuple[int, ...] = ()
    leans: tuple[str, ...] = ()
    moves: tuple[StateMove, ...] = ()
    hands_s: float = 0.0
    by: tuple[str, ...] = ()
    not_before: datetime.date | None = None
    command: str = ""
    check: str = ""
    back: str = ""
    no_return: str = ""
    out_s: Mapping[str, float] | None = None
    owners: Mapping[str, str] | None = None
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    assumed: bool = False
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """How the lab is after a step.

    Attributes:
        step: its number; 0 before the first.
        built: the things that stand, those that were there before included.
        lent: the stand-ins that are set up.
        serving: for each thing that a stand-in covers, whether the stand-in (its name) or the thing itself
            (its own name) serves; things that neither serves are not in it.
    """

    step: int
    built: Set[str]
    lent: frozenset[str]
    serving: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Single:
    """A single point of failure at a moment: a part, or a stand-in, and the services that fall with it."""

    part: str
    services: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fragile:
    """What any single failure would do at a moment.

    Attributes:
        step: the number of the step that it is after.
        serving: the services that serve then, themselves or by a stand-in.
        missing: things that should stand then and do not, by the exact graph; empty in a sound order.
        singles: what would stop any of them alone, worst first.
        margin: how many failures, at the least, stop any serving service: 1, or 2 for two or more;
            0 where nothing serves yet.
    """

    step: int
    serving: tuple[str, ...]
    missing: tuple[str, ...]
    singles: tuple[Single, ...]
    margin: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """An order of work from what there is to the whole lab.

    Attributes:
        steps: in order.
        already: what stood before the first.
        stand_ins: the cheapest that do it.
        cost_s: what they cost together, seconds of work.
        bound_s: no choice costs less than this.
        stuck: what can't be made even with every stand-in, in lab order; then there are no steps.
        circle: the smallest circle of things that wait for each other, ending where it began; where stuck.
        would_do: things of which one more stand-in would let everything be made, cheapest guess first.
        moments: the lab before the first step and after each, n_steps + 1.
    """

    steps: tuple[Step, ...]
    already: tuple[str, ...]
    stand_ins: tuple[str, ...]
    cost_s: float
    bound_s: float
    stuck: tuple[str, ...]
    circle: tuple[str, ...]
    would_do: tuple[str, ...]
    moments: tuple[Moment, ...]

    @property
    def proven(self) -> bool:
        """Whether no cheaper set of stand-ins does it."""
        return not self.stuck and self.bound_s >= self.cost_s - 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a step is done.

    Attributes:
        step: its number.
        begins, ends: of the whole step, hands and what goes on by itself.
        work: when hands are at it; empty where it needs none.
        who: whose hands; empty where none.
    """

    step: int
    begins: datetime.datetime
    ends: datetime.datetime
    work: tuple[tuple[datetime.datetime, datetime.datetime], ...]
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A calendar of an order of work, with most likely times.

    Attributes:
        slots: one a step, in the order of the steps.
        begins, ends: of the whole.
        earliest_end: proved: no calendar ends before this.
        fragile_h: hours, summed over services, during which one that serves has a single point of failure that the
            finished lab has not.
        least_fragile_h: proved: no calendar with this end has fewer.
        critical: the steps that decide the end.
        spread_s: one standard deviation of the time along the critical steps, seconds of doing, three-point.
    """

    slots: tuple[Slot, ...]
    begins: datetime.datetime
    ends: datetime.datetime
    earliest_end: datetime.datetime
    fragile_h: float
    least_fragile_h: float
    critical: tuple[int, ...]
    spread_s: float
