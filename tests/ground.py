"""What must be there before a thing can be made, and what must stay there while it serves?

An own, slow and plain answer, read off the typed lab: it shares no code with the product's graphs and engines.
Things that somebody makes are *made*; others (supplies, drives, services, keys) come once what they consist of
is there. What is there is the least set, what serves the greatest within it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations

from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import (
    Cable,
    Card,
    Circuit,
    Controller,
    Drive,
    Enclosure,
    Node,
    Part,
    Powered,
    Strip,
    Supply,
    Switch,
    Thing,
    Ups,
)
from falsework.model.people import Alarm, StandIn
from falsework.model.rules import layout, majority_of
from falsework.model.services import Copy, Pool, Secret, Service, Store

MADE = (Circuit, Ups, Strip, Enclosure, Node, Switch, Store, Pool, Copy, Alarm)
Covers = Mapping[str, Collection[str]]
"""By covered thing, the stand-ins that may count for it."""


@dataclass(frozen=True)
class Clause:
    """At least `enough` of `of` must serve, or be there where `there` will do."""

    of: tuple[str, ...]
    enough: int
    there: bool = False
    seen: bool = False  # over the wire


@dataclass(frozen=True)
class Now:
    """What is there and what serves."""

    there: frozenset[str]
    serves: frozenset[str]


@dataclass
class Ground:
    """A lab with its clauses."""

    lab: Lab
    begin: dict[str, list[Clause]] = field(default_factory=dict)
    serve: dict[str, list[Clause]] = field(default_factory=dict)
    copies: dict[str, list[str]] = field(default_factory=dict)
    supplies: dict[str, list[str]] = field(default_factory=dict)
    wires: dict[str, set[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for thing in self.lab.things.values():
            if isinstance(thing, Copy):
                self.copies.setdefault(thing.service, []).append(thing.id)
            elif isinstance(thing, Supply):
                self.supplies.setdefault(thing.holder, []).append(thing.id)
            elif isinstance(thing, Cable):
                (one, _), (other, _) = thing.ends
                self.wires.setdefault(one, set()).add(other)
                self.wires.setdefault(other, set()).add(one)
        for thing in self.lab.things.values():
            begin, serve = list(self._stands_on(thing)), list(self._stands_on(thing, serving=True))
            for need, phases in self._needs(thing):
                clause = Clause(need.of.ids, need.enough or 1, seen=bool(self.places(thing.id)))
                begin += [clause] if "begin" in phases or "build" in phases else []
                serve += [clause] if "serve" in phases else []
                begin += [] if "build" in phases else self._lookup(need, seen=clause.seen)
            self.begin[thing.id], self.serve[thing.id] = begin, serve
        self.made = [name for name, thing in self.lab.things.items() if isinstance(thing, MADE)]
        self.stand_ins = {each.id: each for each in self.lab.of(StandIn)}
        self.goals = [
            name for name, thing in self.lab.things.items() if isinstance(thing, (*MADE, Service, Secret))
        ]

    # -- what each thing consists of and stands on ---------------------------------------------------

    def _stands_on(self, thing: Thing, *, serving: bool = False) -> Iterator[Clause]:
        there = not serving
        if isinstance(thing, Supply):
            yield Clause((thing.source,), 1, there)
        elif isinstance(thing, Card | Controller):
            yield Clause((thing.holder,), 1, there)
        elif isinstance(thing, Drive):
            yield from [Clause(thing.in_.ids, 1, there=True)] if thing.in_ else []
        elif isinstance(thing, Circuit | Ups | Strip):
            yield from [Clause(thing.fed_by.ids, 1, there)] if thing.fed_by else []
            yield from [Clause(thing.in_.ids, 1, there)] if thing.in_ else []
        elif isinstance(thing, Powered):
            yield from [Clause(thing.in_.ids, 1, there)] if thing.in_ else []
            mine = self.supplies.get(thing.id, [])
            if mine:
                yield Clause(tuple(mine), min(thing.enough or 1, len(mine)), there)
        elif isinstance(thing, Store):
            yield from self._store(thing, there)
        elif isinstance(thing, Pool):
            yield from [Clause(thing.hosts.ids, 1, there)] if thing.hosts else []
            yield from [Clause(thing.store.ids, 1)] if thing.store else []
        elif isinstance(thing, Service):
            mine = self.copies.get(thing.id, [])
            yield Clause(tuple(mine), majority_of(thing.serves, len(mine)), there)
        elif isinstance(thing, Copy):
            yield from self._copy(thing, there)
        elif isinstance(thing, Alarm):
            for each in (thing.raised_by, thing.leaves_by):
                yield from [Clause((name,), 1) for name in each.ids] if each else []
        elif isinstance(thing, Secret):
            yield from [Clause(thing.kept_in.ids, thing.enough or 1)] if thing.kept_in else []
        elif isinstance(thing, StandIn):
            yield from [Clause(thing.on.ids, 1, there)] if thing.on else []

    def _copy(self, copy: Copy, there: bool) -> Iterator[Clause]:
        service = self._service(copy)
        pool = self.lab.things.get(copy.pool)
        if isinstance(pool, Pool):
            yield Clause((pool.id,), 1, there)
        else:
            yield Clause((copy.host,), 1, there)
        if service.state_in:
            yield Clause(service.state_in.ids, 1, seen=True)

    def _store(self, store: Store, there: bool) -> Iterator[Clause]:
        drives = store.drives.ids if store.drives else ()
        drives = drives[: len(drives) - store.spares]
        plan = layout(store.layout, len(drives))
        if plan.group:
            for first in range(0, len(drives), plan.group):
                yield Clause(drives[first : first + plan.group], plan.group - plan.survives, there)
        elif store.apart == "drive":
            yield Clause(drives, max(len(drives) - plan.survives, 1), there)
        else:
            holders = [self._holder(drive, store.apart) for drive in drives]
            whole = tuple(dict.fromkeys(holders))
            yield Clause(whole, max(len(whole) - plan.survives, 1), there)
        if store.through:
            yield Clause(store.through.ids, store.enough or 1, there)

    def _holder(self, drive: str, level: str) -> str:
        """What holds a drive at a level; the outermost machine where nothing at that level does."""
        chain = []
        at = self.lab.things[drive]
        while isinstance(at, Part) and at.in_ is not None:
            at = self.lab.things[at.in_.ids[0]]
            chain.append(at)
        found = [each.id for each in chain if level == each.IS]
        return found[0] if found else next(each.id for each in chain if isinstance(each, Node | Enclosure))

    def _service(self, copy: Copy) -> Service:
        service = self.lab.things[copy.service]
        assert isinstance(service, Service)
        return service

    # -- needs -----------------------------------------------------------------------------------------

    def _needs(self, thing: Thing) -> Iterator[tuple[Need, tuple[str, ...]]]:
        """Hard needs, and whether they count to build, to begin, to serve; copies have their service's."""
        if isinstance(thing, Service):
            return
        asking: list[Thing] = [self._service(thing)] if isinstance(thing, Copy) else [thing]
        pool = self.lab.things.get(thing.pool) if isinstance(thing, Copy) else None
        for each in asking:
            if each.needs is not None:
                yield from self._listed(each.needs.to_build, ("build",))
                yield from self._listed(each.needs.to_start, ("begin",))
                yield from self._listed(each.needs.to_run, ("serve",))
                yield from self._listed(each.needs.run_and_start, ("begin", "serve"))
        if pool is not None and pool.needs is not None:
            yield from self._listed(pool.needs.to_start, ("begin",))
            yield from self._listed(pool.needs.run_and_start, ("begin", "serve"))
            yield from self._listed(pool.needs.to_run, ("serve",))

    def _lookup(self, need: Need, *, seen: bool) -> list[Clause]:
        """Who reaches a service by its name looks it up when it starts."""
        target = self.lab.things.get(need.of.ids[0])
        if need.at or len(need.of.ids) > 1 or not isinstance(target, Service) or target.named is None:
            return []
        return [Clause(target.named.from_.ids, 1, seen=seen)] if target.named.from_ else []

    @staticmethod
    def _listed(needs: Iterable[Need], phases: tuple[str, ...]) -> Iterator[tuple[Need, tuple[str, ...]]]:
        yield from ((need, phases) for need in needs if not need.soft)

    # -- where things are, and who sees whom -------------------------------------------------------------

    def places(self, name: str) -> tuple[str, ...]:
        """The nodes where a thing is, any of them; empty for what the wire does not matter to."""
        thing = self.lab.things.get(name)
        if isinstance(thing, Node):
            return (name,)
        if isinstance(thing, Copy):
            pool = self.lab.things.get(thing.pool)
            return pool.hosts.ids if isinstance(pool, Pool) and pool.hosts else (thing.host,)
        if isinstance(thing, Service):
            return tuple(place for copy in self.copies.get(name, ()) for place in self.places(copy))
        if isinstance(thing, StandIn):
            return thing.on.ids if thing.on else ()
        if isinstance(thing, Store):
            if thing.through:
                return thing.through.ids
            drives = [self.lab.things[each] for each in (thing.drives.ids if thing.drives else ())]
            holders = [each.in_.ids[0] for each in drives if isinstance(each, Drive) and each.in_]
            return tuple(each for each in holders if isinstance(self.lab.things[each], Node))
        if isinstance(thing, Pool):
            return thing.hosts.ids if thing.hosts else ()
        return ()

    def sees(self, client: str, provider: str, there: Collection[str]) -> bool:
        """Whether one can reach the other over switches that are there. Nodes pass nothing on."""
        sources, targets = self.places(client), self.places(provider)
        if not sources or not targets or not self.wires:
            return True
        wanted = {each for each in targets if each in there}
        if provider in self.copies:
            alive = [copy for copy in self.copies[provider] if copy in there]
            wanted &= {place for copy in alive for place in self.places(copy)}
        seen: set[str] = set()
        front = [each for each in sources if each in there or each == client]
        while front:
            at = front.pop()
            if at in wanted:
                return True
            seen.add(at)
            if at in sources or isinstance(self.lab.things[at], Switch):
                front += [each for each in self.wires.get(at, ()) if each not in seen and each in there]
        return False

    # -- what is there, what serves ------------------------------------------------------------------------

    def now(self, made: Collection[str], lent: Collection[str] = (), covers: Covers | None = None) -> Now:
        """What is there and what serves, with these things made and these stand-ins lent."""
        covers = covers or {}
        there = {*made, *lent}
        others = [
            name
            for name, thing in self.lab.things.items()
            if not isinstance(thing, MADE) and not isinstance(thing, StandIn)
        ]
        while True:
            serves = set(there)
            while out := {
                name for name in serves if not self._all(self.serve[name], name, there, serves, covers)
            }:
                serves -= out
            more = [
                name
                for name in others
                if name not in there and self._all(self.begin[name], name, there, serves, covers)
            ]
            if not more:
                return Now(frozenset(there), frozenset(serves))
            there.update(more)

    def lacks(self, name: str, now: Now, covers: Covers) -> Clause | None:
        """The first clause that keeps a thing from beginning now; None if nothing does."""
        for clause in self.begin[name]:
            if not self._holds(clause, name, now.there, now.serves, covers):
                return clause
        return None

    def _all(
        self,
        clauses: Iterable[Clause],
        name: str,
        there: Collection[str],
        serves: Collection[str],
        covers: Covers,
    ) -> bool:
        return all(self._holds(clause, name, there, serves, covers) for clause in clauses)

    def _holds(
        self, clause: Clause, name: str, there: Collection[str], serves: Collection[str], covers: Covers
    ) -> bool:
        among = there if clause.there else serves
        count = 0
        for each in dict.fromkeys(clause.of):
            # what a stand-in needs it does not lend itself
            able = [who for who in (each, *covers.get(each, ())) if who in among and who != name]
            count += any(not clause.seen or self.sees(name, who, there) for who in able)
        return count >= clause.enough

    # -- how far one gets -----------------------------------------------------------------------------------

    def unmade(self, stand_ins: Collection[str], already: Collection[str] = ()) -> list[str]:
        """Goals that never serve, however long one goes on making and lending; in lab order."""
        made, lent = set(already), set[str]()
        while True:
            covers: dict[str, list[str]] = {}
            for each in lent:
                targets = self.stand_ins[each].for_
                for target in targets.ids if targets else ():
                    covers.setdefault(target, []).append(each)
            now = self.now(made, lent, covers)
            more = {name for name in self.made if name not in made and self.lacks(name, now, covers) is None}
            help_ = {each for each in stand_ins if each not in lent and self.lacks(each, now, covers) is None}
            if not more and not help_:
                return [name for name in self.goals if name not in now.serves]
            made |= more
            lent |= help_

    def cheapest(self, already: Collection[str] = ()) -> float | None:
        """What the cheapest stand-ins that do it cost, seconds, by trying every set; None if none does."""
        costs = {name: each.costs or 0.0 for name, each in self.stand_ins.items()}
        sets = [each for size in range(len(costs) + 1) for each in combinations(costs, size)]
        for chosen in sorted(sets, key=lambda names: sum(costs[name] for name in names)):
            if not self.unmade(chosen, already):
                return sum(costs[name] for name in chosen)
        return None
