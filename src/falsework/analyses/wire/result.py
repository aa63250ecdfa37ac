"""What can be told of ports, cables, groups of cables, loops of switches, pauses, and who reaches the controllers?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.analyses.wire.passing import Between, Moment, Subscribed, Traffic
from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One end of a cable: a port of a machine, and where that stands.

    Attributes:
        rack, room: empty where nobody says.
        unit: the lowest rack unit of the machine, or of the box it is in; None where nobody says.
        speed: of the port, bit/s; None where nobody says.
    """

    machine: str
    port: str
    rack: str = ""
    room: str = ""
    unit: float | None = None
    speed: float | None = None

    @property
    def name(self) -> str:
        """As in the lab file."""
        return f"{self.machine}.{self.port}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One cable of the schedule.

    Attributes:
        id: as elsewhere.
        label: what to write on it; made of its own ends alone, so no other cable changes it.
        ends: both.
        speed: what it runs at, bit/s: the slower port, or what is said; None where nobody says any.
        mismatched: whether its two ports have different speeds.
        length: metres; as said, else proposed.
        proposed: whether the length is a proposal; False and no length where none can be made.
        colour: as said.
        group: as said.
    """

    id: str
    label: str
    ends: tuple[End, End]
    speed: float | None
    mismatched: bool
    length: float | None
    proposed: bool
    colour: str = ""
    group: str = ""
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """One port of a machine: its speed in bit/s, and the cable and the far end where one is plugged in."""

    name: str
    speed: float | None
    cable: str = ""
    label: str = ""
    far: str = ""
    controller: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A machine or switch with all its ports, in the order of the file."""

    machine: str
    word: str
    ports: tuple[Port, ...]
    where: Where | None = None

    @property
    def free(self) -> int:
        """Ports with nothing in them."""
        return sum(1 for port in self.ports if not port.cable)


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """How many ports of one speed there are on a switch, bit/s; None where nobody says how fast they are."""

    switch: str
    speed: float | None
    ports: int
    used: int

    @property
    def free(self) -> int:
        """Those that are left."""
        return self.ports - self.used


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Machines that are plugged in nowhere, and the ports that they would take.

    Attributes:
        machines: those without any cable, in lab order.
        ports: how many ports they want, by the speed of their own, bit/s (None: not said): one each, and one for a
            management controller; idle second ports are not counted.
        short: how many of these find no free port of a switch that is as fast, where the others take the slowest
            that will do.
    """

    machines: tuple[str, ...]
    ports: Mapping[float | None, int]
    short: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Cables that work as one, and what they survive.

    Attributes:
        group: the owner's name.
        boxes: the machines that it joins: two, or a machine and the switches that its cables go to.
        cables: in lab order.
        labels: of the cables.
        cards: the cards that its ports are on, where these are said.
        splits: whether its cables end in more than two boxes.
        speeds: different speeds of its cables, bit/s, slowest first; one where all are alike.
        down: those of its cables that carry nothing as it is.
        survives: parts after whose loss it still carries, though it had a cable there: its cables, their cards, the
            switches, what these stand on.
        fails: parts after whose loss it carries nothing although its machine stands.
        isolated: those of `fails` after which the machine has no other way onto the wire either.
    """

    group: str
    boxes: tuple[str, ...]
    cables: tuple[str, ...]
    labels: tuple[str, ...]
    cards: tuple[str, ...]
    splits: bool
    speeds: tuple[float, ...]
    down: tuple[str, ...]
    survives: tuple[str, ...]
    fails: tuple[str, ...]
    isolated: tuple[str, ...]
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """Switches that are joined in more than one way.

    Attributes:
        switches: in lab order.
        cables: those that lie on some circle among them.
        ring: one circle, as switches in order.
        cut_by: by switch what it says that cuts loops; empty where it says nothing.
        uncut: one circle of switches none of which cuts it: all say `nothing`; empty where each circle is cut or
            somebody on it says nothing at all.
        unsaid: switches among them that do not say what cuts loops.
    """

    switches: tuple[str, ...]
    cables: tuple[str, ...]
    ring: tuple[str, ...]
    cut_by: Mapping[str, str]
    uncut: tuple[str, ...]
    unsaid: tuple[str, ...]
    where: Where | None = None

    @property
    def sound(self) -> bool:
        """Whether each switch says that it cuts circles, and how."""
        return not self.unsaid and "nothing" not in self.cut_by.values()


@dataclass(frozen=True, slots=True, kw_only=True)
class Paused:
    """A service that pauses though it does not fall: what it needs over the wire is away for longer than its hold.

    Attributes:
        service: who.
        seconds: for how long, at most.
        because: the thing and what it can't see meanwhile, in a few words.
        hold_s: how long that may be away.
    """

    service: str
    seconds: float
    because: str
    hold_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """How long the way over the wire is interrupted by a loss, where there still is one.

    Attributes:
        lost: parts each of which alone does this.
        seconds: at most.
        how: `a new way round` or `the group leaves it out`.
        apart: machines by what they can still see meanwhile: each inner set without a pause among itself, largest first.
        services: those that pause, longest first.
        bears: how many services are touched and have holds long enough.
    """

    lost: tuple[str, ...]
    seconds: float
    how: str
    apart: tuple[tuple[str, ...], ...]
    services: tuple[Paused, ...]
    bears: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """How far machines with one port can be spread over the switches.

    Attributes:
        service: whose copies vote.
        copies: how many there are.
        needed: how many must see each other.
        one_port: hosts with one port that is no controller's, with how many of its copies are on each.
        more_ports: the other hosts.
        switches: over which they may be spread.
        falls_by: switches after whose loss too few see each other, as the machines are plugged in now.
        possible: whether some way of plugging in the one-port machines survives the loss of any one switch.
        arrangement: such a way, or the best there is: by switch, how many copies on one-port machines.
        left: with that, the most copies that see each other after the worst loss of a switch.
        two_ports: how many one-port machines would have to get a second port (into another switch); None where that
            alone does not help.
        more_switches: how many more switches, each joined to all others, would do instead; None where none do.
    """

    service: str
    copies: int
    needed: int
    one_port: Mapping[str, int]
    more_ports: tuple[str, ...]
    switches: tuple[str, ...]
    falls_by: tuple[str, ...]
    possible: bool
    arrangement: Mapping[str, int]
    left: int
    two_ports: int | None
    more_switches: int | None
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreached:
    """Controllers that nobody can reach after a loss, although they stand.

    Attributes:
        lost: parts each of which alone does this.
        controllers: in lab order.
        all: whether these are all that then stand.
        why: what is missing, in clauses.
    """

    lost: tuple[str, ...]
    controllers: tuple[str, ...]
    all: bool
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Managed:
    """Who reaches the management controllers.

    Attributes:
        controllers: that are on the wire, in lab order.
        unplugged: those without a cable.
        viewers: the services, or places, from which they are looked at; any one will do.
        viewed_from: the machines (or switches) that those are on.
        never: those that can't be reached with nothing lost.
        never_why: why not, in clauses.
        after: losses, worst first; the loss of a controller's own cable is not told.
        at_start: those that can't be reached while the machines that have controllers are off, as at a cold start.
        start_why: why not, in clauses.
    """

    controllers: tuple[str, ...]
    unplugged: tuple[str, ...]
    viewers: tuple[str, ...]
    viewed_from: tuple[str, ...]
    never: tuple[str, ...]
    after: tuple[Unreached, ...]
    at_start: tuple[str, ...]
    start_why: tuple[str, ...] = ()
    never_why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """What is plugged in where: needs the lab alone, no loss.

    Attributes:
        boxes: each machine and switch with ports, in lab order.
        runs: each cable, in lab order.
        budget: by switch and speed.
        wanted: what is not wired yet.
        taken: figures that nobody gave.
    """

    boxes: tuple[Box, ...]
    runs: tuple[Run, ...]
    budget: tuple[Budget, ...]
    wanted: Wanted
    taken: tuple[Taken, ...]


LEAST = 1e-6
"""Less of a bit/s, or of a share, is rounding."""


def too_full(moment: Moment) -> bool:
    """Whether something that has a way does not get through for want of room, or a link is asked for more than all."""
    return any(each.short - each.cut_off > LEAST for each in moment.passed) or any(
        each.share > 1.0 + LEAST for each in moment.filled
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """All that is told of the wire.

    Attributes:
        layout: what is plugged in where.
        groups, loops, pauses, limits, managed: see there; pauses are longest first.
        traffic: what services send, and whether it gets through.
        subscribed: what each switch's edge could ask of its uplinks.
        between: how much gets from one thing to another, where that was asked.
        lost: what was asked to be lost beforehand.
        taken: figures that nobody gave, all of them.
    """

    layout: Layout
    groups: tuple[Group, ...]
    loops: tuple[Loop, ...]
    pauses: tuple[Pause, ...]
    limits: tuple[Limit, ...]
    managed: Managed
    traffic: Traffic
    subscribed: tuple[Subscribed, ...]
    between: Between | None
    lost: tuple[str, ...]
    taken: tuple[Taken, ...]

    @property
    def short(self) -> tuple[Moment, ...]:
        """Moments at which traffic does not get through for want of room on the wire; now also for want of a way.

        What a loss cuts off from the wire altogether is the business of the verdicts.
        """
        now = (self.traffic.now,) if self.traffic.now.short > 0 else ()
        return (*now, *(moment for moment in self.traffic.after if too_full(moment)))

    @property
    def cut_off(self) -> tuple[Moment, ...]:
        """Losses that only cut off who sends, or who is sent to; the rest gets through."""
        return tuple(moment for moment in self.traffic.after if not too_full(moment))

    @property
    def passes(self) -> bool:
        """Whether all traffic that has a way gets through, now and after any one loss."""
        return not self.short

    @property
    def holds(self) -> bool:
        """Whether all traffic gets through, and every circle of switches is cut."""
        return self.passes and not any(loop.uncut for loop in self.loops)
