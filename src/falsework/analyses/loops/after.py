"""Which thing needs, after its loss, what is lost with it: to take over, to mend, to restore?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from falsework.analyses.loops.cuts import cuts_of
from falsework.analyses.loops.result import Link, Loop
from falsework.engines.gates import BoolArray
from falsework.engines.ways import shortest_way
from falsework.model.parts import Part, Thing, ThingId
from falsework.model.services import Copy, Data, Service
from falsework.support.moments import Stages, stages_of
from falsework.support.standing import Standing
from falsework.where import Where

_MEANS = {
    "to take over": "the other copy can't take over just when it has to",
    "to mend": "once it is lost, it can't be mended without help",
    "to restore": "once it is lost, its data can't be brought back without help",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Question:
    """After these are lost, who is needed?

    Attributes:
        kind: of the need.
        thing: who needs.
        lost: the things that are lost with it.
        on, enough: what is needed.
        via: what is lost first, if not the thing itself.
    """

    kind: str
    thing: str
    lost: tuple[str, ...]
    on: tuple[str, ...]
    enough: int
    where: Where | None
    via: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Everything:
    """The moment at which all is built and nothing is lent."""

    built: frozenset[str]
    lent: frozenset[str] = frozenset()
    serving: Mapping[str, str]


def after_a_loss(standing: Standing, shown: Mapping[str, str]) -> Iterator[Loop]:
    """Loops to take over, to mend and to restore, by asking what is down once each thing is lost."""
    questions = [
        *_take_over(standing),
        *_mend(standing),
        *_restore(standing),
    ]
    if not questions:
        return
    stages = stages_of(standing)
    on = stages.ons([_Everything(built=frozenset(standing.support.things), serving={})])
    off = [
        (0, [stages.row[stages.own(name)] for name in each.lost if stages.own(name) in stages.row])
        for each in questions
    ]
    columns = on[:, [0] * len(off)]
    for column, (_, leaves) in enumerate(off):
        columns[leaves, column] = False
    rows = stages.rows(columns)
    told: set[tuple[str, frozenset[str]]] = set()
    for column, question in enumerate(questions):
        loop = _loop(standing, stages, rows[:, column], question, shown)
        if loop is not None and (loop.kind, frozenset(loop.ring)) not in told:
            told.add((loop.kind, frozenset(loop.ring)))
            yield loop


# -- questions -------------------------------------------------------------------------------------


def _take_over(standing: Standing) -> Iterator[_Question]:
    hosts: dict[str, str] = {}
    for copy in standing.lab.of(Copy):
        hosts.setdefault(copy.service, copy.host)
    for service in standing.lab.of(Service):
        for need in service.needs.to_take_over if service.needs is not None else ():
            host = hosts.get(service.id, "")
            if host and not need.soft:
                yield _Question(
                    kind="to take over",
                    thing=service.id,
                    lost=(host,),
                    on=need.of.ids,
                    enough=need.enough or 1,
                    where=need.where,
                    via=host,
                )


def _mend(standing: Standing) -> Iterator[_Question]:
    """Repairing or replacing needs what it says, else what building needs."""
    for thing in standing.lab.things.values():
        if thing.needs is None or not (isinstance(thing, Part | Service)):
            continue
        for need in thing.needs.mending:
            if not need.soft:
                yield _Question(
                    kind="to mend",
                    thing=thing.id,
                    lost=_with_copies(standing, thing),
                    on=need.of.ids,
                    enough=need.enough or 1,
                    where=need.where,
                )


def _restore(standing: Standing) -> Iterator[_Question]:
    lab = standing.lab
    for thing in lab.things.values():
        for need in thing.needs.to_restore if thing.needs is not None else ():
            if not need.soft:
                yield _Question(
                    kind="to restore",
                    thing=thing.id,
                    lost=_with_copies(standing, thing),
                    on=need.of.ids,
                    enough=need.enough or 1,
                    where=need.where,
                )
    for data in lab.of(Data):
        services = [lab.things[ThingId(name)] for name in (data.of.ids if data.of else ())]
        lost = tuple(name for service in services for name in _with_copies(standing, service))
        for backup in data.backed_up if len(data.backed_up) == 1 else ():
            for name in (*backup.to.ids, *(backup.needs.ids if backup.needs else ())):
                yield _Question(
                    kind="to restore", thing=data.id, lost=lost, on=(name,), enough=1, where=backup.where
                )


def _with_copies(standing: Standing, thing: Thing) -> tuple[str, ...]:
    if isinstance(thing, Data):
        return tuple(
            name
            for each in (thing.of.ids if thing.of else ())
            for name in _with_copies(standing, standing.lab.things[ThingId(each)])
        )
    return (thing.id, *(copy.id for copy in standing.lab.of(Copy) if copy.service == thing.id))


# -- answers ---------------------------------------------------------------------------------------


def _loop(
    standing: Standing, stages: Stages, rows: BoolArray, question: _Question, shown: Mapping[str, str]
) -> Loop | None:
    back = stages.gates.back

    def down(name: str) -> bool:
        at = back.get(stages.own(name))
        return at is not None and not rows[at]

    lacks = [name for name in question.on if down(name)]
    if len(question.on) - len(lacks) >= question.enough:
        return None
    for first in lacks:
        way = _way(standing, first, question.lost, down)
        if not way:
            continue
        ring = [question.thing]
        for name in way:
            if shown.get(name, name) != ring[-1] or name == first:
                ring.append(shown.get(name, name))
        ring = _without_repeats(ring)
        if question.via and ring[-1] != question.thing:
            ring.append(question.thing)
        if isinstance(standing.lab.things[ThingId(question.thing)], Data) and ring[-1] != question.thing:
            ring.append(question.thing)
        links = [_link(standing, one, other, question) for one, other in pairwise(ring)]
        return Loop(
            kind=question.kind,
            ring=tuple(ring),
            links=tuple(links),
            cuts=cuts_of(standing.lab, links),
            means=_MEANS[question.kind],
        )
    return None


def _link(standing: Standing, one: str, other: str, question: _Question) -> Link:
    if one == question.thing and (other in question.on):
        says = f"needs {question.kind}"
        return Link(thing=one, on=other, says=says, kind=question.kind, where=question.where)
    last = other == question.thing
    if last and question.via == one:
        return Link(thing=one, on=other, says="holds the active copy of", kind="", where=None)
    if last and isinstance(standing.lab.things[ThingId(other)], Data):
        return Link(thing=one, on=other, says="can't serve without", kind="", where=None)
    return Link(thing=one, on=other, says="leans on", kind="", where=standing.support.things[one].where)


def _without_repeats(ring: Sequence[str]) -> list[str]:
    found: list[str] = []
    for name in ring:
        if not found or found[-1] != name or (len(found) == 1 and name == found[0]):
            found.append(name)
    return found


def _way(standing: Standing, start: str, ends: Sequence[str], down: Callable[[str], bool]) -> tuple[str, ...]:
    """The shortest way over what is down from a thing to one of those that were lost; empty if there is none."""
    if start in ends:
        return (start,)

    def leans(name: str) -> Iterator[str]:
        thing = standing.support.things.get(name)
        for lean in thing.leans if thing is not None else ():
            yield from filter(down, lean.on)

    return shortest_way(start, leans, lambda name: name in ends)
