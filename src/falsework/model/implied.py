"""Which parts does a lab have that its file does not name: supplies, cards, controllers, cables, copies?"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from falsework.model import cabling, names, placing
from falsework.model.assume import Assumed, figures
from falsework.model.declare import a
from falsework.model.defaults import DEFAULTS
from falsework.model.entries import Tell
from falsework.model.forms import Bound
from falsework.model.parts import (
    Cable,
    Card,
    Circuit,
    Controller,
    Link,
    Node,
    Powered,
    Strip,
    Supply,
    Switch,
    Thing,
    ThingId,
    Ups,
)
from falsework.model.resolve import Resolver


def implied(
    things: dict[ThingId, Thing], links: tuple[Link, ...], resolver: Resolver, tell: Tell, assumed: Assumed
) -> dict[ThingId, Thing]:
    """The parts that the file implies, by id.

    Args:
        things: what the file names, with the references bound that say what feeds, holds and hosts it;
            machines without declared ports get those that cables use.
        links: the cables as written.
        resolver: knows `things`.
        tell: notes faults.
        assumed: what was assumed is noted here.
    """
    made: dict[ThingId, Thing] = {}
    for part in _parts(things, links, resolver, tell, assumed):
        if len(things) + len(made) >= names.MOST:
            tell.too_many(
                part, f"the lab has more than {names.MOST:,} things, supplies, cables and copies included"
            )
        other = things.get(part.id)
        if other is None:
            made[part.id] = part
        else:
            what = f"{str(part.id)!r} is also the name of {a(part.IS)} that the lab has by itself"
            tell.thing(other, what, f"give the {other.IS} another name")
    by_word: dict[str, list[Thing]] = {}
    for part in made.values():
        by_word.setdefault(part.IS, []).append(part)
    for word, parts in by_word.items():
        for default in DEFAULTS.get(word, ()):
            assumed.note_default(parts[0], default, [part.id for part in parts])
    return made


def _parts(
    things: dict[ThingId, Thing], links: tuple[Link, ...], resolver: Resolver, tell: Tell, assumed: Assumed
) -> Iterator[Thing]:
    for thing in list(things.values()):
        if isinstance(thing, Powered) and not isinstance(thing, Circuit | Ups | Strip):
            yield from _supplies(thing)
        if isinstance(thing, Node):
            yield from _cards(thing)
    cables = cabling.lay(links, resolver, tell.say.at("wire.cables"))
    _add_ports(cables, things)
    yield from (dataclasses.replace(cable, **figures(Cable)) for cable in cables)
    yield from placing.copies(things, tell, assumed)


def _supplies(machine: Powered) -> Iterator[Supply]:
    """One supply for each feed; more supplies than feeds share them in turn."""
    if machine.fed_by is None or not machine.fed_by.ids:
        return
    sources = machine.fed_by.ids
    inside = Bound((machine.id,), machine.fed_by.where)
    for number in range(max(machine.supplies or 0, len(sources))):
        yield Supply(
            where=machine.fed_by.where,
            id=ThingId(f"{machine.id}.supply-{number + 1}"),
            in_=inside,
            holder=machine.id,
            source=ThingId(sources[number % len(sources)]),
            **figures(Supply),
        )


def _cards(node: Node) -> Iterator[Card | Controller]:
    for name in node.cards:
        where = node.place("cards")
        yield Card(
            where=where,
            id=ThingId(f"{node.id}.{name}"),
            in_=Bound((node.id,), where),
            holder=node.id,
            **figures(Card),
        )
    if node.controller:
        where = node.place("controller")
        yield Controller(
            where=where,
            id=ThingId(f"{node.id}.controller"),
            in_=Bound((node.id,), where),
            holder=node.id,
            port=node.controller,
            **figures(Controller),
        )


def _add_ports(cables: tuple[Cable, ...], things: dict[ThingId, Thing]) -> None:
    """Give machines that did not say what ports they have those that cables are plugged into."""
    used: dict[ThingId, dict[str, float | None]] = {}
    for cable in cables:
        for machine, port in cable.ends:
            used.setdefault(machine, {})[port] = None
    for name, ports in used.items():
        owner = things[name]
        if isinstance(owner, Node | Switch) and not owner.ports:
            things[name] = dataclasses.replace(owner, ports=ports)
