"""Which probes could there be, and how would each be written in a lab file?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from falsework.analyses.diagnosis.watched import PING
from falsework.lab.quote import Value
from falsework.model.asks import Ask, Sort
from falsework.model.parts import Node, ThingId
from falsework.model.services import Service
from falsework.support.probing import EVERY_S, PATIENCE_S, Question, questions
from falsework.support.standing import Standing
from falsework.where import Where

MOST_ASKERS, MOST_TARGETS = 6, 24
"""Machines of the lab that might ask, and what each might ask about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A probe that there is, or could be.

    Attributes:
        name: what it is, or would be, called.
        thing: the thing of the graph that stands while it is answered.
        sees: what it sees.
        from_: where it asks from; empty for where users are.
        asks: how the question is written; of a service of which no port is known, a command to be filled in.
        rank: the lower, the sooner it is taken.
        there: whether the lab file has it.
        question: as a question that the graph does not know yet.
    """

    name: str
    thing: str
    sees: str
    from_: str
    asks: str
    rank: int
    there: bool = False
    question: Question | None = None

    @property
    def yours(self) -> bool:
        """Whether the owner has to say how it is asked."""
        return self.asks.startswith("command ")

    @property
    def written(self) -> dict[str, Value]:
        """Its entry in the lab file."""
        entry: dict[str, Value] = {"asks": self.asks, "sees": self.sees}
        if self.from_:
            entry["from"] = self.from_
        return entry


def proposals(standing: Standing) -> tuple[Proposal, ...]:
    """All of them, those of the lab file first; no name twice."""
    known: dict[str, Proposal] = {}
    taken = {str(name) for name in standing.lab.things}
    for each in _possible(standing):
        name = each.name
        number = 2
        while not each.there and (name in taken or name in known):
            name = f"{each.name} {number}"
            number += 1
        known[name] = _renamed(each, name)
    return tuple(known.values())


def _renamed(each: Proposal, name: str) -> Proposal:
    if each.question is None:
        return replace(each, name=name)
    return replace(each, name=name, thing=name, question=replace(each.question, name=name))


def _possible(standing: Standing) -> Iterator[Proposal]:
    there = [each for each in questions(standing.lab) if each.sees]
    for each in there:
        yield Proposal(
            name=each.name,
            thing=each.name,
            sees=each.sees,
            from_=each.from_,
            asks=each.ask.words,
            rank=0,
            there=True,
        )
    seen = {each.sees for each in there if not each.from_}
    ports = {each.sees: each.ask for each in there if each.ask.port and each.ask.sort is not Sort.DNS}
    for service in standing.lab.of(Service):
        if service.id not in seen:
            yield Proposal(
                name=f"{service.id} serves",
                thing=service.id,
                sees=service.id,
                from_="",
                asks=_asks(service, ports),
                rank=1,
            )
        yield from _each_copy(standing, service, there, ports)
    yield from _pings(standing)
    yield from _from_within(standing)


def _asks(service: Service, ports: Mapping[str, Ask]) -> str:
    known = ports.get(service.id)
    if known is not None:
        return known.words
    return f"command ./try-{_slug(service.id)}"


def _each_copy(
    standing: Standing, service: Service, there: list[Question], ports: Mapping[str, Ask]
) -> Iterator[Proposal]:
    """A question to each fixed address that only some copies answer."""
    answers = standing.support.answers.get(service.id, {})
    asked = {each.ask.host for each in there}
    every = {copy for copies in answers.values() for copy in copies}
    for address, copies in answers.items():
        if address in asked or set(copies) == every:
            continue
        known = ports.get(service.id)
        same = next(
            (each.ask for each in there if each.sees == service.id and each.ask.sort is Sort.DNS), None
        )
        if same is not None:
            ask = Ask(sort=Sort.DNS, host=address, port=same.port, about=same.about, record=same.record)
        elif known is not None:
            ask = Ask(sort=known.sort, host=address, port=known.port, about=known.about)
        else:
            ask = Ask(sort=Sort.PING, host=address)
        yield _made(f"{copies[0]} by itself", service.id, "", ask, 2, service.where)


def _pings(standing: Standing) -> Iterator[Proposal]:
    on_wire = {node for network in standing.support.networks.values() for node in network.attachments}
    for node in standing.lab.of(Node):
        if node.id in on_wire:
            yield Proposal(
                name=f"{node.id} answers",
                thing=PING + node.id,
                sees=node.id,
                from_="",
                asks=f"ping {_host(standing, node.id)}",
                rank=3,
            )


def _from_within(standing: Standing) -> Iterator[Proposal]:
    """Machines at one switch ask machines at another: that shows the ways between."""
    at: dict[frozenset[tuple[str, str]], str] = {}
    for network in standing.support.networks.values():
        for node, attachments in network.attachments.items():
            if isinstance(standing.lab.things.get(ThingId(node)), Node):
                at.setdefault(frozenset((network.name, each.vertex) for each in attachments), node)
    nodes = list(at.values())
    for asker in nodes[:MOST_ASKERS]:
        for target in nodes[:MOST_TARGETS]:
            if target != asker:
                ask = Ask(sort=Sort.PING, host=_host(standing, target))
                where = standing.lab.things[ThingId(asker)].where
                yield _made(f"{target} from {asker}", target, asker, ask, 5, where)


def _made(name: str, sees: str, from_: str, ask: Ask, rank: int, where: Where) -> Proposal:
    question = Question(
        name=name,
        sees=sees,
        ask=ask,
        expects="",
        from_=from_,
        every_s=EVERY_S,
        patience_s=PATIENCE_S,
        where=where,
    )
    return Proposal(
        name=name, thing=name, sees=sees, from_=from_, asks=ask.words, rank=rank, question=question
    )


def _host(standing: Standing, name: str) -> str:
    """How a machine is asked: by its name."""
    domain = standing.lab.domain
    return f"{_slug(name)}.{domain}" if domain else _slug(name)


def _slug(name: str) -> str:
    return "".join(letter if letter.isalnum() or letter in "-_." else "-" for letter in name).lower()
