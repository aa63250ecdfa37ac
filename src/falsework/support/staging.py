"""What does a lab lean on while it is built: the support graph, with a leaf for everything that is made?

Everything that somebody makes gets a leaf of its own, which is off until it is made; each stand-in becomes a thing;
and whoever leans on a covered thing leans on it *as owner*, or on a stand-in *as owner*, at most one of which is on
at a time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.model.needs import Need
from falsework.model.people import StandIn
from falsework.model.services import Copy
from falsework.support import power
from falsework.support.graph import (
    NOW,
    Attachment,
    Keeping,
    Lean,
    Network,
    Phase,
    Role,
    Support,
    SupportGraph,
)
from falsework.support.standing import Standing

ALWAYS = ("room", "rack", "outside", "person")
"""Words of what is there before anything is made."""
_UNMADE = (*ALWAYS, "share")
"""Words of what gets no leaf: always there, or no more than the drives that it consists of."""
_SLOTS = ("circuit", "strip", "ups", "enclosure", "node", "switch", "drive", "cable", "supply", "card")
"""Words of things that others know by their place: whatever stands there serves, several at once if need be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Staged:
    """A support graph that knows what is made when.

    Attributes:
        graph: what leans on what; `services` are those of the lab, a covered one as whoever serves for it.
        own: by thing of the lab, the staged thing that is itself; its name, but for covered things with a place.
        owners: by covered thing, for itself and each of its stand-ins the staged thing that serves in its name.
        actives: by service of which one copy serves at a time, for each of its copies the staged thing that says
            that this is the one.
        draws: consumers of each load, in the order of its draws.
    """

    graph: SupportGraph
    own: Mapping[str, str]
    owners: Mapping[str, Mapping[str, str]]
    actives: Mapping[str, Mapping[str, str]]
    draws: Mapping[str, tuple[str, ...]]


def staged(standing: Standing) -> Staged:
    """The support graph of a lab with a leaf for everything that is made, and with its stand-ins as things."""
    return _Stager(standing).staged()


class _Stager:
    def __init__(self, standing: Standing) -> None:
        self.standing, self.support, self.lab = standing, standing.support, standing.lab
        self.things: dict[str, Support] = {}
        self.own: dict[str, str] = {}
        self.owners: dict[str, dict[str, str]] = {}
        self.actives: dict[str, dict[str, str]] = {}
        self.covers: dict[str, list[StandIn]] = {}
        for stand_in in self.lab.of(StandIn):
            for target in stand_in.for_.ids if stand_in.for_ else ():
                if target in self.support.things:
                    self.covers.setdefault(target, []).append(stand_in)
        self.slots = {name for name in self.covers if self.support.things[name].word in _SLOTS}
        for target, stand_ins in self.covers.items():
            names = {target: f"{target} itself"}
            names.update((str(each.id), f"{target} by {each.id}") for each in stand_ins)
            self.owners[target] = names
            if target in self.slots:
                self.own[target] = names[target]
        self.copies: dict[str, tuple[str, ...]] = {}
        for copy in self.lab.of(Copy):
            self.copies[copy.service] = (*self.copies.get(copy.service, ()), copy.id)
        self.routed = {service for service, _ in self.support.routers}

    def staged(self) -> Staged:
        for name, thing in self.support.things.items():
            self._thing(name, thing)
        for stand_in in self.lab.of(StandIn):
            self._stand_in(stand_in)
        for target, stand_ins in self.covers.items():
            self._owners(target, stand_ins)
        support = self.support
        draws = power.Draws(self.lab)
        return Staged(
            graph=replace(
                support,
                things=self.things,
                networks=self._networks(),
                keepings={name: self._keeping(each) for name, each in support.keepings.items()},
                services=tuple(whoever(name) if name in self.covers else name for name in support.services),
                routers=(*support.routers, *self._routers()),
                answers=self._answers(),
            ),
            own=self.own,
            owners=self.owners,
            actives=self.actives,
            draws={load.source: tuple(draws.through(load.source)) for load in support.loads},
        )

    def _thing(self, name: str, thing: Support) -> None:
        leans = tuple(self._active(name, self._lean(lean)) for lean in thing.leans)
        made = replace(thing, part=thing.word not in _UNMADE or thing.part, leans=leans)
        if name in self.slots:  # its place stays; what is in it is itself, or something lent
            own = self.own[name]
            self.things[own] = replace(made, id=own)
            branches = tuple(self.owners[name].values())
            lean = Lean(on=branches, enough=1, role=Role.HOUSING)
            made = replace(made, part=False, leans=(lean,))
        self.things[name] = made

    def _active(self, service: str, lean: Lean) -> Lean:
        """Where one copy serves at a time, that is the first in the finished lab, and half-way another."""
        copies = self.copies.get(service, ())
        if lean.role is not Role.COPIES or lean.times != NOW or len(lean.on) != 1 or len(copies) < 2:
            return lean
        names = {copy: f"{copy} for {service}" for copy in copies}
        for copy, active in names.items():
            self.things[active] = replace(
                self.support.things[copy],
                id=active,
                word="active",
                part=True,
                leans=(Lean(on=(copy,), enough=1, role=Role.COPIES),),
                sheds=False,
                returns_s=0.0,
            )
        self.actives[service] = names
        return replace(lean, on=tuple(names.values()))

    def _stand_in(self, stand_in: StandIn) -> None:
        on = stand_in.on.ids if stand_in.on is not None else ()
        places = on
        targets = stand_in.for_.ids if stand_in.for_ is not None else ()
        if not on and any(target in self.routed for target in targets):
            places = (stand_in.id,)
        leans = [Lean(on=on, enough=1, role=Role.HOST, where=stand_in.place("on"))] if on else []
        needs = stand_in.needs
        if needs is not None:
            for listed, phases in (
                (needs.run_and_start, frozenset((Phase.RUN, Phase.START))),
                (needs.to_run, frozenset((Phase.RUN,))),
            ):
                leans.extend(
                    self._need(need, phases, stand_in.id, bool(on)) for need in listed if not need.soft
                )
        self.things[stand_in.id] = Support(
            id=stand_in.id,
            word="stand-in",
            part=True,
            leans=tuple(leans),
            places=places,
            where=stand_in.where,
        )

    def _need(self, need: Need, phases: frozenset[Phase], stand_in: str, seen: bool) -> Lean:
        lean = Lean(
            on=tuple(name for name in need.of.ids if name in self.support.things),
            enough=min(need.enough or 1, len(need.of.ids)),
            role=Role.NEED,
            phases=phases,
            hold_s=need.for_ or 0.0,
            seen=seen,
            at=need.at,
            where=need.where,
        )
        if not lean.on:  # a pool or data: nothing that stands by itself
            return replace(lean, enough=0)
        return self._lean(lean, without=stand_in)

    def _owners(self, target: str, stand_ins: Sequence[StandIn]) -> None:
        """The thing as owner, and each stand-in as owner."""
        thing = self.things[target]
        names = self.owners[target]
        if target not in self.slots:
            itself = Lean(on=(target,), enough=1, role=Role.NEED)
            copies = tuple(lean for lean in thing.leans if lean.role is Role.COPIES)
            self.things[names[target]] = replace(
                thing, id=names[target], part=True, leans=(itself, *copies), returns_s=0.0, sheds=False
            )
        role = Role.COPIES if target in self.routed else Role.NEED
        for stand_in in stand_ins:
            self.things[names[stand_in.id]] = Support(
                id=names[stand_in.id],
                word="stand-in",
                part=True,
                leans=(Lean(on=(stand_in.id,), enough=1, role=role),),
                places=self.things[stand_in.id].places,
                where=stand_in.where,
            )
        either = Lean(on=tuple(names.values()), enough=1, role=Role.NEED)
        self.things[whoever(target)] = Support(
            id=whoever(target), word="owner", leans=(either,), where=thing.where
        )

    def _lean(self, lean: Lean, *, without: str = "") -> Lean:
        """The same lean on whoever serves for what it names: at most one a name, so `enough` stays."""
        on: dict[str, None] = {}
        for name in lean.on:
            if name in self.covers and name not in self.slots:
                on.update((branch, None) for owner, branch in self.owners[name].items() if owner != without)
            else:
                on[name] = None
        return replace(lean, on=tuple(on))

    def _answers(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        """Who answers at an address: the copies, and each as the active one; the same for a thing as owner."""
        found: dict[str, Mapping[str, tuple[str, ...]]] = {}
        for service, at in self.support.answers.items():
            active = self.actives.get(service, {})
            found[service] = {
                address: (*copies, *(active[copy] for copy in copies if copy in active))
                for address, copies in at.items()
            }
            if service in self.covers:
                found[self.owners[service][service]] = found[service]
        return found

    def _networks(self) -> Mapping[str, Network]:
        """A stand-in that passes traffic on is plugged in wherever it is wanted."""
        found = dict(self.support.networks)
        for service, joined in self.support.routers:
            for stand_in in self.covers.get(service, ()):
                for name in joined if stand_in.on is None else ():
                    network = found[name]
                    ways = tuple(
                        Attachment(node=stand_in.id, vertex=vertex, through=()) for vertex in network.vertices
                    )
                    found[name] = replace(network, attachments={**network.attachments, stand_in.id: ways})
        return found

    def _routers(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        for service, joined in self.support.routers:
            for stand_in in self.covers.get(service, ()):
                yield self.owners[service][stand_in.id], joined

    def _keeping(self, keeping: Keeping) -> Keeping:
        return replace(keeping, on=tuple(self.own.get(name, name) for name in keeping.on))


def whoever(target: str) -> str:
    """The staged thing that stands while somebody serves for a covered thing."""
    return f"{target}, whoever serves"
