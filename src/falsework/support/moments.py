"""What stands at any moment of a build, and what would any failure do then?

The support graph is staged once: everything that somebody makes gets a leaf of its own, which is off until it is
made; each stand-in becomes a thing; and whoever leans on a covered thing leans on it *as owner*, or on a stand-in
*as owner*, at most one of which is on at a time. A moment is then one more scenario, and a failure at a moment is
a moment with one more leaf off: the engines that answer "what falls" answer "what falls while it is built" too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateId, Kind
from falsework.engines.scenarios import pack, unpack
from falsework.engines.uncollected import uncollected
from falsework.engines.units import cone, readers
from falsework.model.needs import Need
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.support import power
from falsework.support import room as rooms
from falsework.support.gates import Compiler, Gates
from falsework.support.graph import (
    Attachment,
    Keeping,
    Lean,
    Load,
    Network,
    Phase,
    Role,
    Room,
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


class Stage(Protocol):
    """How the lab is at a moment; see `Moment` of an order of work."""

    @property
    def built(self) -> Collection[str]:
        """The things that stand, implied ones included."""

    @property
    def lent(self) -> Collection[str]:
        """The stand-ins that are set up."""

    @property
    def serving(self) -> Mapping[str, str]:
        """Who serves for each covered thing: a stand-in, or the thing itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Staged:
    """A support graph that knows what is made when.

    Attributes:
        graph: what leans on what; `services` are those of the lab, a covered one as whoever serves for it.
        own: by thing of the lab, the staged thing that is itself; its name, but for covered things with a place.
        owners: by covered thing, for itself and each of its stand-ins the staged thing that serves in its name.
        draws: consumers of each load, in the order of its draws.
    """

    graph: SupportGraph
    own: Mapping[str, str]
    owners: Mapping[str, Mapping[str, str]]
    draws: Mapping[str, tuple[str, ...]]


class Stages:
    """A lab compiled once, to be asked about every moment of its build.

    Args:
        standing: the finished lab; parts that are out beforehand are out at every moment.
    """

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        with uncollected():
            self.staged = staged(standing)
            self.gates: Gates = _Compiler(self.staged, out=standing.out).gates()
        self.leaves = self.gates.graph.leaf_names
        self.row = {name: row for row, name in enumerate(self.leaves)}
        own = self.staged.own
        names = (*standing.support.things, *(each.id for each in standing.lab.of(StandIn)))
        self._leaf = {
            name: self.row[own.get(name, name)] for name in names if own.get(name, name) in self.row
        }
        self._draws = {name: self.row[_here(name)] for name in names if _here(name) in self.row}
        self._full = Evaluator(self.gates.graph)
        self._few = Evaluator(self.gates.services)
        self.covers = {each.id: each.for_.ids if each.for_ else () for each in standing.lab.of(StandIn)}

    @property
    def services(self) -> tuple[str, ...]:
        """The services and alarms of the lab, in lab order: the rows of `service_rows`."""
        return self.standing.support.services

    def on(self, stage: Stage) -> BoolArray:
        """The leaves that are on at a moment, (n_leaves,)."""
        found: BoolArray = np.zeros(len(self.leaves), dtype=np.bool_)
        here = self.there(stage)
        found[[self._leaf[name] for name in here if name in self._leaf]] = True
        found[[self._draws[name] for name in here if name in self._draws]] = True
        for target, branches in self.staged.owners.items():
            owner = owner_of(stage, target)
            for name, leaf in branches.items():
                slot = target in self.staged.own and self.staged.own[target] != target
                if name == owner or (slot and name in here):
                    found[self.row[leaf]] = True
        return found

    def there(self, stage: Stage) -> frozenset[str]:
        """What is there at a moment, by the names of the lab: things made, things always there, stand-ins lent."""
        always = (name for name, thing in self.standing.support.things.items() if thing.word in ALWAYS)
        return frozenset((*stage.built, *stage.lent, *always))

    def can_fail(self, stage: Stage) -> tuple[str, ...]:
        """Parts and stand-ins that are there at a moment, in lab order, stand-ins last."""
        here = self.there(stage)
        parts = (name for name in self.standing.parts if name in here)
        return (*parts, *(name for name in self.covers if name in stage.lent))

    def leaf_of(self, part: str) -> int:
        """The row of the leaf that goes off when a part or stand-in fails."""
        return self.row[self.staged.own.get(part, part)]

    def whoever(self, name: str) -> str:
        """The staged thing that stands while somebody serves for a thing of the lab."""
        covered = name in self.staged.owners and name not in self.staged.own
        return _whoever(name) if covered else name

    @cached_property
    def alike(self) -> Sequence[int]:
        """For each leaf the first of those that are as good as it is, whatever else is on or off.

        A leaf that is read by one gate alone, an all-of, does what that gate does when it is false, and nothing
        else; so does a leaf that reaches that gate over others of the kind. No rule about boxes is needed: they
        see the gate that both make false.
        """
        graph = self.gates.services
        count = len(self.services)
        watched = set(graph.kept[count : 2 * count].tolist())
        inside = cone(graph, np.array(sorted(watched), dtype=np.int64))
        read_by = readers(graph, inside)
        passes = (graph.kind == Kind.ALL) | (graph.kind == Kind.PROMISE) | (graph.kind == Kind.WIRE)
        bounds, items = read_by.indptr.tolist(), read_by.items.tolist()
        first: dict[int, int] = {}
        found = []
        for leaf in range(graph.n_leaves):
            gate = leaf
            seen = {gate}
            while gate not in watched and bounds[gate + 1] - bounds[gate] == 1:
                above = items[bounds[gate]]
                if not passes[above] or above in seen:
                    break
                gate = above
                seen.add(gate)
            found.append(first.setdefault(gate, leaf))
        return found

    def service_rows(self, on: BoolArray) -> BoolArray:
        """Each service's `up`, each service's `back`, each keeping, in each scenario.

        Args:
            on: leaves that are on, (n_leaves, n_scenarios).
        """
        return unpack(self._few.evaluate(pack(on)), on.shape[1])

    def rows(self, on: BoolArray) -> BoolArray:
        """Every kept gate in each scenario; see `gates` for which row says what."""
        return unpack(self._full.evaluate(pack(on)), on.shape[1])

    def missing(self, stages: Sequence[Stage]) -> list[tuple[str, ...]]:
        """At each moment what should stand by then, stands in the finished lab, and does not stand yet."""
        if not stages:
            return []
        rows = self.rows(np.stack([self.on(stage) for stage in stages], axis=1))
        finished = self.standing.baseline
        found: list[tuple[str, ...]] = []
        for column, stage in enumerate(stages):
            names = (name for name in self.standing.support.things if name in stage.built)
            down = [
                name for name in names if not rows[self.gates.back[self.staged.own.get(name, name)], column]
            ]
            lent = [name for name in self.covers if name in stage.lent]
            down_too = [name for name in lent if not rows[self.gates.back[name], column]]
            found.append((*(name for name in down if finished.back(name)), *down_too))
        return found


def stages_of(standing: Standing) -> Stages:
    """A lab made ready for moments, once for all who ask."""
    known = standing.asked.get(("stages",))
    if not isinstance(known, Stages):
        known = standing.asked["stages",] = Stages(standing)
    return known


def owner_of(stage: Stage, target: str) -> str | None:
    """Who serves for a covered thing at a moment: a stand-in that is lent, or the thing itself once it is there."""
    named = stage.serving.get(target, target)
    return named if named in stage.lent or named in stage.built else None


# -- staging ---------------------------------------------------------------------------------------


def staged(standing: Standing) -> Staged:
    """The support graph of a lab with a leaf for everything that is made, and with its stand-ins as things."""
    return _Stager(standing).staged()


class _Stager:
    def __init__(self, standing: Standing) -> None:
        self.standing, self.support, self.lab = standing, standing.support, standing.lab
        self.things: dict[str, Support] = {}
        self.own: dict[str, str] = {}
        self.owners: dict[str, dict[str, str]] = {}
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
                services=tuple(_whoever(name) if name in self.covers else name for name in support.services),
                routers=(*support.routers, *self._routers()),
                answers={
                    **support.answers,
                    **{
                        self.owners[target][target]: support.answers[target]
                        for target in self.covers
                        if target in support.answers
                    },
                },
            ),
            own=self.own,
            owners=self.owners,
            draws={load.source: tuple(draws.through(load.source)) for load in support.loads},
        )

    def _thing(self, name: str, thing: Support) -> None:
        leans = tuple(self._lean(lean) for lean in thing.leans)
        made = replace(thing, part=thing.word not in _UNMADE or thing.part, leans=leans)
        if name in self.slots:  # its place stays; what is in it is itself, or something lent
            own = self.own[name]
            self.things[own] = replace(made, id=own)
            branches = tuple(self.owners[name].values())
            lean = Lean(on=branches, enough=1, role=Role.HOUSING)
            made = replace(made, part=False, leans=(lean,))
        self.things[name] = made

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
        whoever = Lean(on=tuple(names.values()), enough=1, role=Role.NEED)
        self.things[_whoever(target)] = Support(
            id=_whoever(target), word="owner", leans=(whoever,), where=thing.where
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


def _whoever(target: str) -> str:
    return f"{target}, whoever serves"


def _here(consumer: str) -> str:
    """The leaf that says a consumer of power is there at all: one that failed is still taken to draw."""
    return f"here:{consumer}"


# -- compiling -------------------------------------------------------------------------------------


class _Compiler(Compiler):
    """Only what is there draws power, and only what is there takes room."""

    def __init__(self, graph: Staged, *, out: frozenset[str]) -> None:
        super().__init__(graph.graph, out=out)
        self.draws = graph.draws

    def _holds(self, thing: Support) -> GateId:
        load = self.loads.get(thing.id)
        if load is None:
            return self.builder.true
        key = ("load", thing.id)
        if key not in self.memo:
            others = tuple(dict.fromkeys(other for _, _, supplies in load.draws for other in supplies))
            inputs = [
                *(self.thing(other, "up") for other in others),
                *(self.builder.leaf(_here(name)) for name in self.draws[thing.id]),
            ]
            self.memo[key] = self.builder.oracle(inputs, 1, _carries(load, others), f"load on {thing.id}")[0]
        return self.memo[key]

    def _room(self, thing: Support) -> Iterable[GateId]:
        found = self.room_of.get(thing.id)
        if found is None or self.cold is not None:
            return
        room, position = found
        if room.pool not in self.room_gates:
            inputs = [
                *(self._in_touch(host) for host in room.hosts),
                *(self.builder.leaf(copy) for copy in room.copies),
            ]
            self.room_gates[room.pool] = self.builder.oracle(
                inputs, len(room.copies), _Packing(room), f"room in {room.pool}"
            )
        yield self.room_gates[room.pool][position]


def _carries(load: Load, others: Sequence[str]) -> _Carrying:
    row = {other: number for number, other in enumerate(others)}
    member = np.zeros((len(load.draws), len(others)))
    for number, (_, _, supplies) in enumerate(load.draws):
        for supply in supplies:
            member[number, row[supply]] = 1.0
    return _Carrying(
        limit_w=load.limit_w,
        draws=np.array([draw for draw, _, _ in load.draws]),
        mine=np.array([count for _, count, _ in load.draws], dtype=float),
        member=member,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Carrying:
    """Whether a source carries its load: rows in are other supplies that stand, then consumers that are there."""

    limit_w: float
    draws: np.ndarray[tuple[int], np.dtype[np.float64]]
    mine: np.ndarray[tuple[int], np.dtype[np.float64]]
    member: np.ndarray[tuple[int, int], np.dtype[np.float64]]

    def __call__(self, given: BoolArray) -> BoolArray:
        n_others = self.member.shape[1]
        live = self.member @ given[:n_others].astype(float)
        here = given[n_others:].astype(float)
        share = self.mine[:, None] / (self.mine[:, None] + live)
        carried = (self.draws[:, None] * here * share).sum(axis=0)
        return np.asarray(carried <= self.limit_w * (1 + 1e-9))[None, :]


class _Packing:
    """Which copies run or find room: rows in are hosts that stand, then copies that are there."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.known: dict[tuple[bytes, bytes], BoolArray] = {}

    def __call__(self, given: BoolArray) -> BoolArray:
        n_hosts = len(self.room.hosts)
        result: BoolArray = np.ones((len(self.room.copies), given.shape[1]), dtype=np.bool_)
        for column in range(given.shape[1]):
            stand, here = given[:n_hosts, column], given[n_hosts:, column]
            key = (stand.tobytes(), here.tobytes())
            if key not in self.known:
                self.known[key] = self._packed(stand, here)
            result[:, column] = self.known[key]
        return result

    def _packed(self, stand: BoolArray, here: BoolArray) -> BoolArray:
        kept = np.flatnonzero(here).tolist()
        room = self.room
        some = replace(
            room,
            copies=tuple(room.copies[each] for each in kept),
            host_of=tuple(room.host_of[each] for each in kept),
            takes=tuple(room.takes[each] for each in kept),
            apart=tuple(room.apart[each] for each in kept),
            domain_of=tuple(room.domain_of[each] for each in kept),
            sheds=tuple(room.sheds[each] for each in kept),
        )
        homeless = rooms.packed(some, frozenset(np.flatnonzero(~stand).tolist()))
        row: BoolArray = np.ones(len(room.copies), dtype=np.bool_)
        row[[kept[each] for each in homeless]] = False
        return row


def owned(standing: Standing) -> Mapping[str, tuple[str, ...]]:
    """For each part that comes with others, those that must be there first: the ends of a cable, what holds a drive."""
    found: dict[str, tuple[str, ...]] = {}
    for name, thing in standing.support.things.items():
        own = standing.lab.things.get(ThingId(name))
        if thing.word in ("supply", "card", "controller"):
            found[name] = (str(getattr(own, "holder", "")),)
        elif thing.word == "cable":
            found[name] = tuple(str(end) for end, _ in getattr(own, "ends", ()))
        elif thing.word == "drive":
            inside = getattr(own, "in_", None)
            found[name] = tuple(inside.ids) if inside is not None else ()
    return found
