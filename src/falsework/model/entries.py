"""Which things do the sections of a lab file name, counted ones and held ones each by itself?

An entry is read once, however many things it stands for: the record that was read is the template of each.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NoReturn

from falsework.lab import tree
from falsework.model import names
from falsework.model.assume import completed
from falsework.model.bind import references
from falsework.model.declare import Declared, Misread, Say, a, declared, read_record
from falsework.model.defaults import Default
from falsework.model.forms import Bound, Set, expanded
from falsework.model.heaps import Heap
from falsework.model.kinds import Body, Kinds, entries_of
from falsework.model.parts import KINDS, Enclosure, Node, Thing, ThingId
from falsework.model.sections import KINDS_HOLD, Section
from falsework.model.stumbling import Corrected
from falsework.model.timed import Correction
from falsework.where import Where

HELD_BY_ENCLOSURE = (KINDS["node"], KINDS["switch"])
DRIVES = (KINDS["drive"],)


@dataclass(slots=True)
class Template:
    """A record as read, for all the things that its entry stands for.

    Attributes:
        record: with assumed figures where the owner gave none, its references not yet bound.
        path: the way to the entry through the file's keys.
        assumed: the figures that were assumed.
        corrected: the figures that measured times corrected.
        fixed: the keys whose references mean the same for each of its things.
        varying: those whose references differ from thing to thing, by `#`.
        shaky: whether a fault was met in it, so that what seems odd in it may come from that.
        bound: the values of some fixed keys, once they are bound.
    """

    record: Thing
    path: str
    assumed: tuple[Default, ...]
    corrected: tuple[Correction | Corrected, ...]
    fixed: tuple[Declared, ...]
    varying: tuple[Declared, ...]
    shaky: bool
    bound: dict[tuple[Declared, ...], dict[str, Any]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing before its references are bound; `holder` is what it was written inside of."""

    template: Template
    counters: tuple[str, ...]
    holder: Bound | None = None


class Entries:
    """Every thing that the file names, in lab order.

    Args:
        kinds: the kinds of the lab.
        say: the list of faults.

    Attributes:
        all: the things by id.
        unread: names as written of entries that could not be read.
    """

    def __init__(self, kinds: Kinds, say: Say) -> None:
        self.all: dict[ThingId, Entry] = {}
        self.unread: list[str] = []
        self._kinds = kinds
        self._held: dict[int, tuple[Set, Template | None]] = {}
        for name, record in kinds.records.items():
            for held, holds in _sets_of(record):
                self._held_template(held, holds, say.at(f"kinds.{name}"))

    def read(self, section: Section, node: tree.Node | None, say: Say) -> None:
        """Add the things of one section."""
        for entry in entries_of(node, say, f"the {section.name}"):
            under = say.under(entry.key.text)
            try:
                body = self._kinds.body(entry.value, section.holds, section.short, under)
                by_kind = any(record in KINDS_HOLD for record in section.holds)
                template = _template(body, under, by_kind=by_kind)
                instances = expanded(entry.key, under)
            except Misread:
                self.unread.append(entry.key.text)
                continue
            self._room_for(len(instances), entry.key.where, under)
            for name, counters in instances:
                self._enter(ThingId(name), Entry(template, counters), entry.key.where, under)

    def _enter(self, name: ThingId, entry: Entry, where: Where, say: Say) -> None:
        other = self.all.get(name)
        if other is not None:
            record = other.template.record
            what = f"{str(name)!r} is already the name of {a(record.IS)} at {record.where}"
            say.fault(where, what, "give one of them another name")
            return
        self.all[name] = entry
        for held, holds in _sets_of(entry.template.record):
            template = self._held_template(held, holds, say)
            if template is None:
                entry.template.shaky = True
                self.unread.extend(f"{name}.{inner}" for inner in held.names)
                continue
            self._room_for(len(held.names), held.where, say)
            holder = Bound((name,), held.where)
            for inner in held.names:
                inside = Entry(template, (*entry.counters, inner), holder)
                self._enter(ThingId(f"{name}.{inner}"), inside, held.where, say)

    def _held_template(self, held: Set, holds: Sequence[type[Thing]], say: Say) -> Template | None:
        """The template of the things in a set, or None; a set of a kind is read once for all its holders."""
        known = self._held.get(id(held))
        if known is None:
            under = say.under("drives" if holds == DRIVES else "holds")
            node = tree.Scalar(held.kind, held.where, True, 0, 0) if held.over is None else held.over
            try:
                template = _template(self._kinds.body(node, holds, "kind", under), under, by_kind=True)
            except Misread:
                template = None
            known = self._held[id(held)] = (held, template)
        return known[1]

    def _room_for(self, count: int, where: Where, say: Say) -> None:
        """Stop at once where the lab grows too large: going on would cost what the bound saves."""
        if len(self.all) + count > names.MOST:
            what = f"the lab has more than {names.MOST:,} things"
            say.fault(where, what, "shorten the ranges, lower the counts, or split the lab")
            say.faults.raise_if_any()


class Tell:
    """Notes faults of things, each with the place and the path of the key that is at fault."""

    def __init__(self, say: Say, entries: Mapping[ThingId, Entry]) -> None:
        self.say, self._entries = say, entries

    def is_shaky(self, thing: Thing) -> bool:
        """Whether a fault was noted in the thing, so that what seems odd in it may come from that."""
        entry = self._entries.get(thing.id)
        return entry is not None and entry.template.shaky

    def fault(self, thing: Thing, attribute: str, what: str, mend: str) -> None:
        """Note that a key of a thing is wrong."""
        self.at(thing, attribute, thing.place(attribute), what, mend)

    def thing(self, thing: Thing, what: str, mend: str) -> None:
        """Note that a thing is wrong as a whole."""
        entry = self._entries.get(thing.id)
        path = entry.template.path if entry is not None else ""
        self.say.at(path).fault(thing.where, what, mend)

    def too_many(self, thing: Thing, what: str) -> NoReturn:
        """Note that the lab is too large, and stop: going on would cost what the bound saves.

        Raises:
            LabError: with every fault noted so far.
        """
        self.thing(thing, what, "shorten the ranges, lower the counts, or split the lab")
        self.say.faults.raise_if_any()
        raise AssertionError("a fault was noted just before")

    def at(self, thing: Thing, attribute: str, where: Where, what: str, mend: str) -> None:
        """Note that something in a key of a thing is wrong."""
        key = next(each.name for each in declared(type(thing)).values() if each.attribute == attribute)
        entry = self._entries.get(thing.id)
        path = entry.template.path if entry is not None else ""
        self.say.at(path).under(key).fault(where, what, mend)


def _sets_of(record: Thing) -> list[tuple[Set, Sequence[type[Thing]]]]:
    """What a machine holds, each set with the classes that it may be of."""
    found: list[tuple[Set, Sequence[type[Thing]]]] = []
    if isinstance(record, Enclosure):
        found.extend((held, HELD_BY_ENCLOSURE) for held in record.holds)
    if isinstance(record, Enclosure | Heap | Node):
        found.extend((held, DRIVES) for held in record.drives)
    return found


def _template(body: Body, say: Say, *, by_kind: bool) -> Template:
    before = say.count
    also = ("kind", "is") if by_kind else ()
    record = read_record(body.record, body.keys, say, also=also, kind_name=body.kind)
    whole, assumed, corrections = completed(record)
    written = {key: [*references(getattr(whole, key.attribute))] for key in declared(body.record).values()}
    varying = tuple(key for key, texts in written.items() if any("#" in text for text in texts))
    fixed = tuple(key for key, texts in written.items() if texts and key not in varying)
    return Template(whole, say.path, assumed, corrections, fixed, varying, say.count > before)
