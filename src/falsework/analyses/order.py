"""What is wrong with an order of work that was written by hand?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import Thing, ThingId
from falsework.model.people import StandIn, Step
from falsework.model.services import Copy, Pool, Service
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One thing wrong in the order.

    Attributes:
        what: `unmet` (a need is not there yet), `two owners` (stand-in and real thing serve side by side for
            longer than the hand-over), `left` (a stand-in is never retired), `breaks` (something stops that
            served), `address` (clients have learnt an address that goes away).
        step: number of the step, from 1.
        thing: what it is about; `on` is what it was missing or bound to.
        where: the step in the lab file.
    """

    what: str
    step: int
    thing: str
    on: str
    where: Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """The order replayed.

    Attributes:
        slips: everything wrong, by step.
        broken: for each step the services that it stops.
    """

    slips: tuple[Slip, ...]
    broken: tuple[tuple[str, ...], ...]


def replay(lab: Lab) -> Order:
    """Go through the steps one by one and note what is missing, doubled, left behind or cut off.

    A client is bound to whatever met its need when it was brought: the real thing, or its stand-in. It stays
    bound until a step repoints it, unless a name or an address that moves stands between. Machines that no
    step brings are taken to be there.
    """
    return _Replay(lab).run()


@dataclass(slots=True)
class _Replay:
    lab: Lab
    standing: set[str] = field(default_factory=set)
    active: dict[str, StandIn] = field(default_factory=dict)
    bound: dict[tuple[str, str], str] = field(default_factory=dict)
    slips: list[Slip] = field(default_factory=list)
    fallen: set[str] = field(default_factory=set)

    def run(self) -> Order:
        brought = {name for step in self.lab.order for name in (step.brings.ids if step.brings else ())}
        by_step = {
            name for name in brought if self.lab.things[ThingId(name)].IS in ("node", "enclosure", "switch")
        }
        for name, thing in self.lab.things.items():
            if name not in brought and thing.IS not in ("service", "copy", "stand-in", "data"):
                holder = getattr(thing, "in_", None)
                if not (holder and holder.ids[0] in by_step):
                    self.standing.add(name)
        built = self.lab.today.built if self.lab.today else None
        self.standing.update(built.ids if built else ())
        broken = []
        for number, step in enumerate(self.lab.order, start=1):
            before = set(self.fallen)
            self._do(number, step)
            broken.append(tuple(name for name in self.lab.things if name in self.fallen - before))
        self._left()
        return Order(slips=tuple(sorted(self.slips, key=lambda slip: slip.step)), broken=tuple(broken))

    def _do(self, number: int, step: Step) -> None:
        for name in step.with_.ids if step.with_ else ():
            thing = self.lab.things[ThingId(name)]
            if isinstance(thing, StandIn):
                self.active[name] = thing
        self._bring(number, step)
        for client in step.repoints.ids if step.repoints else ():
            for other, target in list(self.bound):
                if other == client and target in self.standing:
                    self.bound[other, target] = target
        for name in step.retires.ids if step.retires else ():
            self._retire(number, step, name)

    # -- bringing ----------------------------------------------------------------------------------

    def _bring(self, number: int, step: Step) -> None:
        waiting = list(step.brings.ids if step.brings else ())
        while waiting:
            ready = [name for name in waiting if not any(self._missing(name))]
            if not ready:
                break
            for name in ready:
                self._stand(name)
                waiting.remove(name)
        for name in waiting:
            for missing in self._missing(name):
                self._slip("unmet", number, step, name, missing)
            self._stand(name)

    def _stand(self, name: str) -> None:
        self.standing.add(name)
        for thing in self.lab.things.values():
            holder = getattr(thing, "in_", None)
            if holder and holder.ids[0] == name:
                self.standing.add(thing.id)
        for need in _needs(self.lab.things[ThingId(name)], run=True):
            for target in need.of.ids:
                provider = target if target in self.standing else self._stand_in(target)
                if provider is not None and (name, target) not in self.bound:
                    self.bound[name, target] = provider

    def _missing(self, name: str) -> Iterator[str]:
        """What a thing needs and neither stands nor has a stand-in."""
        thing = self.lab.things[ThingId(name)]
        for need in _needs(thing, run=True, build=True):
            met = [target for target in need.of.ids if target in self.standing or self._stand_in(target)]
            if len(met) < (need.enough or 1):
                yield next(target for target in need.of.ids if target not in met)
        if isinstance(thing, Service):
            hosts = set(self._hosts(thing))
            if hosts and not hosts & self.standing:
                yield min(hosts)

    def _hosts(self, service: Service) -> Iterator[str]:
        for copy in self.lab.of(Copy):
            if copy.service == service.id:
                yield copy.host
        for name in service.on.ids if service.on else ():
            pool = self.lab.things[ThingId(name)]
            if isinstance(pool, Pool) and pool.hosts:
                yield from pool.hosts.ids

    def _stand_in(self, target: str) -> str | None:
        for name, stand_in in self.active.items():
            if stand_in.for_ and target in stand_in.for_.ids:
                return name
        return None

    # -- retiring ----------------------------------------------------------------------------------

    def _retire(self, number: int, step: Step, name: str) -> None:
        stand_in = self.active.pop(name, None)
        if stand_in is None:
            self.standing.discard(name)
            lost = [client for (client, target), provider in self.bound.items() if provider == name == target]
        else:
            lost = []
            for (client, target), provider in list(self.bound.items()):
                if provider != name:
                    continue
                if target in self.standing and self._moves(stand_in, target):
                    self.bound[client, target] = target
                else:
                    lost.append(client)
                    what = "address" if target in self.standing else "unmet"
                    self._slip(what, number, step, client, name)
        for client in self._with_clients(lost):
            if client in self.standing and client not in self.fallen:
                self.fallen.add(client)
                self._slip("breaks", number, step, client, name)

    def _moves(self, stand_in: StandIn, target: str) -> bool:
        """Whether clients follow by themselves: a name, a floating address, or the same address as before."""
        thing = self.lab.things[ThingId(target)]
        if not isinstance(thing, Service):
            return False
        own = (*thing.reached_at, *(thing.floats.address if thing.floats else ()))
        return (
            thing.named is not None
            or thing.floats is not None
            or (stand_in.address != "" and stand_in.address in own)
        )

    def _with_clients(self, names: Iterable[str]) -> tuple[str, ...]:
        """The things and all that lean on them by running needs."""
        found = dict.fromkeys(names)
        grew = True
        while grew:
            grew = False
            for client, target in self.bound:
                if target in found and client not in found and self._alone(client, target, found):
                    found[client] = None
                    grew = True
        return tuple(found)

    def _alone(self, client: str, target: str, fallen: Mapping[str, None]) -> bool:
        """Whether a client has no alternative left to a target that fell."""
        for need in _needs(self.lab.things[ThingId(client)], run=True):
            if target in need.of.ids:
                left = [each for each in need.of.ids if each not in fallen]
                if len(left) < (need.enough or 1):
                    return True
        return False

    # -- looking back ------------------------------------------------------------------------------

    def _left(self) -> None:
        """Stand-ins that stay beside what they stood in for, longer than one step."""
        started: dict[tuple[str, str], int] = {}
        active: dict[str, StandIn] = {}
        standing: set[str] = set()
        for number, step in enumerate(self.lab.order, start=1):
            for name in step.with_.ids if step.with_ else ():
                thing = self.lab.things[ThingId(name)]
                if isinstance(thing, StandIn):
                    active[name] = thing
            standing.update(step.brings.ids if step.brings else ())
            retired = set(step.retires.ids if step.retires else ())
            for name, stand_in in list(active.items()):
                for target in stand_in.for_.ids if stand_in.for_ else ():
                    if target not in standing:
                        continue
                    first = started.setdefault((name, target), number)
                    if name in retired and number - first > 1:
                        self._slip("two owners", first, self.lab.order[first - 1], target, name)
                if name in retired:
                    del active[name]
        last = len(self.lab.order)
        for name, stand_in in active.items():
            for target in stand_in.for_.ids if stand_in.for_ else ():
                if (name, target) in started:
                    first = started[name, target]
                    self._slip("two owners", first, self.lab.order[first - 1], target, name)
            self._slip("left", last, self.lab.order[last - 1], name, name)

    def _slip(self, what: str, number: int, step: Step, thing: str, on: str) -> None:
        self.slips.append(Slip(what=what, step=number, thing=thing, on=on, where=step.where))


def _needs(thing: Thing, *, run: bool = False, build: bool = False) -> Iterator[Need]:
    if thing.needs is None:
        return
    if run:
        yield from (
            need
            for need in (*thing.needs.run_and_start, *thing.needs.to_run, *thing.needs.to_start)
            if not need.soft
        )
    if build:
        yield from thing.needs.to_build
