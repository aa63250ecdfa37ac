"""What does each thing lean on?

A thing stands while its own part works and every one of its leans holds. A lean holds while at least
`enough` of the things it names stand and, where the wire matters, can be seen from where the leaning thing
is. That is the whole of it: power, housing, hosting, storage, quorum and needs differ only in which leans
they give to which things.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from falsework.engines.ways import reach
from falsework.where import Where


class Phase(StrEnum):
    """When a lean counts."""

    RUN = "to run"
    START = "to start"


class Role(StrEnum):
    """Why a thing leans on another, for the words of a reason."""

    POWER = "power"
    HOUSING = "housing"
    HOST = "host"
    COPIES = "copies"
    DRIVES = "drives"
    THROUGH = "through"
    STATE = "state"
    NEED = "need"
    ROOM = "room"
    LOAD = "load"
    WAY = "way"
    KEPT = "kept"


NOW = frozenset(("now",))
LATER = frozenset(("later",))
ALWAYS = frozenset(("now", "later"))
"""Whether a lean counts for standing without interruption (`now`), for standing again once all that can come
back has (`later`), or both: a service whose copies take over leans now on the active copy, later on any."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lean:
    """At least `enough` of `on` must stand.

    Attributes:
        on: ids of things.
        enough: how many of them; all where it equals their number.
        role: why.
        phases: RUN counts every moment, START counts while getting going; structural leans count in both.
        times: `NOW`, `LATER` or `ALWAYS`.
        hold_s: how long it may be broken before it matters, seconds.
        seen: the things must be seen from the place of the leaning thing.
        together: the things must see each other (quorum).
        at: addresses that the leaning thing knows; empty for all.
        where: the place in the lab file that says so.
    """

    on: tuple[str, ...]
    enough: int
    role: Role
    phases: frozenset[Phase] = frozenset((Phase.RUN, Phase.START))
    times: frozenset[str] = ALWAYS
    hold_s: float = 0.0
    seen: bool = False
    together: bool = False
    at: tuple[str, ...] = ()
    where: Where | None = None

    @property
    def awaited(self) -> bool:
        """Whether a thing serves only once it is met: needed every moment, and not left to a hold after the start."""
        return Phase.RUN in self.phases and (not self.hold_s or Phase.START in self.phases)


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """One thing of the graph and what it leans on.

    Attributes:
        id: its name; things that the lab file does not name have a name made from those it does.
        word: what it is (node, copy, service, ...).
        part: whether it can fail by itself.
        leans: all must hold.
        places: the nodes where it is, any of them; empty where the wire does not matter.
        now: the nodes where it is before anything moves; `places` where not given.
        sheds: it may be stopped to make room for others.
        returns_s: seconds from having all it needs again to standing; None if it does not come back by itself.
        wakes_s: seconds from power at its feed to ready, at a cold start; what it waits before it begins included.
        stays_off: it needs a hand after a power cut.
        tries_once: it does not wait for what it needs to start.
        after_all: things that must all have begun before it does, at a cold start only: where nobody knows which
            copy stopped last, each waits for all.
        where: its place in the lab file.
    """

    id: str
    word: str
    part: bool = False
    leans: tuple[Lean, ...] = ()
    places: tuple[str, ...] = ()
    now: tuple[str, ...] | None = None
    sheds: bool = False
    returns_s: float | None = 0.0
    wakes_s: float = 0.0
    stays_off: bool = False
    tries_once: bool = False
    after_all: tuple[str, ...] = ()
    where: Where | None = None

    @property
    def moves(self) -> bool:
        """Whether it may come back in another place."""
        return self.now is not None and self.now != self.places

    def at(self, time: str) -> tuple[str, ...]:
        """Where it is `now`, or may be `later`."""
        return self.places if self.now is None or time == "later" else self.now


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A node's way onto the wire: it holds while all of `through` stand (cable, card)."""

    node: str
    vertex: str
    through: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Who can be reached over one network.

    Attributes:
        vertices: switches, and cables that join two nodes directly; each is a thing of the graph.
        edges: pairs of vertices with the cable that joins them.
        attachments: by node.
        users: the vertices where users sit; empty for any.
    """

    name: str
    vertices: tuple[str, ...]
    edges: tuple[tuple[str, str, str], ...]
    attachments: Mapping[str, tuple[Attachment, ...]]
    users: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A source of power that trips above its limit.

    Attributes:
        source: the circuit, strip or battery.
        limit_w: what it can carry, W.
        draws: for each consumer its draw in W, the number of its supplies through this source, and its other
            supplies (ids) that share the load while they stand.
    """

    source: str
    limit_w: float
    draws: tuple[tuple[float, int, tuple[str, ...]], ...]

    def carried_w(self, stands: Callable[[str], bool]) -> float:
        """What the source would have to carry, given which other supplies stand, W."""
        return sum(
            draw * mine / (mine + sum(1 for other in others if stands(other)))
            for draw, mine, others in self.draws
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Copies that restart on whatever hosts of a pool are left.

    Attributes:
        pool: its name.
        hosts: ids of nodes.
        free: what each host has for copies: cores, memory in byte, disk in byte, accelerators.
        copies: ids of copies in the order in which they are placed.
        host_of: position in `hosts` of each copy's host today.
        takes: what each copy takes, as `free`.
        apart: for each copy a group number; copies of one group may not share a domain.
        domain_of: for each copy's apart level the domain number of each host.
        sheds: copies that may be left out.
        may: for each copy the positions of the hosts that it may be on; empty where all copies may be on all.
        away: two copies that may not share a domain, and the domain number of each host for them.
    """

    pool: str
    hosts: tuple[str, ...]
    free: tuple[tuple[float, float, float, float], ...]
    copies: tuple[str, ...]
    host_of: tuple[int, ...]
    takes: tuple[tuple[float, float, float, float], ...]
    apart: tuple[int, ...]
    domain_of: tuple[tuple[int, ...], ...]
    sheds: tuple[bool, ...]
    may: tuple[frozenset[int], ...] = ()
    away: tuple[tuple[int, int, tuple[int, ...]], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """How data survives: it is intact while `enough` of `on` are; `on` names parts, things or other keepings."""

    id: str
    on: tuple[str, ...]
    enough: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportGraph:
    """Everything that stands, and what it stands on.

    Attributes:
        things: by id, the things of the lab first, in lab order.
        networks: by name.
        loads: sources that may trip.
        rooms: pools where room may run out.
        keepings: by id, how data and what holds it survive losses (not whether it can be reached).
        services: ids of services and alarms, in lab order.
        routers: services that join networks, with the networks.
        answers: by service, which copies answer at each of its addresses.
    """

    things: Mapping[str, Support]
    networks: Mapping[str, Network]
    loads: tuple[Load, ...] = ()
    rooms: tuple[Room, ...] = ()
    keepings: Mapping[str, Keeping] = field(default_factory=dict)
    services: tuple[str, ...] = ()
    routers: tuple[tuple[str, tuple[str, ...]], ...] = ()
    answers: Mapping[str, Mapping[str, tuple[str, ...]]] = field(default_factory=dict)

    @property
    def parts(self) -> tuple[str, ...]:
        """Everything that can fail by itself, in lab order."""
        return tuple(name for name, thing in self.things.items() if thing.part)

    def under(self, name: str) -> tuple[str, ...]:
        """A thing, and everything that it leans on by whatever way, nearest first."""

        def bears(each: str) -> Iterator[str]:
            for lean in self.things[each].leans if each in self.things else ():
                yield from lean.on

        return reach((name,), bears)
