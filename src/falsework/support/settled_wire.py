"""Between which machines is the way over the wire interrupted by a loss, and for how long at most?

Bridges leave a tree open (`falsework.support.open_ways`). What lies on the tree before a loss and on the tree after it
goes on as if nothing had happened; between two machines whose way leads over anything else traffic waits until the
tree is found. A group of cables that loses one goes on, but what went over that one waits until it is left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from falsework.engines.blocks import blocks
from falsework.engines.convergence import link_group_s, rapid_spanning_tree_s, spanning_tree_s
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Switch, ThingId
from falsework.support.carriers import Plug, Stands, Wired, Wires
from falsework.support.open_ways import Tree, tree

FALLBACK = "rapid spanning tree"
"""Taken where a switch on a circle does not say what cuts it."""
NEVER = float("inf")


def settles_s(switch: Switch) -> float:
    """How long a switch takes to find a new way, seconds: as said, else by what cuts circles; 0 where nothing does."""
    if switch.settles_in is not None:
        return switch.settles_in
    how = switch.loops_cut_by or FALLBACK
    if how == "spanning tree":
        return spanning_tree_s()
    return rapid_spanning_tree_s() if how == "rapid spanning tree" else 0.0


def notices_s(cable: Cable, *, grouped: bool) -> float:
    """How long what goes over a cable waits before another is used, seconds.

    As said; else the short timeout of a link group. A machine with a second port that is in no group sees its cable
    go dark and turns to the other at once.
    """
    if cable.notices_in is not None:
        return cable.notices_in
    return link_group_s() if grouped else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Calm:
    """A network while nothing is lost.

    Attributes:
        wired: the network.
        tree: what bridges leave open.
        block_of: by switch and cable between switches, the sets of circles that it is on.
        settles: by such a set how long its slowest switch takes, seconds.
        uses: the plug that each machine uses.
        at: by switch, the machines that use a plug into it.
        by: by cable and switch, the machines that have a plug there, used or not.
    """

    wired: Wired
    tree: Tree
    block_of: Mapping[str, tuple[int, ...]]
    settles: tuple[float, ...]
    uses: Mapping[str, Plug]
    at: Mapping[str, tuple[str, ...]]
    by: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """How a machine is on a network after a loss: the switch that it uses, and how long its own plug waits."""

    into: str
    waits_s: float


class Interrupted:
    """Who is interrupted by one loss.

    Args:
        wire: the whole wire, calm.
        lost: a cable or switch.
    """

    def __init__(self, wire: SettledWire, lost: str) -> None:
        self.wire, self.lost = wire, lost
        self.settle: dict[str, float] = {}
        self.pieces: dict[str, Mapping[str, int]] = {}
        self.soft: dict[str, Mapping[str, int]] = {}
        self.weak: dict[str, float] = {}
        self.joined: dict[str, Mapping[str, int]] = {}
        for name, calm in wire.calm.items():
            self._after(name, calm)
        self._seats: dict[tuple[str, str], Seat | None] = {}
        self._known: dict[tuple[str, str], float] = {}

    def stands(self, name: str) -> bool:
        """What is there after the loss."""
        return name != self.lost and self.wire.stands(name)

    @cached_property
    def moves(self) -> bool:
        """Whether two switches that are joined before and after are joined in another way."""
        return any(
            len({(self.joined[name][switch], self.pieces[name][switch]) for switch in calm.wired.switches})
            > len({self.joined[name][switch] for switch in calm.wired.switches})
            for name, calm in self.wire.calm.items()
        )

    @property
    def seconds(self) -> float:
        """The longest interruption that it could be."""
        trees = self.settle.values() if self.moves else ()
        return max([*trees, *self.weak.values(), self.wire.plug_waits(self.lost)], default=0.0)

    def _after(self, name: str, calm: Calm) -> None:
        numbers = calm.block_of.get(self.lost, ())
        changed = bool(numbers) or self.lost in calm.wired.rank
        later = tree(calm.wired, self.stands) if changed else calm.tree
        self.joined[name] = _pieces(
            calm.wired.switches, [(switch, up[0]) for switch, up in later.above.items()]
        )
        same = [
            (switch, up[0])
            for switch, up in calm.tree.above.items()
            if later.above.get(switch) == up or later.above.get(up[0]) == (switch, up[1])
        ]
        self.settle[name] = max((calm.settles[number] for number in numbers), default=0.0)
        self.pieces[name] = _pieces(calm.wired.switches, same)
        carrier = self.wire.wires.of_cable.get(self.lost)
        self.weak[name] = 0.0
        self.soft[name] = self.pieces[name]
        if carrier is not None and len(carrier.cables) > 1 and carrier in calm.wired.trunks:
            # The way stays; what went over the lost member waits.
            self.weak[name] = self.wire.noticed[self.lost]
            ends = set(carrier.ends)
            self.soft[name] = _pieces(calm.wired.switches, [pair for pair in same if set(pair) != ends])

    def seat(self, network: str, host: str) -> Seat | None:
        """Where a machine is on a network afterwards; None where it is not on it any more."""
        key = (network, host)
        if key not in self._seats:
            self._seats[key] = self._seat(network, host)
        return self._seats[key]

    def _seat(self, network: str, host: str) -> Seat | None:
        calm = self.wire.calm[network]
        before = calm.uses.get(host)
        if host not in calm.by.get(self.lost, ()):
            return Seat(into=before.into, waits_s=0.0) if before is not None else None
        after = first(calm.wired.plugs[host], self.stands)
        if after is None:
            return None
        waits = 0.0
        if before is not None and self.lost in before.carrier.cables:
            waits = self.wire.noticed[self.lost]
        elif before is not None and before is not after:
            waits = max((self.wire.noticed[cable] for cable in before.carrier.cables), default=0.0)
        return Seat(into=after.into, waits_s=waits)

    def between(self, one: str, other: str) -> float:
        """How long two machines do not see each other, seconds at most; without end where no way is left.

        0 where nobody says how one of them is wired: it is taken to reach everything.
        """
        if one == other or not (self.wire.on(one) and self.wire.on(other)):
            return 0.0
        key = (one, other) if one < other else (other, one)
        if key not in self._known:
            shared = [name for name in self.wire.on(one) if name in self.wire.on(other)]
            found = min((self._on(name, one, other) for name in shared), default=NEVER)
            if found == NEVER:
                found = min(
                    (self._through(one, host, other) for host in self.wire.routers if self.stands(host)),
                    default=NEVER,
                )
            self._known[key] = found
        return self._known[key]

    def _through(self, one: str, router: str, other: str) -> float:
        legs = []
        for end in (one, other):
            shared = [name for name in self.wire.on(end) if name in self.wire.on(router)]
            legs.append(min((self._on(name, end, router) for name in shared), default=NEVER))
        return max(legs)

    def _on(self, network: str, one: str, other: str) -> float:
        wired = self.wire.calm[network].wired
        straight = wired.straight.get(one, {}).get(other)
        if straight is not None and straight.live(self.stands):
            return self.wire.noticed[self.lost] if self.lost in straight.cables else 0.0
        first, second = self.seat(network, one), self.seat(network, other)
        if first is None or second is None:
            return NEVER
        waits = max(first.waits_s, second.waits_s)
        if self.joined[network][first.into] != self.joined[network][second.into]:
            return NEVER
        if self.pieces[network][first.into] != self.pieces[network][second.into]:
            return max(waits, self.settle[network], self.weak[network])
        if self.soft[network][first.into] != self.soft[network][second.into]:
            return max(waits, self.weak[network])
        return waits

    def touched(self) -> frozenset[str]:
        """Machines that are not in the largest piece of undisturbed wire, or wait for their own plug.

        Two that are not among them see each other all the time, as far as they did before.
        """
        found: set[str] = set()
        for name, calm in self.wire.calm.items():
            own = calm.by.get(self.lost, ())
            seats = {host: self.seat(name, host) for host in own}
            found.update(host for host, seat in seats.items() if seat is None or seat.waits_s)
            for host, others in calm.wired.straight.items():
                if any(self.lost in carrier.cables for carrier in others.values()):
                    found.add(host)
            soft = self.soft[name]
            count: Counter[int] = Counter()
            for switch, hosts in calm.at.items():
                count[soft[switch]] += len(hosts)
            if len(count) < 2 and not own:
                continue
            usual = max(count, key=lambda piece: (count[piece], -piece), default=0)
            for switch, hosts in calm.at.items():
                if soft[switch] != usual:
                    found.update(host for host in hosts if host not in seats)
            found.update(
                host for host, seat in seats.items() if seat is not None and soft[seat.into] != usual
            )
        if found.intersection(self.wire.routers):
            return frozenset(self.wire.hosts)
        return frozenset(found)


class SettledWire:
    """The wire with nothing lost but what is out, ready to be asked about losses.

    Args:
        lab: the lab.
        wires: its carriers and networks.
        stands: what is there.
        routers: machines on which services run that pass traffic on between networks.
    """

    def __init__(self, lab: Lab, wires: Wires, stands: Stands, routers: tuple[str, ...] = ()) -> None:
        self.lab, self.wires, self.stands, self.routers = lab, wires, stands, routers
        self.noticed: dict[str, float] = {
            cable.id: notices_s(cable, grouped=bool(cable.group)) for cable in lab.of(Cable)
        }
        self.calm = {name: self._calm(wired) for name, wired in wires.networks.items()}
        self._on: dict[str, tuple[str, ...]] = {}
        for name, calm in self.calm.items():
            for host in (*calm.wired.plugs, *calm.wired.straight):
                if name not in self._on.get(host, ()):
                    self._on[host] = (*self._on.get(host, ()), name)
        self.hosts = tuple(self._on)

    def on(self, host: str) -> tuple[str, ...]:
        """The networks that a machine is on."""
        return self._on.get(host, ())

    def plug_waits(self, lost: str) -> float:
        """How long a machine waits at the most that was plugged in over a lost cable, or into a lost switch."""
        carrier = self.wires.of_cable.get(lost)
        if carrier is not None:
            return self.noticed[lost]
        return max(
            (
                self.noticed[cable]
                for each in self.wires.carriers
                if lost in each.ends
                for cable in each.cables
            ),
            default=0.0,
        )

    def candidates(self) -> tuple[str, ...]:
        """Switches and cables whose loss can interrupt what does not end: on a circle, in a group, or with a spare."""
        found: dict[str, None] = {}
        switches = {switch.id for switch in self.lab.of(Switch)}
        for calm in self.calm.values():
            found.update(dict.fromkeys(name for name in calm.block_of if name in switches))
            found.update(dict.fromkeys(name for name in calm.block_of if name not in switches))
        for carrier in self.wires.carriers:
            if len(carrier.cables) > 1:
                found.update(dict.fromkeys(carrier.cables))
        for calm in self.calm.values():
            for plugs in calm.wired.plugs.values():
                slow = [plug for plug in plugs if any(self.noticed[each] for each in plug.carrier.cables)]
                if len(plugs) > 1:
                    found.update(dict.fromkeys(each for plug in slow for each in plug.carrier.cables))
                    found.update(dict.fromkeys(plug.into for plug in slow))
        return tuple(name for name in found if self.stands(name))

    def _calm(self, wired: Wired) -> Calm:
        block_of: dict[str, tuple[int, ...]] = {}
        settles: list[float] = []
        for those in blocks([trunk.ends for trunk in wired.trunks]):
            if len(those) < 2:
                continue
            number = len(settles)
            trunks = [wired.trunks[each] for each in those]
            names = dict.fromkeys(end for trunk in trunks for end in trunk.ends)
            settles.append(max(self._settles(name) for name in names))
            for name in (*names, *(cable for trunk in trunks for cable in trunk.cables)):
                block_of[name] = (*block_of.get(name, ()), number)
        uses: dict[str, Plug] = {}
        at: dict[str, list[str]] = {}
        by: dict[str, dict[str, None]] = {}
        for host, plugs in wired.plugs.items():
            used = first(plugs, self.stands)
            if used is not None:
                uses[host] = used
                at.setdefault(used.into, []).append(host)
            for plug in plugs:
                for name in (plug.into, *plug.carrier.parts):
                    by.setdefault(name, {})[host] = None
        return Calm(
            wired=wired,
            tree=tree(wired, self.stands),
            block_of=block_of,
            settles=tuple(settles),
            uses=uses,
            at={switch: tuple(hosts) for switch, hosts in at.items()},
            by={name: tuple(hosts) for name, hosts in by.items()},
        )

    def _settles(self, name: str) -> float:
        switch = self.lab.things[ThingId(name)]
        return settles_s(switch) if isinstance(switch, Switch) else 0.0


def first(plugs: tuple[Plug, ...], stands: Stands) -> Plug | None:
    """The plug that a machine uses: the first, in the order of the file, that stands."""
    return next((plug for plug in plugs if plug.live(stands)), None)


def _pieces(vertices: tuple[str, ...], edges: list[tuple[str, str]]) -> Mapping[str, int]:
    """A number for each vertex, the same for those that these edges join."""
    around: dict[str, list[str]] = {vertex: [] for vertex in vertices}
    for one, other in edges:
        around[one].append(other)
        around[other].append(one)
    piece: dict[str, int] = {}
    for number, start in enumerate(vertices):
        if start in piece:
            continue
        piece[start] = number
        waiting = [start]
        while waiting:
            for there in around[waiting.pop()]:
                if there not in piece:
                    piece[there] = number
                    waiting.append(there)
    return piece
