"""Which spare ways does a loss make use of?

A *way* is one thing that has to work so that a service goes on in spite of a loss: a lean that lost some of what it
names and holds by the rest, a hold that bridges, a copy that goes to another host, a network that joins over what is
left of it, a source that carries more than before. Two losses use a way in the same way only where just the same is
gone of it: three copies of which the first is gone are not three of which the second is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import inf

from falsework.support.graph import LATER
from falsework.support.standing import Standing, View

FOOT = " -> "
"""Between a node and the switch that one of its cables goes to."""


class Use(StrEnum):
    """How a way is used."""

    SPARE = "holds by the rest"
    LATER = "holds by the rest after an interruption"
    HELD = "is bridged by a hold"
    ROOM = "copies go to the hosts that are left"
    WIRE = "joins over what is left"
    LOAD = "carries more"


_USED = ("service", "alarm", "store")


@dataclass(frozen=True, slots=True)
class Way:
    """One spare way and how a loss uses it.

    Attributes:
        use: how.
        thing: the thing that leans; the pool, network or source of power.
        number: which of its leans; 0 for what has none.
        gone: what is gone of it.
    """

    use: Use
    thing: str
    number: int
    gone: frozenset[str]


class Ways:
    """A lab, ready to be asked which ways a loss uses."""

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        support = standing.support
        self.leaners: dict[str, list[tuple[str, int]]] = {}
        for name, thing in support.things.items():
            for number, lean in enumerate(thing.leans):
                for each in lean.on:
                    self.leaners.setdefault(each, []).append((name, number))
        self.rooms: dict[str, list[str]] = {}
        self.copies: dict[str, tuple[str, ...]] = {room.pool: room.copies for room in support.rooms}
        for room in support.rooms:
            for host in room.hosts:
                self.rooms.setdefault(host, []).append(room.pool)
        self.loads: dict[str, list[str]] = {}
        for load in support.loads:
            for other in dict.fromkeys(each for _, _, others in load.draws for each in others):
                self.loads.setdefault(other, []).append(load.source)
        self.wires: dict[str, list[tuple[str, str, tuple[str, ...]]]] = {}
        for net, network in support.networks.items():
            for vertex in network.vertices:
                self.wires.setdefault(vertex, []).append((net, vertex, ()))
            for one, other, cable in network.edges:
                self.wires.setdefault(cable, []).append((net, cable, (one, other)))
            for node, ways in network.attachments.items():
                for way in ways:
                    for each in (*way.through, way.vertex):
                        self.wires.setdefault(each, []).append((net, f"{node}{FOOT}{way.vertex}", (node,)))

    def of(
        self, view: View, lost: Collection[str], falls: Mapping[str, float]
    ) -> tuple[frozenset[Way], Mapping[Way, tuple[float, float]]]:
        """Every way that is used in a scenario; of those that bridge by a hold, from when until when they do.

        Args:
            view: the scenario.
            lost: what is lost or stopped in it, besides what is out beforehand.
            falls: when each thing that is down falls, seconds.
        """
        down = [name for name in view.down() if self.standing.baseline.up(name)]
        held: dict[Way, tuple[float, float]] = {}
        found: list[Way] = [*self._others(view, down)]
        for way in self._leans(view, down, lost):
            if way.use is Use.HELD:
                begins = min(falls.get(name, 0.0) for name in way.gone)
                ends = falls.get(way.thing, inf)
                if ends <= begins:  # it falls with what it leans on: nothing is bridged
                    continue
                held[way] = (begins, ends)
            found.append(way)
        return frozenset(found), held

    def _leans(self, view: View, down: Iterable[str], lost: Collection[str]) -> Iterator[Way]:
        gone: dict[tuple[str, int], set[str]] = {}
        for each in down:
            for place in self.leaners.get(each, ()):
                gone.setdefault(place, set()).add(each)
        things = self.standing.support.things
        for (name, number), those in gone.items():
            if name in lost:
                continue
            use = self._use(view, name, number, bool(things[name].leans[number].hold_s))
            if use is not None:
                yield Way(use, name, number, frozenset(those))
            if use is Use.LATER:
                # A take-over by what is whole is not one that has to do without some of it.
                for other, lean in enumerate(things[name].leans):
                    if lean.times == LATER and (name, other) not in gone:
                        yield Way(use, name, other, frozenset())

    @staticmethod
    def _use(view: View, name: str, number: int, holds: bool) -> Use | None:
        if view.lean_holds(name, number):
            if view.up(name):
                # A lean that holds only for its hold is bridged until what is gone is back.
                return Use.SPARE
        elif holds:
            return Use.HELD
        if view.back(name) and not view.up(name) and view.lean_holds(name, number, later=True):
            return Use.LATER
        return None

    def _others(self, view: View, down: Iterable[str]) -> Iterator[Way]:
        hosts: dict[str, set[str]] = {}
        loads: dict[str, set[str]] = {}
        wires: dict[str, set[str]] = {}
        for each in down:
            for pool in self.rooms.get(each, ()):
                hosts.setdefault(pool, set()).add(each)
            for source in self.loads.get(each, ()):
                if view.up(source):
                    loads.setdefault(source, set()).add(each)
            for net, what, ends in self.wires.get(each, ()):
                if all(view.up(end) for end in ends):
                    wires.setdefault(net, set()).add(what)
        for use, found in ((Use.ROOM, hosts), (Use.LOAD, loads), (Use.WIRE, wires)):
            for name, those in found.items():
                yield Way(use, name, 0, frozenset(those))

    def above(self, names: Iterable[str]) -> frozenset[str]:
        """The services that lean on any of these, however far below; and these, where they are services or stores."""
        things = self.standing.support.things
        found: set[str] = set()
        waiting = list(names)
        while waiting:
            name = waiting.pop()
            if name not in found:
                found.add(name)
                waiting.extend(each for each, _ in self.leaners.get(name, ()))
        return frozenset(name for name in found if name in things and things[name].word in _USED)

    def cone(self, services: Iterable[str]) -> frozenset[str]:
        """Everything that these lean on, however far below; pools and networks by their names."""
        things = self.standing.support.things
        found: set[str] = set()
        waiting = list(services)
        while waiting:
            name = waiting.pop()
            if name in found or name not in things:
                continue
            found.add(name)
            for lean in things[name].leans:
                waiting.extend(lean.on)
        pools = [pool for pool, copies in self.copies.items() if not found.isdisjoint(copies)]
        return frozenset((*found, *pools, *self.standing.support.networks))
