"""How is the lab after each step of an order that was written by hand?

Nothing is judged here that needs the support graph: only what steps say of themselves and of each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from falsework.analyses.order.clients import Want, follows, wants
from falsework.analyses.order.result import Slip
from falsework.analyses.raising.result import Moment
from falsework.model.lab import Lab
from falsework.model.parts import Node, ThingId
from falsework.model.people import StandIn, Step
from falsework.model.rules import majority_of
from falsework.model.services import Copy, Data, Service, owner
from falsework.support.moments import owned
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """An order walked through.

    Attributes:
        moments: the lab before the first step and after each, n_steps + 1.
        stale: at each moment the clients that can't run because what they are bound to is gone, with what that is.
        brought: for each step the things that it brings, as it names them, and the stand-ins that it lends.
        slips: what steps say against themselves or each other.
        never: services that never come.
    """

    moments: tuple[Moment, ...]
    stale: tuple[Mapping[str, str], ...]
    brought: tuple[tuple[str, ...], ...]
    slips: tuple[Slip, ...]
    never: tuple[str, ...]


def walk(standing: Standing) -> Walked:
    """Go through the steps one by one.

    A client is bound to whatever met its need when it was brought: the real thing, or its stand-in. It stays
    bound until a step repoints it, unless a name or an address that moves stands between. What no step brings
    is taken to be there, but for services; what is inside a machine comes with it.
    """
    return _Walk(standing).walked()


class _Walk:
    def __init__(self, standing: Standing) -> None:
        self.lab: Lab = standing.lab
        self.things = standing.support.things
        self.slips: list[Slip] = []
        self.number = 0
        named = [name for step in self.lab.order for name in (step.brings.ids if step.brings else ())]
        self.explicit = frozenset(named)
        self.copies: dict[str, list[str]] = {}
        for copy in self.lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy.id)
        self.owners = self._owners(standing)
        self.up = self._start()  # what does not merely come with something else
        self.with_it: dict[str, list[str]] = {}
        for name, on in self.owners.items():
            for each in on:
                self.with_it.setdefault(each, []).append(name)
        self.there: set[str] = set()  # the same, and what comes with it
        self._come(self.up)
        self.came: set[str] = set()  # brought by a step and not retired since
        self.clients: dict[str, None] = {}  # the same, and services of which any copy is there
        self.lent: dict[str, StandIn] = {}
        self.serving: dict[str, str] = {}
        self.moved: set[str] = set()
        self.bound: dict[tuple[str, str], str] = {}
        self.wants: dict[str, tuple[Want, ...]] = {}
        self.both: dict[tuple[str, str], int] = {}  # stand-in and thing: since which step both are there
        self.held: dict[str, list[str]] = {}
        for data in self.lab.of(Data):
            for name in data.of.ids if data.of else ():
                self.held.setdefault(name, []).append(data.id)

    def walked(self) -> Walked:
        moments, stale, brought = [self._moment()], [self._stale()], []
        for number, step in enumerate(self.lab.order, start=1):
            self.number = number
            brought.append(self._do(step))
            moments.append(self._moment())
            stale.append(self._stale())
        self._left()
        there = moments[-1].built | self.explicit
        never = tuple(
            name for name, thing in self.things.items() if thing.word == "service" and name not in there
        )
        if never and self.lab.order:
            self._slip("never", self.lab.order[-1], "do", never[0], "")
        slips = tuple(sorted(self.slips, key=lambda slip: slip.step))
        return Walked(
            moments=tuple(moments), stale=tuple(stale), brought=tuple(brought), slips=slips, never=never
        )

    # -- what is there -----------------------------------------------------------------------------

    def _owners(self, standing: Standing) -> Mapping[str, tuple[str, ...]]:
        """What comes with others; nodes with their enclosure where a step brings that and not them."""
        found = {name: on for name, on in owned(standing).items() if name not in self.explicit and on}
        nodes = {
            str(node.id): node.in_.ids
            for node in self.lab.of(Node)
            if node.in_ is not None and node.id not in self.explicit and node.in_.ids[0] in self.explicit
        }
        return {**nodes, **found}  # nodes first: their drives come with them

    def _start(self) -> set[str]:
        today = self.lab.today
        there = set(today.built.ids if today and today.built else ())
        missing = set(today.not_built.ids if today and today.not_built else ())
        found = {
            name
            for name, thing in self.things.items()
            if name in there
            or (
                name not in self.explicit
                and name not in self.owners
                and name not in missing
                and thing.word not in ("service", "copy")
            )
        }
        return found | {copy for name in found for copy in self.copies.get(name, ())}

    def _come(self, names: Iterable[str]) -> None:
        """Things are there, and what only waited for them comes with them."""
        waiting = [name for name in names if name not in self.there]
        self.there.update(waiting)
        while waiting:
            for each in self.with_it.get(waiting.pop(), ()):
                if each not in self.there and all(on in self.there for on in self.owners[each]):
                    self.there.add(each)
                    waiting.append(each)

    def _moment(self) -> Moment:
        return Moment(
            step=self.number,
            built=frozenset(self.there),
            lent=frozenset(self.lent),
            serving=dict(self.serving),
        )

    # -- one step ----------------------------------------------------------------------------------

    def _do(self, step: Step) -> tuple[str, ...]:
        brings = step.brings.ids if step.brings else ()
        retires = step.retires.ids if step.retires else ()
        lends = [*(step.with_.ids if step.with_ else ()), *brings]
        lent = [name for name in dict.fromkeys(lends) if isinstance(self.lab.things[ThingId(name)], StandIn)]
        things = [name for name in dict.fromkeys(brings) if name not in lent]
        undone = {*things, *(() if things else lent)} & set(retires)
        for name in retires:
            if name in undone:
                self._slip("undoes", step, "retires", name, name)
        for name in lent:
            self._lend(step, name)
        for name in things:
            self._bring(step, name)
        self._bind()
        for name in step.moves.ids if step.moves else ():
            self._move(step, name)
        for name in step.repoints.ids if step.repoints else ():
            self._repoint(step, name)
        for name in dict.fromkeys(retires):
            self._retire(step, name)
        return (*things, *lent)

    def _lend(self, step: Step, name: str) -> None:
        thing = self.lab.things[ThingId(name)]
        assert isinstance(thing, StandIn), "only stand-ins are lent"
        if name in self.lent:
            self._slip("again", step, "with_", name, name)
            return
        self.lent[name] = thing
        targets = thing.for_.ids if thing.for_ else ()
        for need in (
            (*thing.needs.run_and_start, *thing.needs.to_run, *thing.needs.to_start, *thing.needs.to_build)
            if thing.needs is not None
            else ()
        ):
            own = [each for each in need.of.ids if each in targets and each not in self.up]
            if not need.soft and len(need.of.ids) - len(own) < (need.enough or 1):
                self._slip("on itself", step, "with_", name, own[0])
        useless = all(target in self.up for target in targets)  # else it is lent for what is not there
        for target in targets:
            if target not in self.up:
                self.serving.setdefault(target, name)
            elif useless and target in self.came:
                self.both.setdefault((name, target), self.number)

    def _bring(self, step: Step, name: str) -> None:
        if name in self.came:
            self._slip("again", step, "brings", name, name)
        thing = self.lab.things[ThingId(name)]
        self._appear(name)
        if isinstance(thing, Service):
            for copy in self.copies.get(name, ()):
                self._appear(copy)
        elif isinstance(thing, Copy) and thing.service not in self.came and self._serves(thing.service):
            self._appear(thing.service)

    def _appear(self, name: str) -> None:
        self.up.add(name)
        self._come((name,))
        self.came.add(name)
        for stand_in in self.lent.values():
            if stand_in.for_ is not None and name in stand_in.for_.ids:
                self.both.setdefault((stand_in.id, name), self.number)
        client = owner(self.lab.things, name)
        self.clients[client] = None
        self.wants[client] = wants(self.lab, self.lab.things[ThingId(client)])

    def _serves(self, service: str) -> bool:
        """Whether enough of its copies are there to be called by its name."""
        thing = self.lab.things[ThingId(service)]
        copies = self.copies.get(service, ())
        there = sum(1 for copy in copies if copy in self.up)
        return isinstance(thing, Service) and there >= majority_of(thing.serves, len(copies))

    def _bind(self) -> None:
        """Clients learn where what they need is, as soon as anybody serves for it."""
        for client in self.clients:
            for want in self.wants[client]:
                for target in want.of:
                    provider = target if target in self.up else self.serving.get(target)
                    if provider is not None:
                        self.bound.setdefault((client, target), provider)

    def _move(self, step: Step, name: str) -> None:
        thing = self.lab.things[ThingId(name)]
        targets = (thing.of.ids if thing.of else ()) if isinstance(thing, Data) else (name,)
        home = thing.in_.ids if isinstance(thing, Data) and thing.in_ else ()
        away = [each for each in home if each in self.things and each not in self.there]
        if home and len(away) == len(home):
            self._slip("early", step, "moves", name, away[0])
        for target in targets:
            if target not in self.up:
                if len(targets) == 1 and not away:
                    self._slip("early", step, "moves", name, target)
                continue
            if self.serving.get(target) in self.lent:
                self.serving[target] = target
            self.moved.add(target)
            for pair in [pair for pair in self.both if pair[1] == target]:
                del self.both[pair]  # it is said when one takes over from the other

    def _repoint(self, step: Step, client: str) -> None:
        if client not in self.there and client not in self.lent and client not in self.clients:
            self._slip("not there", step, "repoints", client, client)
        for other, target in list(self.bound):
            if other == client and target in self.up:
                self.bound[other, target] = target

    # -- retiring ----------------------------------------------------------------------------------

    def _retire(self, step: Step, name: str) -> None:
        if name in self.lent:
            self._give_back(step, name, self.lent.pop(name))
        elif name in self.up:
            self._go(name)
            thing = self.lab.things[ThingId(name)]
            for copy in self.copies.get(name, ()):
                self._go(copy)
            if isinstance(thing, Copy) and thing.service in self.up and not self._serves(thing.service):
                self._go(thing.service)
            self.there = set()
            self._come(self.up)
        else:
            self._slip("not there", step, "retires", name, name)

    def _go(self, name: str) -> None:
        self.up.discard(name)
        self.came.discard(name)
        service = owner(self.lab.things, name)
        if not any(copy in self.up for copy in self.copies.get(service, ())):
            self.clients.pop(service, None)
        covering = (each.id for each in self.lent.values() if each.for_ and name in each.for_.ids)
        self.serving.pop(name, None)
        self.serving.update((name, each) for each in covering)

    def _give_back(self, step: Step, name: str, stand_in: StandIn) -> None:
        for target in stand_in.for_.ids if stand_in.for_ else ():
            self._side_by_side(name, target)
            if self.serving.get(target) != name:
                continue
            others = (each.id for each in self.lent.values() if each.for_ and target in each.for_.ids)
            heir = target if target in self.up else next(others, None)
            if heir is None:
                del self.serving[target]
            else:
                self.serving[target] = heir
            if heir in (target, None) and stand_in.gathers != 0 and target not in self.moved:
                for data in self.held.get(target, ()):
                    self._slip("state", step, "retires", data, name)
        for (client, target), provider in list(self.bound.items()):
            if provider != name:
                continue
            want = next(want for want in self.wants[client] if target in want.of)
            if target in self.up and follows(self.lab, stand_in, target, want):
                self.bound[client, target] = target
            elif client in self.clients:
                self._slip("address" if target in self.up else "unmet", step, "retires", client, name)

    def _stale(self) -> Mapping[str, str]:
        """Clients that need every moment what they can't find any more."""
        found: dict[str, str] = {}
        for client in self.clients:
            for want in self.wants[client]:
                gone = [target for target in want.of if self._lost(client, target)]
                if want.run and len(want.of) - len(gone) < want.enough:
                    found.setdefault(client, self.bound[client, gone[0]])
        return found

    def _lost(self, client: str, target: str) -> bool:
        provider = self.bound.get((client, target), target)
        return provider != target and provider not in self.lent

    # -- looking back ------------------------------------------------------------------------------

    def _side_by_side(self, stand_in: str, target: str) -> None:
        """A hand-over lasts until the step after the one that brings the real thing."""
        first = self.both.pop((stand_in, target), self.number)
        if self.number - first > 1:
            self._slip("two owners", self.lab.order[first - 1], "brings", target, stand_in, number=first)

    def _left(self) -> None:
        """Stand-ins that stay."""
        if not self.lab.order:
            return
        for (stand_in, target), first in self.both.items():
            self._slip("two owners", self.lab.order[first - 1], "brings", target, stand_in, number=first)
        for name in self.lent:
            number = max(self._lent_at(name))
            self._slip("left", self.lab.order[number - 1], "with_", name, name, number=len(self.lab.order))

    def _lent_at(self, name: str) -> Iterator[int]:
        for number, step in enumerate(self.lab.order, start=1):
            if any(name in bound.ids for bound in (step.with_, step.brings) if bound is not None):
                yield number

    def _slip(self, what: str, step: Step, key: str, thing: str, on: str, *, number: int = 0) -> None:
        where = step.place(key)
        self.slips.append(Slip(what=what, step=number or self.number, thing=thing, on=on, where=where))
