"""How does the tree of a lab file become a typed lab?

Every fault in the file is collected and told at once. An entry is read once, however many things it
stands for: the record that was read is the template of each.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from falsework import units
from falsework.errors import FaultList, LimitError, nearest
from falsework.lab import tree
from falsework.lab.read import Source, read
from falsework.model import cabling, check, placing
from falsework.model.declare import Misread, Record, Say, declared, read_record, shown
from falsework.model.defaults import DEFAULTS
from falsework.model.forms import Bound, Names, Refs, Set, expanded
from falsework.model.lab import Assumption, Lab
from falsework.model.names import MOST
from falsework.model.parts import (
    KINDS,
    Card,
    Controller,
    Enclosure,
    Link,
    Node,
    Powered,
    Supply,
    Thing,
    ThingId,
)
from falsework.model.people import Aim, Spare, Step, Today
from falsework.model.resolve import Resolver, bind, bind_refs
from falsework.model.sections import CABLES, KINDS_HOLD, NETWORKS, ORDER, PLAIN, SECTIONS, SPARES, Section
from falsework.model.services import Service
from falsework.units import Quantity


def load(path: Path) -> Lab:
    """The lab that a file or folder describes.

    Raises:
        LabError: with every fault found, each with its place and mend.
        LimitError: the lab is larger than the tool takes.
    """
    return build(read(path))


def build(source: Source) -> Lab:
    """The lab in a tree that was read.

    Raises:
        LabError: with every fault found, each with its place and mend.
        LimitError: the lab is larger than the tool takes.
    """
    return _Builder(source).lab()


@dataclass(slots=True)
class _Template:
    """A record as read, and the things it stands for."""

    record: Thing
    path: str
    counted: bool = field(init=False)
    early: dict[str, Any] | None = None

    def __post_init__(self) -> None:
        """Note whether its references differ from thing to thing, by `#`."""
        self.counted = _has_counter_sign(self.record)


@dataclass(slots=True)
class _Entry:
    """One thing before its references are bound."""

    template: _Template
    counters: tuple[str, ...]
    over: dict[str, Any] = field(default_factory=dict)

    @property
    def IS(self) -> str:
        """The word of the thing."""
        return self.template.record.IS


class _Builder:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.root = source.root
        self.faults = FaultList()
        self.say = Say(self.faults)
        self.kinds: dict[str, tuple[str, tree.Mapping]] = {}
        self.entries: dict[ThingId, _Entry] = {}
        self.made: dict[ThingId, Thing] = {}
        self.assumed: dict[tuple[str, str, str], list[ThingId]] = {}
        self.held: dict[int, tuple[Set, _Template | None]] = {}

    def lab(self) -> Lab:
        top = self._top()
        self._read_kinds(top.get("kinds"))
        for section in SECTIONS:
            if section.name in top:
                self._read_section(section, top[section.name], self.say.under(section.name))
        links = self._read_wire(top.get("wire"))
        aims = self._read_aims(top.get("aims"))
        steps = self._read_list(Step, top.get("order"), "order")
        today = self._read_one(Today, top.get("today"), "today")
        spares = self._read_spares(top.get("spares"))
        plain = {name: self._plain(name, top.get(name)) for name in PLAIN}
        if "lab" not in top:
            self.say.fault(self.root.where, "the lab has no name", "add a line such as lab: Gannet Rock")
        self._add_implied(links)
        resolver = Resolver({**self.entries, **self.made})  # type: ignore[dict-item]  # entries answer IS as things do
        things = self._instances(resolver)
        bound_aims = tuple(bind(aim, resolver, self.say.under(f"aims.{aim.name}")) for aim in aims)
        bound_steps = tuple(bind(step, resolver, self.say.under("order")) for step in steps)
        lab = Lab(
            name=str(plain["lab"] or "unnamed"),
            about=str(plain["about"] or ""),
            where=self.root.where,
            things=things,
            aims=bound_aims,
            order=bound_steps,
            today=bind(today, resolver, self.say.under("today")) if today else None,
            spares=spares,
            assumptions=tuple(
                Assumption(tuple(ids), key, value, origin)
                for (key, value, origin), ids in self.assumed.items()
            ),
            files=self.source.files,
        )
        if not len(self.faults):
            check.sense(lab, self.say)
        self.faults.raise_if_any()
        return lab

    # -- sections ---------------------------------------------------------------------------------

    def _top(self) -> dict[str, tree.Node]:
        found: dict[str, tree.Node] = {}
        for entry in self.root.entries:
            name = entry.key.text
            if name not in ORDER:
                near = nearest(name, ORDER)
                mend = f"did you mean {near!r}?" if near else "known sections: " + ", ".join(ORDER)
                self.say.fault(entry.key.where, f"no section is called {name!r}", mend)
            else:
                found[name] = entry.value
        return found

    def _plain(self, name: str, node: tree.Node | None) -> object:
        if node is None:
            return None
        try:
            return PLAIN[name][0].read(node, self.say.under(name))
        except Misread:
            return None

    def _mapping(self, node: tree.Node | None, say: Say, what: str) -> Iterator[tree.Entry]:
        if node is None or (isinstance(node, tree.Scalar) and not node.text and not node.quoted):
            return
        if isinstance(node, tree.Mapping):
            yield from node.entries
        else:
            say.fault(
                node.where,
                f"found {shown(node)}",
                f"write {what}, one a line, each with its name and a colon",
            )

    def _read_kinds(self, node: tree.Node | None) -> None:
        say = self.say.under("kinds")
        raw: dict[str, tuple[tree.Scalar, tree.Mapping]] = {}
        for entry in self._mapping(node, say, "kinds"):
            if isinstance(entry.value, tree.Mapping):
                raw[entry.key.text] = (entry.key, entry.value)
            else:
                say.fault(
                    entry.value.where,
                    f"found {shown(entry.value)}",
                    "write a mapping such as {is: node, cores: 4}",
                )
        for name, (key, mapping) in raw.items():
            merged, seen = mapping, [name]
            while True:
                parent = _text(merged, "kind")
                if parent is None:
                    break
                if parent in seen or parent not in raw:
                    near = nearest(parent, [each for each in raw if each not in seen])
                    what = (
                        "is a kind of itself"
                        if parent in seen
                        else f"is of kind {parent!r}, which is not there"
                    )
                    say.fault(
                        key.where,
                        f"{name!r} {what}",
                        f"did you mean {near!r}?" if near else "name another kind",
                    )
                    merged = _without(merged, "kind")
                    break
                seen.append(parent)
                merged = _merge(_without(merged, "kind"), raw[parent][1])
            word = _text(merged, "is")
            if word not in KINDS:
                near = nearest(word or "", KINDS)
                mend = f"did you mean is: {near}?" if near else "add is: with one of " + ", ".join(KINDS)
                say.fault(
                    key.where,
                    f"kind {name!r} does not say what it is"
                    if word is None
                    else f"is: {word!r} is not known",
                    mend,
                )
                continue
            body = _without(merged, "is")
            self.kinds[name] = (word or "", body)
            self._probe(KINDS[word or ""], body, say.under(name))

    def _probe(self, record: type[Thing], body: tree.Mapping, say: Say) -> None:
        """Read a kind once by itself, so that its faults are told at its own place even if nothing uses it."""
        try:
            read_record(record, body, say)
        except Misread:
            return

    def _read_section(self, section: Section, node: tree.Node, say: Say) -> None:
        for entry in self._mapping(node, say, f"the {section.name}"):
            under = say.under(entry.key.text)
            try:
                record, body, kind = self._body(section, entry.value, under)
                read = self._with_defaults(read_record(record, body, under, kind_name=kind))
                template = _Template(read, under.path)
                instances = expanded(entry.key, under)
            except Misread:
                continue
            self._room_for(len(instances))
            for name, counters in instances:
                self._enter(ThingId(name), _Entry(template, counters), entry.key, under)

    def _body(self, section: Section, node: tree.Node, say: Say) -> tuple[type[Thing], tree.Mapping, str]:
        """The class, the merged mapping and the kind of one entry."""
        if isinstance(node, tree.Scalar):
            entries = ()
            if node.text or node.quoted:
                entries = (
                    tree.Entry(tree.Scalar(section.short, node.where, False, node.start, node.start), node),
                )
            body = tree.Mapping(entries, node.where, node.start, node.end)
        elif isinstance(node, tree.Sequence) and section.short not in ("is", "kind", "about"):
            entries = (
                tree.Entry(tree.Scalar(section.short, node.where, False, node.start, node.start), node),
            )
            body = tree.Mapping(entries, node.where, node.start, node.end)
        elif isinstance(node, tree.Mapping):
            body = node
        else:
            raise say.fault(node.where, f"found {shown(node)}", "write a mapping such as {kind: desktop}")
        allowed = {record.IS: record for record in section.holds}
        takes_kinds = any(record in KINDS_HOLD for record in section.holds)
        kind = _text(body, "kind") if takes_kinds else None
        word = _text(body, "is") if takes_kinds else None
        if kind is not None:
            at = _place(body, "kind")
            if kind not in self.kinds:
                if kind in allowed and word is None:
                    word, body = kind, _without(body, "kind")
                else:
                    near = nearest(kind, self.kinds)
                    mend = f"did you mean {near!r}?" if near else "describe it under kinds: first"
                    raise say.fault(at, f"no kind is called {kind!r}", mend)
            else:
                is_word, kind_body = self.kinds[kind]
                body = _merge(_without(body, "kind"), kind_body)
                if word is not None and word != is_word:
                    raise say.fault(
                        _place(body, "is"),
                        f"is: {word} does not fit kind {kind!r}, a {is_word}",
                        "drop one of them",
                    )
                word = is_word
        if takes_kinds:
            body = _without(body, "is")
        if word is None:
            if len(allowed) > 1:
                raise say.fault(
                    node.where,
                    "it does not say what it is",
                    "add kind: with one of your kinds, or is: with one of " + ", ".join(allowed),
                )
            word = next(iter(allowed))
        if word not in allowed:
            raise say.fault(
                node.where, f"a {word} has no place here", "this section holds: " + ", ".join(allowed)
            )
        return allowed[word], body, kind or ""

    def _enter(self, name: ThingId, entry: _Entry, key: tree.Scalar, say: Say) -> None:
        other = self.entries.get(name)
        if other is not None:
            say.fault(
                key.where,
                f"{str(name)!r} is already the name of a {other.IS} at {other.template.record.where}",
                "give one of them another name",
            )
            return
        self.entries[name] = entry
        self._enter_held(name, entry, key, say)

    def _enter_held(self, holder: ThingId, entry: _Entry, key: tree.Scalar, say: Say) -> None:
        """The nodes and drives that an enclosure or a node holds."""
        record = entry.template.record
        if isinstance(record, Enclosure):
            for held in record.holds:
                self._enter_set(holder, entry, held, ("node", "switch"), key, say)
        if isinstance(record, Enclosure | Node):
            for held in record.drives:
                self._enter_set(holder, entry, held, ("drive",), key, say)

    def _enter_set(
        self, holder: ThingId, entry: _Entry, held: Set, words: tuple[str, ...], key: tree.Scalar, say: Say
    ) -> None:
        template = self._held_template(held, words, say)
        if template is None:
            return
        self._room_for(len(held.names))
        for name in held.names:
            inner = _Entry(template, (*entry.counters, name), {"in_": Bound((holder,), held.where)})
            self._enter(ThingId(f"{holder}.{name}"), inner, key, say)

    def _held_template(self, held: Set, words: tuple[str, ...], say: Say) -> _Template | None:
        cached = self.held.get(id(held))
        if cached is not None:
            return cached[1]
        template = None
        try:
            body = held.over if held.over is not None else tree.Mapping((), held.where, 0, 0)
            kind = held.kind or _text(body, "kind")
            if kind is not None and kind in self.kinds:
                word, kind_body = self.kinds[kind]
                body = _merge(_without(body, "kind"), kind_body)
            elif kind in words:
                word, body = str(kind), _without(body, "kind")
            else:
                near = nearest(str(kind), self.kinds)
                raise say.fault(
                    held.where,
                    f"no kind is called {kind!r}",
                    f"did you mean {near!r}?" if near else "describe it under kinds: first",
                )
            if word not in words:
                raise say.fault(
                    held.where, f"{kind!r} is a {word}", f"a {' or a '.join(words)} is wanted here"
                )
            record = read_record(KINDS[word], _without(body, "is"), say, kind_name=str(kind))
            template = _Template(self._with_defaults(record), say.path)
        except Misread:
            pass
        self.held[id(held)] = (held, template)
        return template

    def _room_for(self, count: int) -> None:
        if len(self.entries) + count > MOST:
            raise LimitError(
                what=f"the lab has more than {MOST:,} things", mend="shorten the ranges, or split the lab"
            )

    def _read_wire(self, node: tree.Node | None) -> tuple[Link, ...]:
        say = self.say.under("wire")
        links: tuple[Link, ...] = ()
        for entry in self._mapping(node, say, "cables: and networks:"):
            if entry.key.text == "cables":
                links = CABLES.read(entry.value, say.under("cables"))
            elif entry.key.text == "networks":
                self._read_section(NETWORKS, entry.value, say.under("networks"))
            else:
                near = nearest(entry.key.text, ("cables", "networks"))
                say.fault(
                    entry.key.where,
                    f"no key is called {entry.key.text!r} here",
                    f"did you mean {near!r}?" if near else "known keys: cables, networks",
                )
        return links

    def _read_aims(self, node: tree.Node | None) -> tuple[Aim, ...]:
        say, found = self.say.under("aims"), []
        for entry in self._mapping(node, say, "aims"):
            try:
                found.append(read_record(Aim, entry.value, say.under(entry.key.text), name=entry.key.text))
            except Misread:
                continue
        return tuple(found)

    def _read_list(self, record: type[Any], node: tree.Node | None, name: str) -> tuple[Any, ...]:
        say = self.say.under(name)
        if node is None:
            return ()
        items = node.items if isinstance(node, tree.Sequence) else (node,)
        found = []
        for number, item in enumerate(items):
            try:
                found.append(read_record(record, item, say.under(f"[{number}]")))
            except Misread:
                continue
        return tuple(found)

    def _read_one(self, record: type[Any], node: tree.Node | None, name: str) -> Any:
        if node is None:
            return None
        try:
            return read_record(record, node, self.say.under(name))
        except Misread:
            return None

    def _read_spares(self, node: tree.Node | None) -> dict[str, Spare]:
        if node is None:
            return {}
        say = self.say.under("spares")
        try:
            spares = dict(SPARES.read(node, say))
        except Misread:
            return {}
        for name, spare in spares.items():
            if name not in self.kinds:
                near = nearest(name, self.kinds)
                say.fault(
                    spare.where,
                    f"no kind is called {name!r}",
                    f"did you mean {near!r}?" if near else "name one of your kinds",
                )
        return spares

    # -- what is implied --------------------------------------------------------------------------

    def _with_defaults(self, record: Any) -> Any:
        """The record with assumed figures where the owner gave none."""
        values = {}
        for default in DEFAULTS.get(record.IS, ()):
            known = declared(type(record)).get(default.key)
            if known is not None and getattr(record, known.attribute) is None:
                values[known.attribute] = default.value
        return dataclasses.replace(record, **values) if values else record

    def _note_assumed(self, record: Any, ids: Iterable[ThingId]) -> None:
        keys = declared(type(record))
        for default in DEFAULTS.get(record.IS, ()):
            known = keys.get(default.key)
            if (
                known is not None
                and known.attribute not in record.places
                and getattr(record, known.attribute) == default.value
            ):
                told = f"{default.key} of a {record.IS}", _told(default.value, known.form), default.source
                self.assumed.setdefault(told, []).extend(ids)

    def _add_implied(self, links: tuple[Link, ...]) -> None:
        """Supplies, cards, controllers, cables and copies."""
        resolver = Resolver(dict(self.entries))  # type: ignore[arg-type]  # entries answer IS as things do
        for name, entry in list(self.entries.items()):
            record = entry.template.record
            if isinstance(record, Powered):
                self._bind_early(entry, ("fed_by",), resolver)
                self._add_supplies(name, entry)
            if isinstance(record, Node):
                self._add_cards(name, record)
            if isinstance(record, Service):
                self._bind_early(entry, ("on", "placed"), resolver)
            if record.IS in ("pool",):
                self._bind_early(entry, ("hosts",), resolver)
        records = Resolver({name: entry.template.record for name, entry in self.entries.items()})
        for cable in cabling.lay(links, records, self.say.under("wire.cables")):
            self.made[cable.id] = self._with_defaults(cable)
        for copy in placing.copies(self._early_records(), self.say, self.assumed):
            self.made[copy.id] = copy

    def _early_records(self) -> dict[ThingId, Thing]:
        return {
            name: dataclasses.replace(entry.template.record, id=name, **entry.over)
            for name, entry in self.entries.items()
            if entry.IS in ("node", "enclosure", "pool", "service", "rack", "room", "strip", "circuit", "ups")
        }

    def _bind_early(self, entry: _Entry, attributes: tuple[str, ...], resolver: Resolver) -> None:
        """Bind the references that the implied things are made from."""
        template = entry.template
        if template.early is None or template.counted:
            say, keys = Say(self.faults, template.path), declared(type(template.record))
            template.early = {}
            for each in keys.values():
                value = getattr(template.record, each.attribute)
                if each.attribute in attributes and isinstance(value, Refs) and isinstance(each.form, Names):
                    template.early[each.attribute] = bind_refs(
                        value, each.form, resolver, say.under(each.name), entry.counters
                    )
        entry.over.update(template.early)

    def _add_supplies(self, name: ThingId, entry: _Entry) -> None:
        record = entry.template.record
        if record.IS in ("circuit", "ups", "strip"):
            return
        fed_by = entry.over.get("fed_by", getattr(record, "fed_by", None))
        if fed_by is None or not isinstance(record, Powered):
            return
        sources = list(fed_by.ids)
        count = max(record.supplies or 0, len(sources))
        for number in range(count if sources else 0):
            supply = Supply(
                where=fed_by.where,
                id=ThingId(f"{name}.supply-{number + 1}"),
                in_=Bound((name,), fed_by.where),
                holder=name,
                source=ThingId(sources[number % len(sources)]),
            )
            self.made[supply.id] = self._with_defaults(supply)

    def _add_cards(self, name: ThingId, record: Node) -> None:
        for card in record.cards:
            made = Card(
                where=record.place("cards"),
                id=ThingId(f"{name}.{card}"),
                in_=Bound((name,), record.where),
                holder=name,
            )
            self.made[made.id] = self._with_defaults(made)
        if record.controller:
            made_controller = Controller(
                where=record.place("controller"),
                id=ThingId(f"{name}.controller"),
                in_=Bound((name,), record.where),
                holder=name,
                port=record.controller,
            )
            self.made[made_controller.id] = self._with_defaults(made_controller)

    # -- binding ----------------------------------------------------------------------------------

    def _instances(self, resolver: Resolver) -> dict[ThingId, Thing]:
        """Every thing with its references bound, in lab order, implied things after their holders."""
        things: dict[ThingId, Thing] = {}
        finished: dict[int, Thing] = {}
        noted: dict[int, list[ThingId]] = {}
        originals: dict[int, Thing] = {}
        for name, entry in self.entries.items():
            template = entry.template
            noted.setdefault(id(template), []).append(name)
            originals[id(template)] = template.record
            whole = finished.get(id(template))
            if whole is None or template.counted:
                say = Say(self.faults, template.path)
                whole = finished[id(template)] = bind(template.record, resolver, say, entry.counters)
            things[name] = dataclasses.replace(whole, id=name, counters=entry.counters, **entry.over)
        for key, ids in noted.items():
            self._note_assumed(originals[key], ids)
        grouped: dict[str, list[ThingId]] = {}
        samples: dict[str, Thing] = {}
        for made in self.made.values():
            grouped.setdefault(made.IS, []).append(made.id)
            samples.setdefault(made.IS, made)
        for word, ids in grouped.items():
            self._note_assumed(samples[word], ids)
        things.update({name: made for name, made in self.made.items() if name not in things})
        return things


def _has_counter_sign(record: Record) -> bool:
    """Whether any reference in the record holds a `#`."""
    for each in declared(type(record)).values():
        value = getattr(record, each.attribute)
        if _sign_in(value):
            return True
    return False


def _sign_in(value: object) -> bool:
    if isinstance(value, Refs):
        return any("#" in text for text, _ in value.patterns)
    if isinstance(value, Record):
        return _has_counter_sign(value)
    if isinstance(value, tuple):
        return any(_sign_in(item) for item in value)
    if isinstance(value, dict):
        return any(_sign_in(item) for item in value.values())
    return False


def _told(value: object, form: object) -> str:
    """An assumed figure with its unit."""
    dimension = getattr(form, "dimension", None)
    if isinstance(value, Quantity) and dimension is not None:
        low, high = units.format(value.low, dimension), units.format(value.high, dimension)
        return low if low == high else f"{low} to {high}"
    if isinstance(value, float) and dimension is not None:
        return units.format(value, dimension)
    return str(value)


def _text(mapping: tree.Mapping, name: str) -> str | None:
    for entry in mapping.entries:
        if entry.key.text == name and isinstance(entry.value, tree.Scalar):
            return entry.value.text
    return None


def _place(mapping: tree.Mapping, name: str) -> Any:
    for entry in mapping.entries:
        if entry.key.text == name:
            return entry.value.where
    return mapping.where


def _without(mapping: tree.Mapping, name: str) -> tree.Mapping:
    kept = tuple(entry for entry in mapping.entries if entry.key.text != name)
    return mapping if len(kept) == len(mapping.entries) else dataclasses.replace(mapping, entries=kept)


def _merge(own: tree.Mapping, kind: tree.Mapping) -> tree.Mapping:
    """A thing's own keys over those of its kind."""
    said = {entry.key.text for entry in own.entries}
    return dataclasses.replace(
        own, entries=(*own.entries, *(each for each in kind.entries if each.key.text not in said))
    )
