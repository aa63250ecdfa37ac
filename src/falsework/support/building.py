"""What must be there before each thing of a lab can be made from nothing?

Making adds two things to what the support graph knows: needs to build, and stand-ins that meet needs in place
of what is not there yet. A lean on a thing that a stand-in covers is a lean on either of the two.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from falsework.engines.founded.system import Clause, System
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import Thing, ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Pool, Service
from falsework.support.graph import Phase, Role, Support, SupportGraph

MADE = ("circuit", "ups", "strip", "enclosure", "node", "switch", "store", "pool", "copy", "alarm")
"""Words of the things that somebody makes; the rest comes with them, or is there."""
SERVING = (Role.NEED, Role.STATE, Role.KEPT, Role.WAY)
"""Leans on something that must serve, not merely have begun."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Building:
    """A lab as things that begin once others serve.

    Attributes:
        system: the items; stand-ins are its offers.
        item: of each thing, pool and stand-in, by id.
        made: items that somebody makes, ascending; stand-ins are not among them.
        free: items that come by themselves once what they lean on is there.
        goals: items that must serve in the end.
        either: by covered thing, the item that serves when the thing or a stand-in for it does.
        covers: by covered thing, its stand-ins in lab order.
    """

    system: System
    item: Mapping[str, int]
    made: tuple[int, ...]
    free: frozenset[int]
    goals: tuple[int, ...]
    either: Mapping[str, int]
    covers: Mapping[str, tuple[str, ...]]


def building(lab: Lab, support: SupportGraph, stand_ins: Iterable[StandIn] | None = None) -> Building:
    """The lab, ready to be asked what can be made first and with which help.

    Args:
        lab: references resolved.
        support: its support graph.
        stand_ins: those that may be used; all of the lab if not given. Each costs its `costs` in whole seconds.

    Cost:
        Linear in leans and needs.
    """
    return _Maker(lab, support, tuple(lab.of(StandIn) if stand_ins is None else stand_ins)).building()


class _Maker:
    def __init__(self, lab: Lab, support: SupportGraph, stand_ins: tuple[StandIn, ...]) -> None:
        self.lab = lab
        self.support = support
        self.stand_ins = stand_ins
        self.covers: dict[str, list[str]] = {}
        for stand_in in stand_ins:
            for target in stand_in.for_.ids if stand_in.for_ else ():
                self.covers.setdefault(target, []).append(stand_in.id)
        names = [*support.things, *(pool.id for pool in lab.of(Pool)), *(each.id for each in stand_ins)]
        self.item = {name: at for at, name in enumerate(names)}
        self.either = {name: len(names) + at for at, name in enumerate(self.covers)}
        self.names = [*names, *(f"{name} or a stand-in" for name in self.covers)]
        self.begin: list[list[Clause]] = [[] for _ in self.names]
        self.serve: list[list[Clause]] = [[] for _ in self.names]
        self.switches = switches(support)

    def building(self) -> Building:
        for name, thing in self.support.things.items():
            self._thing(name, thing)
        for pool in self.lab.of(Pool):
            self._pool(pool)
        for stand_in in self.stand_ins:
            self._stand_in(stand_in)
        for name, at in self.either.items():
            on = tuple(self.item[each] for each in (name, *self.covers[name]) if each in self.item)
            self.begin[at].append(Clause(of=on, enough=1, begun=True))
            self.serve[at].append(Clause(of=on, enough=1))
        things = {**{name: thing.word for name, thing in self.support.things.items()}}
        things.update({pool.id: pool.IS for pool in self.lab.of(Pool)})
        made = tuple(self.item[name] for name, word in things.items() if word in MADE)
        offers = {self.item[each.id]: round(each.costs or 0.0) for each in self.stand_ins}
        goals = tuple(
            self.item[name] for name, word in things.items() if word in MADE or word in ("service", "key")
        )
        return Building(
            system=System(
                names=tuple(self.names),
                begin=tuple(map(tuple, self.begin)),
                serve=tuple(map(tuple, self.serve)),
                costs=offers,
            ),
            item=self.item,
            made=made,
            free=frozenset(range(len(self.names))) - frozenset(made) - frozenset(offers),
            goals=goals,
            either=self.either,
            covers={name: tuple(each) for name, each in self.covers.items()},
        )

    # -- things ------------------------------------------------------------------------------------

    def _thing(self, name: str, thing: Support) -> None:
        at = self.item[name]
        for lean in thing.leans:
            if "later" not in lean.times:
                continue
            clause = Clause(of=self._items(lean.on), enough=lean.enough, begun=lean.role not in SERVING)
            if Phase.START in lean.phases:
                self.begin[at].append(clause)
            if lean.awaited:
                self.serve[at].append(Clause(of=clause.of, enough=clause.enough))
        own = self.lab.things.get(ThingId(name))
        asks = [*_to_build(own)]
        if isinstance(own, Copy):
            asks += _to_build(self.lab.things[ThingId(own.service)])
            if own.pool:
                self.begin[at].append(Clause(of=(self.item[own.pool],), enough=1, begun=True))
        if not isinstance(own, Service):
            self._needs(at, asks)
        if isinstance(own, Copy) or asks:
            self._wire(at, thing)

    def _pool(self, pool: Pool) -> None:
        """A pool is made once one of its hosts and its store are there."""
        at = self.item[pool.id]
        if pool.hosts:
            self.begin[at].append(Clause(of=self._items(pool.hosts.ids), enough=1, begun=True))
        if pool.store:
            self.begin[at].append(Clause(of=self._items(pool.store.ids), enough=1))
        self._needs(at, _to_build(pool))

    def _stand_in(self, stand_in: StandIn) -> None:
        at = self.item[stand_in.id]
        needs = stand_in.needs
        if needs is not None:
            self._needs(at, (*needs.to_build, *needs.to_start, *needs.run_and_start))
            for need in needs.awaited:
                if not need.soft:
                    self.serve[at].append(Clause(of=self._items(need.of.ids), enough=need.enough or 1))
        if stand_in.on is not None:
            host = Clause(of=self._items(stand_in.on.ids), enough=1, begun=True)
            self.begin[at].append(host)
            self.serve[at].append(Clause(of=host.of, enough=1))

    def _needs(self, at: int, needs: Iterable[Need]) -> None:
        for need in needs:
            if not need.soft:
                self.begin[at].append(Clause(of=self._items(need.of.ids), enough=need.enough or 1))

    def _wire(self, at: int, thing: Support) -> None:
        """What others see, or is made by others, waits for a switch on its wire; the exact graph knows the rest."""
        on = dict.fromkeys(switch for place in thing.places for switch in self.switches.get(place, ()))
        if on and not any(place in on for place in thing.places):
            self.begin[at].append(Clause(of=tuple(self.item[each] for each in on), enough=1, begun=True))

    def _items(self, names: Iterable[str]) -> tuple[int, ...]:
        """A thing that is covered counts as itself or its stand-in; data and the like, which nobody makes, as there."""
        return tuple(
            self.either[name] if name in self.either else self.item[name]
            for name in names
            if name in self.either or name in self.item
        )


def _to_build(thing: Thing | None) -> tuple[Need, ...]:
    return thing.needs.to_build if thing is not None and thing.needs is not None else ()


def switches(support: SupportGraph) -> Mapping[str, tuple[str, ...]]:
    """The switches that each node is plugged into, over all networks."""
    found: dict[str, dict[str, None]] = {}
    for network in support.networks.values():
        for node, attachments in network.attachments.items():
            for each in attachments:
                if support.things[each.vertex].word == "switch":
                    found.setdefault(node, {})[each.vertex] = None
    return {node: tuple(each) for node, each in found.items()}
