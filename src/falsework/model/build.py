"""How does the tree of a lab file become a typed lab?

Every fault in the file is collected and told at once: what could not be read, or is missing because it
could not be read, is not told again by what leans on it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from falsework.engines.uncollected import uncollected
from falsework.errors import FaultList, shortened
from falsework.lab import tree
from falsework.lab.read import Source, read
from falsework.model import check
from falsework.model.addressing import OwnRange, Recorded
from falsework.model.assume import Assumed
from falsework.model.bind import bind, bound_values
from falsework.model.declare import Misread, Record, Say, read_record
from falsework.model.entries import Entries, Entry, Tell, Template
from falsework.model.heaps import Heap
from falsework.model.implied import implied
from falsework.model.kinds import Kinds, entries_of
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Link, Thing, ThingId
from falsework.model.people import Aim, Spare, Step, Today
from falsework.model.resolve import Resolver
from falsework.model.sections import (
    ADDRESSES,
    CABLES,
    DOMAIN,
    NETWORKS,
    ORDER,
    PLAIN,
    RANGES,
    SECTIONS,
    SPARES,
    WIRE,
)

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
    wire = _wire(top.get("wire"), entries, say.under("wire"))
    recorded = _recorded(top.get("addresses"), say.under("addresses"))
    aims = _aims(top.get("aims"), say.under("aims"))
    order = _listed(Step, top.get("order"), say.under("order"))
    today = _listed(Today, top.get("today"), say.under("today"), listed=False)
    spares = _spares(top.get("spares"), kinds, say.under("spares"))

    assumed = Assumed()
    things, heaps = _things(entries, wire.links, say, assumed)
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
        ranges=wire.ranges,
        domain=wire.domain,
        recorded=recorded,
        heaps=heaps,
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


@dataclass(frozen=True, slots=True)
class _Wire:
    """What the section wire says besides its networks, which become entries."""

    links: tuple[Link, ...] = ()
    ranges: tuple[OwnRange, ...] = ()
    domain: str = ""


def _wire(node: tree.Node | None, entries: Entries, say: Say) -> _Wire:
    """The cables as written, the owner's ranges and domain; the networks become entries."""
    wire = _Wire()
    for entry in entries_of(node, say, "cables: and networks:"):
        name, under = entry.key.text, say.under(entry.key.text)
        try:
            if name == "cables":
                wire = dataclasses.replace(wire, links=CABLES.read(entry.value, under))
            elif name == "networks":
                entries.read(NETWORKS, entry.value, under)
            elif name == "ranges":
                wire = dataclasses.replace(wire, ranges=RANGES.read(entry.value, under))
            elif name == "domain":
                wire = dataclasses.replace(wire, domain=DOMAIN.read(entry.value, under))
            else:
                mend = say.meant(name, WIRE, "known keys: " + ", ".join(WIRE))
                say.fault(entry.key.where, f"no key is called {shortened(name)!r} here", mend)
        except Misread:
            continue
    return wire


def _recorded(node: tree.Node | None, say: Say) -> tuple[Recorded, ...]:
    """The addresses that things have, as written."""
    try:
        return ADDRESSES.read(node, say) if node is not None else ()
    except Misread:
        return ()


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


def _things(
    entries: Entries, links: tuple[Link, ...], say: Say, assumed: Assumed
) -> tuple[Mapping[ThingId, Thing], tuple[Heap, ...]]:
    """Every thing with its references bound, in lab order, implied ones last; and the heaps apart.

    Drives of a heap are no parts of the lab: nothing may name them, and nothing is assumed of the lab for them.

    Two rounds: the first binds what says which further parts there are, the second all the rest, which
    may name those parts too.
    """
    by_template: dict[int, tuple[Template, list[ThingId]]] = {}
    for name, entry in entries.all.items():
        by_template.setdefault(id(entry.template), (entry.template, []))[1].append(name)
    piled = frozenset(name for name, entry in entries.all.items() if _piled(entry, entries))
    for template, ids in by_template.values():
        mine = [name for name in ids if name not in piled]
        for default in template.assumed if mine else ():
            assumed.note_default(template.record, default, mine)
        for correction in template.corrected if mine else ():
            assumed.note_correction(template.record, correction, mine)

    records = {name: entry.template.record for name, entry in entries.all.items() if name not in piled}
    resolver = Resolver(records, entries.unread)
    named = {name: _named(name, entry, resolver, say) for name, entry in entries.all.items()}
    things = {name: thing for name, thing in named.items() if name not in piled}
    tell = Tell(say, entries.all)
    made = implied(things, links, Resolver(things, entries.unread), tell, assumed)
    things.update(made)
    resolver = Resolver(things, entries.unread)
    for name, entry in entries.all.items():
        at = named if name in piled else things
        values = _bound(at[name], entry, resolver, say, early=False)
        if values:
            at[name] = dataclasses.replace(at[name], **values)
    return things, _heaps(named, piled)


def _piled(entry: Entry, entries: Entries) -> bool:
    """Whether a thing is a heap, or a drive in one."""
    holder = entries.all.get(ThingId(entry.holder.ids[0])) if entry.holder is not None else entry
    return holder is not None and isinstance(holder.template.record, Heap)


def _heaps(named: Mapping[ThingId, Thing], piled: frozenset[ThingId]) -> tuple[Heap, ...]:
    """The heaps, each with its drives."""
    held: dict[str, list[Drive]] = {}
    for name in named:
        drive = named[name]
        if name in piled and isinstance(drive, Drive) and drive.in_ is not None:
            held.setdefault(drive.in_.ids[0], []).append(drive)
    return tuple(
        dataclasses.replace(thing, held=tuple(held.get(thing.id, ())))
        for thing in named.values()
        if isinstance(thing, Heap)
    )


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
