"""What is a thing like, once what its kind says is added to what it says itself?"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from falsework.errors import shortened
from falsework.lab import tree
from falsework.model import names
from falsework.model.declare import Misread, Say, a, declared, read_record, shown
from falsework.model.forms import mapping_of
from falsework.model.parts import KINDS, Thing
from falsework.model.sections import KINDS_HOLD, SECTIONS
from falsework.where import Where

_BY_KIND = ("kind", "is")

DEEPEST = 20
"""Kinds of kinds of kinds; a lab needs two or three."""


class Body(NamedTuple):
    """What an entry says in all: its class, every key that is left to read, and the name of its kind."""

    record: type[Thing]
    keys: tree.Mapping
    kind: str


class Kinds:
    """The kinds of a lab, each with the kinds that it is of itself merged in.

    Args:
        node: the section, or None.
        say: the list of faults, under the section.
    """

    def __init__(self, node: tree.Node | None, say: Say) -> None:
        self._known: dict[str, tuple[str, tree.Mapping]] = {}
        self._broken: set[str] = set()
        self.records: dict[str, Thing] = {}
        self._written = self._read_keys(node, say)
        self._merged: dict[str, tree.Mapping] = {}
        for name, (key, _) in self._written.items():
            try:
                merged = self._inherited(name, say)
                self._known[name] = (_word(name, key, merged, say), without(merged, "is"))
            except Misread:
                self._broken.add(name)
        # Each is read once by itself, so that its faults are told at its place even if nothing uses it.
        for name, (word, mapping) in self._known.items():
            try:
                self.records[name] = read_record(KINDS[word], mapping, say.under(name), also=_BY_KIND)
            except Misread:
                continue

    def __contains__(self, name: str) -> bool:
        return name in self._known or name in self._broken

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def _read_keys(self, node: tree.Node | None, say: Say) -> dict[str, tuple[tree.Scalar, tree.Mapping]]:
        found: dict[str, tuple[tree.Scalar, tree.Mapping]] = {}
        for entry in entries_of(node, say, "the kinds"):
            name, under = entry.key.text, say.under(entry.key.text)
            if not isinstance(entry.value, tree.Mapping):
                under.fault(
                    entry.value.where,
                    f"found {shown(entry.value)}",
                    "write a mapping such as {is: node, cores: 4}",
                )
            elif not names.sound(name):
                under.fault(
                    entry.key.where,
                    f"{shortened(name)!r} can't be the name of a kind",
                    "use letters, digits, dashes and blanks, and no ranges",
                )
            else:
                found[name] = (entry.key, entry.value)
                continue
            self._broken.add(name)
        return found

    def body(self, node: tree.Node, holds: Sequence[type[Thing]], short: str, say: Say) -> Body:
        """What an entry says in all.

        Args:
            node: what is written under its name.
            holds: the classes that it may be of.
            short: the key that a plain text or list stands for.
            say: the list of faults, at the entry.

        Raises:
            Misread: it can't be told what it is.
        """
        own = _spelt_out(node, short, say)
        if not any(record in KINDS_HOLD for record in holds):
            return Body(holds[0], own, "")
        allowed = {record.IS: record for record in holds}
        kind, word = text_of(own, "kind"), text_of(own, "is")
        keys = without(without(own, "kind"), "is")
        if kind is not None and kind not in self and kind in allowed and word is None:
            kind, word = None, kind  # `kind: node` says as much as `is: node`
        if kind is not None:
            of_kind, inherited = self._named(kind, allowed, place_of(own, "kind"), say)
            if word not in (None, of_kind):
                what = f"is: {shortened(str(word))} does not fit kind {kind!r}, which is {a(of_kind)}"
                raise say.fault(place_of(own, "is"), what, "drop one of the two")
            word, keys = of_kind, merged_into(keys, inherited)
        if word is None:
            if len(allowed) > 1:
                raise _says_not_what(own, allowed, say)
            word = next(iter(allowed))
        if word not in allowed:
            raise say.fault(
                place_of(own, "kind" if kind else "is"), *_no_place(shortened(word), list(allowed), say)
            )
        return Body(allowed[word], keys, kind or "")

    def _inherited(self, name: str, say: Say, seen: tuple[str, ...] = ()) -> tree.Mapping:
        """A kind's own keys over those of the kind that it is of, and so on up."""
        if name in self._merged:
            return self._merged[name]
        key, mapping = self._written[name]
        parent = text_of(mapping, "kind")
        if parent is not None:
            under, seen = say.under(name), (*seen, name)
            if parent in self._broken:
                under.excuse()
                raise Misread
            if parent in seen:
                circle = " -> ".join((*seen[seen.index(parent) :], parent))
                self._broken.update(seen)
                what = f"kinds run in a circle: {circle}"
                raise under.fault(key.where, what, "let one of them say what it is")
            if parent not in self._written:
                mend = say.meant(parent, [each for each in self._written if each != name], "describe it too")
                where = place_of(mapping, "kind")
                raise under.fault(where, f"no kind is called {shortened(parent)!r}", mend)
            if len(seen) > DEEPEST:
                what = f"this is a kind of a kind of a kind, {DEEPEST} deep"
                raise under.fault(key.where, what, "say more in one kind")
            mapping = merged_into(without(mapping, "kind"), self._inherited(parent, say, seen))
        self._merged[name] = mapping
        return mapping

    def _named(self, kind: str, words: Iterable[str], where: Where, say: Say) -> tuple[str, tree.Mapping]:
        if kind in self._broken:
            say.excuse()
            raise Misread
        if kind not in self._known:
            mend = say.meant(kind, [*self._known, *words], "describe it under kinds: first")
            raise say.fault(where, f"no kind is called {shortened(kind)!r}", mend)
        return self._known[kind]


def _word(name: str, key: tree.Scalar, mapping: tree.Mapping, say: Say) -> str:
    """What a kind is: node, drive, ..."""
    word = text_of(mapping, "is")
    if word is not None and word in KINDS:
        return word
    words = "one of " + ", ".join(KINDS)
    if word is None:
        raise say.under(name).fault(
            key.where, f"kind {name!r} does not say what it is", f"add is: with {words}"
        )
    raise say.under(name).fault(
        place_of(mapping, "is"),
        f"nothing is {a(shortened(word))}",
        say.meant(word, KINDS, f"write {words}"),
    )


def _spelt_out(node: tree.Node, short: str, say: Say) -> tree.Mapping:
    """An entry as a mapping, whatever its short form."""
    if isinstance(node, tree.Mapping):
        return node
    if isinstance(node, tree.Scalar):
        return mapping_of(node, {} if node.is_empty else {short: node})
    if short in (*_BY_KIND, "about"):
        raise say.fault(node.where, "found a list", "write a mapping such as {kind: desktop}")
    return mapping_of(node, {short: node})


def _says_not_what(own: tree.Mapping, allowed: dict[str, type[Thing]], say: Say) -> Misread:
    """The fault of an entry with neither `kind` nor `is`: most likely one of its keys is misspelt."""
    known = [*_BY_KIND, *(name for record in allowed.values() for name in declared(record))]
    strange = [entry.key for entry in own.entries if entry.key.text not in known]
    for key in strange:
        mend = say.meant(key.text, known, "known keys: " + ", ".join(dict.fromkeys(known)))
        say.fault(key.where, f"no key is called {shortened(key.text)!r} here", mend)
    if strange:
        return Misread()
    return say.fault(
        own.where,
        "it does not say what it is",
        "add kind: with one of your kinds, or is: with one of " + ", ".join(allowed),
    )


def _no_place(word: str, allowed: list[str], say: Say) -> tuple[str, str]:
    """What to say of a thing in the wrong section."""
    if word not in KINDS:
        return f"nothing is {a(word)}", say.meant(word, allowed, "write one of " + ", ".join(allowed))
    right = next((each.name for each in SECTIONS if KINDS[word] in each.holds), None)
    place = f"it belongs to the section {right}" if right else "a node or an enclosure holds it"
    return f"{a(word)} has no place here", f"{place}; here stand {', '.join(allowed)}"


def entries_of(node: tree.Node | None, say: Say, what: str) -> Iterator[tree.Entry]:
    """The entries of a section that maps names to things; nothing for one that is only begun."""
    if node is None or (isinstance(node, tree.Scalar) and node.is_empty):
        return
    if isinstance(node, tree.Mapping):
        yield from node.entries
    else:
        mend = f"write {what}, one a line, each with its name and a colon"
        say.fault(node.where, f"found {shown(node)}", mend)


def text_of(mapping: tree.Mapping, name: str) -> str | None:
    """The text under a key, or None."""
    value = mapping.get(name)
    return value.text if isinstance(value, tree.Scalar) and not value.is_empty else None


def place_of(mapping: tree.Mapping, name: str) -> Where:
    """Where the value of a key stands, or the mapping if it has none."""
    value = mapping.get(name)
    return value.where if value is not None else mapping.where


def without(mapping: tree.Mapping, name: str) -> tree.Mapping:
    """A mapping less one key."""
    kept = tuple(entry for entry in mapping.entries if entry.key.text != name)
    return mapping if len(kept) == len(mapping.entries) else dataclasses.replace(mapping, entries=kept)


def merged_into(own: tree.Mapping, kind: tree.Mapping) -> tree.Mapping:
    """A thing's own keys over those of its kind."""
    said = {entry.key.text for entry in own.entries}
    more = tuple(each for each in kind.entries if each.key.text not in said)
    return dataclasses.replace(own, entries=(*own.entries, *more))
