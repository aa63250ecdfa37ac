"""Which support graph does a lab give?

One function for each kind of lean. Nothing here knows how the graph is evaluated.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from falsework.model.domains import domains
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import (
    Cable,
    Circuit,
    Controller,
    Drive,
    Node,
    Part,
    Powered,
    Strip,
    Supply,
    Thing,
    ThingId,
    Ups,
)
from falsework.model.people import Alarm, Person
from falsework.model.placing import suited
from falsework.model.rules import layout, majority_of
from falsework.model.services import Copy, Pool, Secret, Service, Store
from falsework.support import keeping, power, reached, room, wire
from falsework.support.coming_on import ComingOn
from falsework.support.graph import LATER, NOW, Lean, Phase, Role, Support, SupportGraph

RUN_ONLY = frozenset((Phase.RUN,))
START_ONLY = frozenset((Phase.START,))
BOTH = frozenset((Phase.RUN, Phase.START))


def derive(lab: Lab, *, active: Mapping[str, int] | None = None) -> SupportGraph:
    """The support graph of a lab.

    Args:
        lab: references resolved.
        active: for services of which one copy serves or holds an address, the number (from 0) of that
            copy; the first where not given.

    Cost:
        Linear in things, needs and copies, but for stores over many domains and quorums, which are
        quadratic in their own members.
    """
    return _Deriver(lab, active or {}).graph()


class _Deriver:
    def __init__(self, lab: Lab, active: Mapping[str, int]) -> None:
        self.lab = lab
        self.active = active
        self.things: dict[str, Support] = {}
        self.copies: dict[str, list[Copy]] = {}
        for copy in lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy)
        self.shared = domains(lab.things)
        self.supplies: dict[str, list[Supply]] = {}
        for supply in lab.of(Supply):
            self.supplies.setdefault(supply.holder, []).append(supply)
        self.laid = {drive for store in lab.of(Store) for drive in (store.drives.ids if store.drives else ())}
        self.loose: dict[str, list[str]] = {}
        for drive in lab.of(Drive):
            if drive.in_ is not None and drive.id not in self.laid:
                self.loose.setdefault(drive.in_.ids[0], []).append(drive.id)
        self.draws = power.Draws(lab)
        self.coming_on = ComingOn(lab)
        self.feeding = {
            each for thing in lab.of(Powered) for each in (thing.fed_by.ids if thing.fed_by else ())
        }
        self.ways_out = wire.ways_out(lab)

    def graph(self) -> SupportGraph:
        for thing in self.lab.things.values():
            self._derive(thing)
        networks = wire.networks(self.lab)
        return SupportGraph(
            things=self.things,
            networks=networks,
            loads=power.loads(self.lab, self.draws),
            rooms=room.rooms(self.lab, self.shared),
            keepings=keeping.keepings(self.lab, self.shared, self.laid),
            services=tuple(
                thing.id for thing in self.lab.things.values() if isinstance(thing, Service | Alarm)
            ),
            routers=tuple(
                (service.id, service.joins.ids)
                for service in self.lab.of(Service)
                if service.joins is not None
            ),
            answers={service.id: self._answers(service) for service in self.lab.of(Service)},
        )

    def _derive(self, thing: Thing) -> None:
        if isinstance(thing, Store):
            self._store(thing)
        elif isinstance(thing, Service):
            self._service(thing)
        elif isinstance(thing, Copy):
            self._copy(thing)
        elif isinstance(thing, Alarm):
            self._alarm(thing)
        elif isinstance(thing, Secret):
            on = thing.kept_in.ids if thing.kept_in else ()
            leans = (Lean(on=on, enough=thing.enough or 1, role=Role.KEPT, where=thing.place("kept_in")),)
            self._add(Support(id=thing.id, word=thing.IS, leans=leans, where=thing.where))
        elif isinstance(thing, Part):
            self._part(thing)
        elif isinstance(thing, Person):
            self._add(Support(id=thing.id, word=thing.IS, where=thing.where))

    def _add(self, support: Support) -> None:
        self.things[support.id] = support

    # -- things one can touch ----------------------------------------------------------------------

    def _part(self, thing: Part) -> None:
        leans = [*self._housing(thing), *self._power(thing), *self._needs(thing, places=())]
        places: tuple[str, ...] = ()
        wakes, stays_off = 0.0, False
        if isinstance(thing, Node):
            places = (thing.id,)
            leans.extend(self._boot_drive(thing))
            leans = [replace(lean, seen=True) if lean.role is Role.NEED else lean for lean in leans]
        if isinstance(thing, Controller):
            places = (thing.id,)
            wakes = self._waits_with(thing)
        if isinstance(thing, Supply):
            wakes = self.coming_on.outlet_s(thing.id)
        if isinstance(thing, Powered):
            wakes = self.coming_on.waits_s(thing) + (thing.wakes_in or 0.0)
            stays_off = thing.power_back == "stays off"
        self._add(
            Support(
                id=thing.id,
                word=thing.IS,
                part=True,
                leans=tuple(leans),
                places=places,
                wakes_s=wakes,
                stays_off=stays_off,
                where=thing.where,
            )
        )

    def _waits_with(self, controller: Controller) -> float:
        """A controller has power as soon as its machine begins to draw."""
        holder = self.lab.things[controller.holder]
        return self.coming_on.waits_s(holder) if isinstance(holder, Part) else 0.0

    def _housing(self, thing: Part) -> Iterator[Lean]:
        """What houses it must be there; a drive or card is dead with its machine."""
        if isinstance(thing, Controller | Supply):
            return
        if isinstance(thing, Cable):
            return
        if (
            isinstance(thing, Drive)
            and thing.in_ is not None
            and self.loose.get(thing.in_.ids[0]) == [thing.id]
        ):
            return  # the node starts from it: it is there before the node is up
        if thing.in_ is not None:
            yield Lean(on=thing.in_.ids, enough=1, role=Role.HOUSING, where=thing.place("in_"))

    def _power(self, thing: Part) -> Iterator[Lean]:
        if isinstance(thing, Supply):
            yield Lean(on=(thing.source,), enough=1, role=Role.POWER, where=thing.where)
        elif isinstance(thing, Controller):
            yield from self._fed_as(self.lab.things[thing.holder])
        elif isinstance(thing, Ups) and thing.fed_by is not None:
            yield Lean(
                on=thing.fed_by.ids,
                enough=1,
                role=Role.POWER,
                hold_s=power.runtime_s(thing, self.draws.alone_w(thing.id)),
                where=thing.place("fed_by"),
            )
        elif isinstance(thing, Circuit | Strip):
            if thing.fed_by is not None:
                yield Lean(on=thing.fed_by.ids, enough=1, role=Role.POWER, where=thing.place("fed_by"))
        elif isinstance(thing, Powered):
            yield from self._fed_as(thing)

    def _fed_as(self, thing: Thing) -> Iterator[Lean]:
        """At least `enough` supplies; a node without feeds of its own takes its enclosure's power."""
        supplies = self.supplies.get(thing.id, ())
        if supplies and isinstance(thing, Powered):
            on = tuple(supply.id for supply in supplies)
            yield Lean(
                on=on, enough=min(thing.enough or 1, len(on)), role=Role.POWER, where=thing.place("fed_by")
            )
        elif isinstance(thing, Node) and thing.in_ is not None:
            holder = self.lab.things[ThingId(thing.in_.ids[0])]
            if self.supplies.get(holder.id):
                yield Lean(on=(holder.id,), enough=1, role=Role.POWER, where=thing.where)

    def _boot_drive(self, node: Node) -> Iterator[Lean]:
        """A node with a single drive that no store claims runs from it."""
        loose = self.loose.get(node.id, ())
        if len(loose) == 1:
            yield Lean(on=tuple(loose), enough=1, role=Role.DRIVES, where=node.place("drives"))

    # -- storage -----------------------------------------------------------------------------------

    def _store(self, store: Store) -> None:
        drives = store.drives.ids if store.drives else ()
        working = drives[: len(drives) - store.spares]
        plan = layout(store.layout, len(working))
        nodes = reached.nodes_of(self.lab, store)
        leans: list[Lean] = []
        where = store.place("layout")
        if plan.group:
            for first in range(0, len(working), plan.group):
                group = working[first : first + plan.group]
                leans.append(Lean(on=group, enough=plan.group - plan.survives, role=Role.DRIVES, where=where))
        else:
            bundles = self._bundles(store, working)
            enough = max(len(bundles) - plan.survives, 1)
            leans.append(
                Lean(
                    on=bundles,
                    enough=enough,
                    role=Role.DRIVES,
                    together=len(nodes) > 1 and store.through is None,
                    where=where,
                )
            )
        if store.through is not None:
            leans.append(
                Lean(
                    on=store.through.ids,
                    enough=store.enough or 1,
                    role=Role.THROUGH,
                    where=store.place("through"),
                )
            )
        leans.extend(self._needs(store, places=nodes))
        self._add(Support(id=store.id, word=store.IS, leans=tuple(leans), places=nodes, where=store.where))

    def _bundles(self, store: Store, drives: Iterable[str]) -> tuple[str, ...]:
        """Drives of one domain count as one: losing any of them may touch any data there."""
        if store.apart == "drive":
            return tuple(drives)
        groups: dict[str, list[str]] = {}
        for drive in drives:
            groups.setdefault(reached.domain_of(self.lab, self.shared, store, drive), []).append(drive)
        names = []
        for domain, held in groups.items():
            nodes = tuple(
                dict.fromkeys(
                    thing.in_.ids[0]
                    for each in held
                    if isinstance(thing := self.lab.things[ThingId(each)], Drive) and thing.in_ is not None
                )
            )
            name = f"{store.id} on {domain}"
            lean = Lean(on=tuple(held), enough=len(held), role=Role.DRIVES, where=store.place("drives"))
            self._add(Support(id=name, word="share", leans=(lean,), places=nodes, where=store.where))
            names.append(name)
        return tuple(names)

    # -- services ----------------------------------------------------------------------------------

    def _service(self, service: Service) -> None:
        copies = tuple(copy.id for copy in self.copies.get(service.id, ()))
        needed = majority_of(service.serves, len(copies))
        where = service.place("on")
        first = copies[min(self.active.get(service.id, 0), len(copies) - 1)]
        moving = service.takes_over if service.takes_over is not None else None
        leans: list[Lean] = []
        if service.takes_over is not None or service.floats is not None:
            leans.append(Lean(on=(first,), enough=1, role=Role.COPIES, times=NOW, together=True, where=where))
            leans.append(
                Lean(on=copies, enough=needed, role=Role.COPIES, times=LATER, together=True, where=where)
            )
            if needed > 1:
                leans.append(
                    Lean(on=copies, enough=needed, role=Role.COPIES, times=NOW, together=True, where=where)
                )
            if moving is None and service.floats is not None:
                moving = service.floats.in_ or 0.0
        else:
            leans.append(Lean(on=copies, enough=needed, role=Role.COPIES, together=True, where=where))
        leans.extend(self._take_over(service, self.copies.get(service.id, [])[copies.index(first)].host))
        places = tuple(
            dict.fromkeys(
                place for copy in self.copies.get(service.id, ()) for place in self._copy_places(copy)
            )
        )
        self._add(
            Support(
                id=service.id,
                word=service.IS,
                leans=tuple(leans),
                places=places,
                now=tuple(dict.fromkeys(copy.host for copy in self.copies.get(service.id, ()))),
                returns_s=moving or 0.0,
                where=service.where,
            )
        )

    def _answers(self, service: Service) -> dict[str, tuple[str, ...]]:
        """The copies behind each address: one each where there are as many addresses as copies, else all."""
        copies: tuple[str, ...] = tuple(copy.id for copy in self.copies.get(service.id, ()))
        found: dict[str, tuple[str, ...]] = (
            dict.fromkeys(service.floats.address, copies) if service.floats else {}
        )
        for number, address in enumerate(service.reached_at):
            found[address] = (copies[number],) if len(service.reached_at) == len(copies) else copies
        return found

    def _take_over(self, service: Service, host: str) -> Iterator[Lean]:
        """What must work for another copy, or another host, to take over from the one that was lost."""
        for thing in (service, self.lab.things[ThingId(host)]):
            for need in thing.needs.to_take_over if thing.needs else ():
                yield self._lean(need, START_ONLY, times=LATER, seen=False)

    def _copy_places(self, copy: Copy) -> tuple[str, ...]:
        if not copy.pool:
            return (copy.host,)
        pool, service = self.lab.things[ThingId(copy.pool)], self.lab.things[ThingId(copy.service)]
        if not isinstance(pool, Pool) or not pool.hosts or not isinstance(service, Service):
            return (copy.host,)
        return suited(service, pool.hosts.ids, self.lab.things)

    def _copy(self, copy: Copy) -> None:
        service = self.lab.things[ThingId(copy.service)]
        if not isinstance(service, Service):
            return
        where = service.place("on")
        places = self._copy_places(copy)
        leans: list[Lean] = []
        returns = service.restarts_in or 0.0
        pool = self.lab.things.get(ThingId(copy.pool)) if copy.pool else None
        if isinstance(pool, Pool):
            # seen: a host that is cut off is as good as gone, and its copies are moved
            leans.append(Lean(on=(copy.host,), enough=1, role=Role.HOST, times=NOW, seen=True, where=where))
            leans.append(Lean(on=places, enough=1, role=Role.HOST, times=LATER, seen=True, where=where))
            if pool.store is not None:
                leans.append(
                    Lean(on=pool.store.ids, enough=1, role=Role.STATE, seen=True, where=pool.place("store"))
                )
            leans.extend(self._take_over(service, copy.host))
            leans.extend(self._needs(pool, places=places))
            returns += pool.restarts_in or 0.0
        else:
            leans.append(Lean(on=(copy.host,), enough=1, role=Role.HOST, where=where))
        if service.state_in is not None:
            leans.append(
                Lean(
                    on=service.state_in.ids,
                    enough=1,
                    role=Role.STATE,
                    seen=True,
                    where=service.place("state_in"),
                )
            )
        leans.extend(self._needs(service, places=places))
        leans.extend(self._clock(service, places))
        others = self.copies.get(service.id, ())
        self._add(
            Support(
                id=copy.id,
                word=copy.IS,
                leans=tuple(leans),
                places=places,
                now=(copy.host,),
                sheds=service.sheds,
                returns_s=returns,
                tries_once=service.tries == "once",
                stays_off=service.first_up == "by hand",
                after_all=tuple(dict.fromkeys(each.host for each in others))
                if service.first_up == "last to stop"
                else (),
                where=service.where,
            )
        )

    def _clock(self, service: Service, places: Iterable[str]) -> Iterator[Lean]:
        """A host that wakes without the time starts nothing before it has it, but for the time service itself."""
        for place in places:
            node = self.lab.things[ThingId(place)]
            if isinstance(node, Node) and node.clock_from is not None:
                source = node.clock_from.ids
                if service.id not in source:
                    yield Lean(
                        on=source,
                        enough=1,
                        role=Role.NEED,
                        phases=START_ONLY,
                        seen=True,
                        where=node.place("clock_from"),
                    )

    def _alarm(self, alarm: Alarm) -> None:
        steps = (
            *(alarm.raised_by.ids if alarm.raised_by else ()),
            *(alarm.leaves_by.ids if alarm.leaves_by else ()),
        )
        leans = tuple(
            Lean(on=(step,), enough=1, role=Role.WAY, where=alarm.place("leaves_by"))
            for step in dict.fromkeys(steps)
        )
        self._add(Support(id=alarm.id, word=alarm.IS, leans=leans, where=alarm.where))

    # -- needs -------------------------------------------------------------------------------------

    def _needs(self, thing: Thing, *, places: tuple[str, ...]) -> Iterator[Lean]:
        needs = thing.needs
        if needs is None:
            return
        for listed, phases in (
            (needs.run_and_start, BOTH),
            (needs.to_run, RUN_ONLY),
            (needs.to_start, START_ONLY),
        ):
            for need in listed:
                if not need.soft:
                    yield self._lean(need, phases, seen=bool(places))
                    yield from self._lookup(need, places)

    def _lean(
        self, need: Need, phases: frozenset[Phase], *, seen: bool, times: frozenset[str] | None = None
    ) -> Lean:
        lean = Lean(
            on=need.of.ids,
            enough=need.enough or 1,
            role=Role.NEED,
            phases=phases,
            hold_s=need.for_ or 0.0,
            seen=seen,
            at=need.at,
            where=need.where,
        )
        return lean if times is None else replace(lean, times=times)

    def _lookup(self, need: Need, places: tuple[str, ...]) -> Iterator[Lean]:
        """Who reaches a service by its name must look the name up when it starts."""
        if need.at:
            return
        for name in need.of.ids:
            target = self.lab.things[ThingId(name)]
            if isinstance(target, Service) and target.named is not None and len(need.of.ids) == 1:
                on = target.named.from_.ids if target.named.from_ else ()
                yield Lean(
                    on=on,
                    enough=1,
                    role=Role.NEED,
                    phases=START_ONLY,
                    seen=bool(places),
                    where=target.place("named"),
                )
