"""What must serve before each thing can begin: to be built, or to start again?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from falsework.engines.founded.growing import Growing
from falsework.engines.founded.system import Clause, System
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service
from falsework.support.building import SERVING
from falsework.support.graph import Lean, Phase, Role
from falsework.support.standing import Standing
from falsework.where import Where

_SAYS = {
    Role.POWER: "is fed by",
    Role.HOUSING: "is in",
    Role.HOST: "runs on",
    Role.COPIES: "consists of",
    Role.DRIVES: "lies on",
    Role.THROUGH: "is reached through",
    Role.STATE: "keeps its state in",
    Role.KEPT: "is kept in",
    Role.WAY: "passes",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """One clause of a thing with what it is in words.

    Attributes:
        clause: over items.
        says, kind, where: as of `Link`.
        lookup: it is there only because a name is looked up.
        key: it is about where a key is kept.
    """

    clause: Clause
    says: str
    kind: str
    where: Where | None
    lookup: bool = False
    key: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Waits:
    """A lab as things that wait.

    Attributes:
        names: of the items, the things of the support graph in its order.
        begin, serve: for each item what it waits for to begin, and what it needs while it serves.
    """

    names: tuple[str, ...]
    begin: tuple[tuple[Wait, ...], ...]
    serve: tuple[tuple[Wait, ...], ...]

    def system(self) -> System:
        """The same for the engines, without any offer."""
        return System(
            names=self.names,
            begin=tuple(tuple(wait.clause for wait in some) for some in self.begin),
            serve=tuple(tuple(wait.clause for wait in some) for some in self.serve),
        )

    def serving(self) -> frozenset[int]:
        """What serves in the end with no help at all."""
        return frozenset(Growing(self.system(), free=range(len(self.names))).serves)


def waits(standing: Standing, kind: str) -> Waits:
    """What everything waits for, `to build` from nothing or `to start` once built.

    What a thing is built with counts only for the first; what it needs to start and to run for both.
    """
    support, lab = standing.support, standing.lab
    item = {name: at for at, name in enumerate(support.things)}
    looked_up = {service.place("named") for service in lab.of(Service) if service.named is not None}
    begin: list[tuple[Wait, ...]] = []
    serve: list[tuple[Wait, ...]] = []
    for name, thing in support.things.items():
        starts, runs = [], []
        for lean in thing.leans:
            if "later" not in lean.times:
                continue
            wait = _of_lean(lean, item, lookup=lean.role is Role.NEED and lean.where in looked_up)
            if Phase.START in lean.phases:
                starts.append(wait)
            if lean.awaited:
                clause = Clause(of=wait.clause.of, enough=wait.clause.enough)
                runs.append(replace(wait, clause=clause))
        if kind == "to build":
            starts.extend(_to_build(standing, name, item))
        begin.append(tuple(starts))
        serve.append(tuple(runs))
    return Waits(names=tuple(support.things), begin=tuple(begin), serve=tuple(serve))


def _of_lean(lean: Lean, item: dict[str, int], *, lookup: bool) -> Wait:
    clause = Clause(
        of=tuple(item[name] for name in lean.on), enough=lean.enough, begun=lean.role not in SERVING
    )
    if lean.role is not Role.NEED:
        return Wait(
            clause=clause,
            says=_SAYS[lean.role],
            # What starts from its state needs that as it needs anything to start.
            kind="to start" if lean.role is Role.STATE else "",
            where=lean.where,
            key=lean.role is Role.KEPT,
        )
    start, run = Phase.START in lean.phases, Phase.RUN in lean.phases
    kind = "to start" if start else "to run"
    says = "looks up a name at" if lookup else f"needs {kind}" if not (start and run) else "needs"
    return Wait(clause=clause, says=says, kind=kind, where=lean.where, lookup=lookup)


def _to_build(standing: Standing, name: str, item: dict[str, int]) -> Iterator[Wait]:
    lab = standing.lab
    own = lab.things.get(ThingId(name))
    makers = [own]
    if isinstance(own, Copy):
        makers = [lab.things[ThingId(own.service)], *([lab.things[ThingId(own.pool)]] if own.pool else [])]
    elif isinstance(own, Service):
        makers = []
    for maker in makers:
        for need in maker.needs.to_build if maker is not None and maker.needs is not None else ():
            on = tuple(item[each] for each in need.of.ids if each in item)
            if not need.soft and len(on) == len(need.of.ids):
                clause = Clause(of=on, enough=need.enough or 1)
                yield Wait(clause=clause, says="needs to build", kind="to build", where=need.where)
