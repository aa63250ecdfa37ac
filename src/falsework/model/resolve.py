"""Which things does a reference mean?"""

from __future__ import annotations

import dataclasses
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from typing import Any

from falsework.errors import LimitError, nearest
from falsework.model import names
from falsework.model.declare import Record, Say, declared
from falsework.model.forms import Bound, Keyed, Listed, Names, Refs
from falsework.model.parts import KINDS, Cable, Card, Controller, Strip, Supply, Thing, ThingId
from falsework.where import Where

WORDS = frozenset(
    {*KINDS, *(each.IS for each in (Supply, Card, Controller, Cable)), "service", "copy", "store", "pool"}
)
"""Words that stand for every thing of their kind, where a reference may be a word."""


class Resolver:
    """Finds things by reference: a name, a counted name, a pattern, or a word for all of a kind.

    Args:
        things: every thing of the lab by id, in lab order.
        rank: the position of each id in lab order.
    """

    def __init__(self, things: Mapping[ThingId, Thing]) -> None:
        self.things = things
        self._sorted = sorted(things)
        self._rank = {name: number for number, name in enumerate(things)}
        self._words: dict[str, tuple[str, ...]] = {}
        self._found: dict[tuple[str, tuple[str, ...]], tuple[str, ...]] = {}

    def word(self, word: str) -> tuple[str, ...]:
        """The ids of every thing of a kind."""
        if word not in self._words:
            self._words[word] = tuple(name for name, thing in self.things.items() if word == thing.IS)
        return self._words[word]

    def match(self, reference: str, of: tuple[str, ...]) -> tuple[str, ...]:
        """The ids that one reference means, in lab order; empty if none.

        Raises:
            ValueError, LimitError: a range in it makes no sense.
        """
        known = self._found.get((reference, of))
        if known is None:
            known = self._found[reference, of] = self._match(reference, of)
        return known

    def _match(self, reference: str, of: tuple[str, ...]) -> tuple[str, ...]:
        thing = self.things.get(ThingId(reference))
        if thing is not None:
            return (reference,) if not of or thing.IS in of else ()
        found: list[str] = []
        for name, _ in names.spread(reference) if ".." in reference else ((reference, ()),):
            if "*" not in name:
                hits: Iterable[str] = (name,) if ThingId(name) in self.things else ()
            else:
                hits = self._glob(name)
            found.extend(hit for hit in hits if not of or self.things[ThingId(hit)].IS in of)
        return tuple(dict.fromkeys(found))

    def _glob(self, reference: str) -> list[str]:
        prefix = reference.partition("*")[0]
        match = names.pattern(reference).fullmatch
        start = bisect_left(self._sorted, prefix)
        hits = []
        for position in range(start, len(self._sorted)):
            name = self._sorted[position]
            if not name.startswith(prefix):
                break
            if match(name):
                hits.append(name)
        return sorted(hits, key=self._rank.__getitem__)

    def suggestion(self, reference: str, of: tuple[str, ...]) -> str:
        """How to mend a reference that means nothing."""
        thing = self.things.get(ThingId(reference))
        if thing is not None:
            return f"it is a {thing.IS}, and a {' or '.join(of)} is wanted here"
        known = [str(name) for name, each in self.things.items() if not of or each.IS in of]
        near = nearest(reference, known)
        if near:
            return f"did you mean {near!r}?"
        return (
            "known: " + ", ".join(known[:8]) + (", ..." if len(known) > 8 else "")
            if known
            else f"the lab has no {' or '.join(of)} yet; add one"
        )


def bind(record: Any, resolver: Resolver, say: Say, counters: tuple[str, ...] = ()) -> Any:
    """`record` with every reference replaced by the ids it means; faults noted.

    Args:
        record: a record as read, holding `Refs`.
        resolver: knows every thing.
        say: the list of faults.
        counters: the counters of the entry, for `#`.
    """
    changed: dict[str, Any] = {}
    for each in declared(type(record)).values():
        value = getattr(record, each.attribute)
        if value is None or value == ():
            continue
        made = _bind_value(value, each.form, resolver, say.under(each.name), counters)
        if made is not value:
            changed[each.attribute] = made
    return dataclasses.replace(record, **changed) if changed else record


def _bind_value(value: Any, form: Any, resolver: Resolver, say: Say, counters: tuple[str, ...]) -> Any:
    if isinstance(value, Refs) and isinstance(form, Names):
        return bind_refs(value, form, resolver, say, counters)
    if isinstance(value, Record):
        return bind(value, resolver, say, counters)
    if isinstance(form, Listed) and value and isinstance(value[0], Record | Refs):
        return tuple(_bind_value(item, form.each, resolver, say, counters) for item in value)
    if isinstance(form, Keyed):
        made = {name: _bind_value(item, form.each, resolver, say, counters) for name, item in value.items()}
        return made if any(made[name] is not value[name] for name in made) else value
    return value


def bind_refs(refs: Refs, form: Names, resolver: Resolver, say: Say, counters: tuple[str, ...]) -> Bound:
    """The ids that references mean; a reference to nothing is noted and left out."""
    found: list[str] = []
    for text, where in refs.patterns:
        reference = names.counted(text, counters)
        try:
            hits = resolver.match(reference, form.of)
        except (ValueError, LimitError) as error:
            say.fault(where, str(error), "write a range as in desk-1..4")
            continue
        if not hits and form.outlet:
            hits = _outlet(reference, form, resolver, say, where)
        if not hits and not form.of and reference in WORDS:
            hits = resolver.word(reference)
        if not hits:
            kind = " or ".join(form.of) if form.of else "thing"
            say.fault(where, f"no {kind} is called {reference!r}", resolver.suggestion(reference, form.of))
        elif form.one and len(hits) > 1:
            say.fault(
                where, f"{reference!r} means {len(hits)} things", f"name one of them: {', '.join(hits[:4])}"
            )
        found.extend(hits)
    return Bound(tuple(found), refs.patterns[0][1])


def _outlet(reference: str, form: Names, resolver: Resolver, say: Say, where: Where) -> tuple[str, ...]:
    """`A.3`: outlet 3 of A."""
    holder, _, number = reference.rpartition(".")
    hits = resolver.match(holder, form.of) if holder and number.isdigit() else ()
    for hit in hits:
        thing = resolver.things[ThingId(hit)]
        if isinstance(thing, Strip) and thing.outlets and int(number) > thing.outlets:
            say.fault(
                where,
                f"{hit} has {thing.outlets} outlets, not {number}",
                f"use an outlet from 1 to {thing.outlets}",
            )
    return hits
