"""How does the tree of a lab file become a typed lab?

Every fault in the file is collected and told at once: what could not be read, or is missing because it
could not be read, is not told again by what leans on it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from falsework.engines.uncollected import uncollected
from falsework.errors import FaultList, shortened
from falsework.lab import tree
from falsework.lab.read import Source, read
from falsework.model import check
from falsework.model.assume import Assumed
from falsework.model.bind import bind, bound_values
from falsework.model.declare import Misread, Record, Say, read_record
from falsework.model.entries import Entries, Entry, Tell, Template
from falsework.model.implied import implied
from falsework.model.kinds import Kinds, entries_of
from falsework.model.lab import Lab
from falsework.model.parts import Link, Thing, ThingId
from falsework.model.people import Aim, Spare, Step, Today
from falsework.model.resolve import Resolver
from falsework.model.sections import CABLES, NETWORKS, ORDER, PLAIN, SECTIONS, SPARES

R = TypeVar("R", bound=Record)

EARLY = ("fed_by", "in_", "on", "placed", "hosts")
"""The references that say which further parts there are: bound before all others."""


@uncollected()
def load(path: Path) -> Lab:
    """The lab that a file or folder describes.

    Raises:
        LabError: with every fault found, each with its place and mend.
        LimitError: the lab is larger than the tool takes.
    """
    return build(read(path))


@uncollected()
def build(source: Source) -> Lab:
    """The lab in a tree that was read.

    Raises:
        LabError: with every fault found, each with its place and mend.
        LimitError: the lab is larger than the tool takes.
    """
    faults = FaultList()
    say = Say(faults)
    top = _top(source.root, say)
    name = _plain("lab", top, say)
    kinds = Kinds(top.get("kinds"), say.under("kinds"))
    entries = Entries(kinds, say)
    for section in SECTIONS:
        entries.read(section, top.get(section.name), say.under(section.name))
    links = _wire(top.get("wire"), entries, say.under("wire"))
    aims = _aims(top.get("aims"), say.under("aims"))
    order = _listed(Step, top.get("order"), say.under("order"))
    today = _listed(Today, top.get("today"), say.under("today"), listed=False)
    spares = _spares(top.get("spares"), kinds, say.under("spares"))

    assumed = Assumed()
    things = _things(entries, links, say, assumed)
    resolver = Resolver(things, entries.unread)
    lab = Lab(
        name=name or "unnamed",
        about=_plain("about", top, say) or "",
        where=source.root.where,
        things=things,
        aims=tuple(bind(aim, resolver, say.at(f"aims.{aim.name}")) for aim in aims),
        order=tuple(bind(step, resolver, say.at(f"order[{number}]")) for number, step in enumerate(order)),
        today=bind(today[0], resolver, say.at("today")) if today else None,
        spares=spares,
        assumptions=assumed.all(),
        files=source.files,
    )
    check.sense(lab, Tell(say, entries.all), resolver)
    faults.raise_if_any()
    return lab


# -- sections -----------------------------------------------------------------------------------------


def _top(root: tree.Mapping, say: Say) -> Mapping[str, tree.Node]:
    """The sections by name; one that is only begun counts as left out."""
    found: dict[str, tree.Node] = {}
    for entry in root.entries:
        name = entry.key.text
        if name not in ORDER:
            mend = say.meant(name, ORDER, "known sections: " + ", ".join(ORDER))
            say.fault(entry.key.where, f"no section is called {shortened(name)!r}", mend)
        elif name in PLAIN or not (isinstance(entry.value, tree.Scalar) and entry.value.is_empty):
            found[name] = entry.value
    if "lab" not in found:
        say.fault(root.where, "the lab has no name", "add a line such as lab: Gannet Rock")
    _plain("falsework", found, say)
    return found


def _plain(name: str, top: Mapping[str, tree.Node], say: Say) -> str | None:
    """The value of a section that holds only one."""
    if name not in top:
        return None
    try:
        return str(PLAIN[name][0].read(top[name], say.under(name)))
    except Misread:
        return None


def _wire(node: tree.Node | None, entries: Entries, say: Say) -> tuple[Link, ...]:
    """The cables as written; the networks become entries."""
    links: tuple[Link, ...] = ()
    for entry in entries_of(node, say, "cables: and networks:"):
        name = entry.key.text
        if name == "cables":
            links = CABLES.read(entry.value, say.under(name))
        elif name == "networks":
            entries.read(NETWORKS, entry.value, say.under(name))
        else:
            mend = say.meant(name, ("cables", "networks"), "known keys: cables, networks")
            say.fault(entry.key.where, f"no key is called {shortened(name)!r} here", mend)
    return links


def _aims(node: tree.Node | None, say: Say) -> tuple[Aim, ...]:
    found = []
    for entry in entries_of(node, say, "the aims"):
        name = entry.key.text
        try:
            found.append(read_record(Aim, entry.value, say.under(name), name=name))
        except Misread:
            continue
    return tuple(found)


def _listed(record: type[R], node: tree.Node | None, say: Say, *, listed: bool = True) -> tuple[R, ...]:
    """The records of a section that is a list, or one record where it is none."""
    if node is None:
        return ()
    items = node.items if listed and isinstance(node, tree.Sequence) else (node,)
    found = []
    for number, item in enumerate(items):
        try:
            found.append(read_record(record, item, say.under(f"[{number}]") if listed else say))
        except Misread:
            continue
    return tuple(found)


def _spares(node: tree.Node | None, kinds: Kinds, say: Say) -> Mapping[str, Spare]:
    if node is None:
        return {}
    try:
        spares = SPARES.read(node, say)
    except Misread:
        return {}
    for name, spare in spares.items():
        if name not in kinds:
            say.fault(
                spare.where,
                f"no kind is called {shortened(name)!r}",
                say.meant(name, kinds, "name one of your kinds"),
            )
    return spares


# -- things -------------------------------------------------------------------------------------------


def _things(entries: Entries, links: tuple[Link, ...], say: Say, assumed: Assumed) -> Mapping[ThingId, Thing]:
    """Every thing with its references bound, in lab order, implied ones last.

    Two rounds: the first binds what says which further parts there are, the second all the rest, which
    may name those parts too.
    """
    by_template: dict[int, tuple[Template, list[ThingId]]] = {}
    for name, entry in entries.all.items():
        by_template.setdefault(id(entry.template), (entry.template, []))[1].append(name)
    for template, ids in by_template.values():
        for default in template.assumed:
            assumed.note_default(template.record, default, ids)

    records = {name: entry.template.record for name, entry in entries.all.items()}
    resolver = Resolver(records, entries.unread)
    things = {name: _named(name, entry, resolver, say) for name, entry in entries.all.items()}
    tell = Tell(say, entries.all)
    made = implied(things, links, Resolver(things, entries.unread), tell, assumed)
    things.update(made)
    resolver = Resolver(things, entries.unread)
    for name, entry in entries.all.items():
        values = _bound(things[name], entry, resolver, say, early=False)
        if values:
            things[name] = dataclasses.replace(things[name], **values)
    return things


def _named(name: ThingId, entry: Entry, resolver: Resolver, say: Say) -> Thing:
    """A thing made of its template, its early references bound."""
    values = _bound(entry.template.record, entry, resolver, say, early=True)
    if entry.holder is not None:
        values = {**values, "in_": entry.holder}
    return dataclasses.replace(entry.template.record, id=name, counters=entry.counters, **values)


def _bound(thing: Thing, entry: Entry, resolver: Resolver, say: Say, *, early: bool) -> dict[str, Any]:
    """The values of one round; what is the same for all things of an entry is bound for the first of them."""
    template, before = entry.template, say.count
    fixed, varying = (
        tuple(key for key in keys if (key.attribute in EARLY) == early)
        for keys in (template.fixed, template.varying)
    )
    if fixed not in template.bound:
        template.bound[fixed] = bound_values(thing, fixed, resolver, say.at(template.path), entry.counters)
    values = template.bound[fixed]
    if varying:
        own = bound_values(thing, varying, resolver, say.at(template.path), entry.counters)
        values = {**values, **own}
    template.shaky |= say.count > before
    return values
