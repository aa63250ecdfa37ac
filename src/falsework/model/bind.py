"""How are the references in a record replaced by the ids of what they mean?"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Any, TypeVar

from falsework.errors import listed
from falsework.model import names
from falsework.model.declare import Declared, Form, Record, Say, declared
from falsework.model.forms import Bound, Keyed, Listed, Names, Refs
from falsework.model.parts import Strip, ThingId
from falsework.model.resolve import WORDS, Excused, NoSuch, Resolver
from falsework.where import Where

R = TypeVar("R", bound=Record)


def bind(record: R, resolver: Resolver, say: Say, counters: tuple[str, ...] = ()) -> R:
    """`record` with every reference replaced by the ids it means; faults noted.

    Args:
        record: a record as read, holding `Refs`.
        resolver: knows every thing.
        say: the list of faults.
        counters: the counters of the entry, for `#`.
    """
    changed = bound_values(record, declared(type(record)).values(), resolver, say, counters)
    return dataclasses.replace(record, **changed) if changed else record


def bound_values(
    record: Record,
    keys: Iterable[Declared],
    resolver: Resolver,
    say: Say,
    counters: tuple[str, ...] = (),
) -> dict[str, Any]:
    """The values of some keys that hold references, bound, by attribute.

    Args:
        record: a record as read.
        keys: the keys to look at.
        resolver: knows every thing.
        say: the list of faults.
        counters: the counters of the entry, for `#`.
    """
    changed: dict[str, Any] = {}
    for each in keys:
        value = getattr(record, each.attribute)
        if value is None or value == ():
            continue
        made = _bound(value, each.form, resolver, say.under(each.name), counters)
        if made is not value:
            changed[each.attribute] = made
    return changed


def _bound(value: object, form: Form[Any], resolver: Resolver, say: Say, counters: tuple[str, ...]) -> object:
    if isinstance(value, Refs) and isinstance(form, Names):
        return bind_refs(value, form, resolver, say, counters)
    if isinstance(value, Record):
        return bind(value, resolver, say, counters)
    if isinstance(form, Listed) and isinstance(value, tuple) and isinstance(value[0], Record | Refs):
        return tuple(
            _bound(item, form.each, resolver, say.under(f"[{number}]"), counters)
            for number, item in enumerate(value)
        )
    if isinstance(form, Keyed) and isinstance(value, dict):
        made = {
            name: _bound(item, form.each, resolver, say.under(name), counters) for name, item in value.items()
        }
        return made if any(made[name] is not value[name] for name in made) else value
    return value


def bind_refs(refs: Refs, form: Names, resolver: Resolver, say: Say, counters: tuple[str, ...]) -> Bound:
    """The ids that references mean; a reference to nothing is noted and left out."""
    each: list[tuple[str, ...]] = []
    outlets: list[int | None] = []
    for text, where in refs.patterns:
        try:
            hits, outlet = _meant(names.counted(text, counters), form, resolver, say, where)
        except ValueError as error:
            say.fault(where, str(error), "count the entry's name, as in desk-1..4, or name one thing")
        except Excused:
            say.excuse()
        except NoSuch as error:
            say.fault(where, error.what, error.mend)
        else:
            if form.one and len(hits) > 1:
                say.fault(where, f"{text!r} means {len(hits)} things", f"name one: {listed(hits, 4)}")
            each.append(hits)
            if form.outlet:
                outlets.extend([outlet] * len(hits))
    # One pattern's ids are shared by all that say it: a thousand stores may name all drives.
    found = each[0] if len(each) == 1 else tuple(chain.from_iterable(each))
    texts = [text for text, _ in refs.patterns]
    # Of several words some may stand for nothing; if all do, there is nothing to ask about.
    if not found and not form.of and all(text in WORDS for text in texts):
        what = f"the lab has no {', '.join(texts)}"
        say.fault(refs.patterns[0][1], what, "leave it out, or add one")
    if len(refs.patterns) > 1:
        resolver.spend(len(found))
    told = any(outlet is not None for outlet in outlets)
    return Bound(found, refs.patterns[0][1], tuple(outlets) if told else ())


def _meant(
    reference: str, form: Names, resolver: Resolver, say: Say, where: Where
) -> tuple[tuple[str, ...], int | None]:
    """The ids that one reference means, and the outlet that it names of each."""
    if not form.of and reference in WORDS and ThingId(reference) not in resolver.things:
        return resolver.word(reference), None
    hits = resolver.find(reference, form.of)
    holder, _, digits = reference.rpartition(".")
    if hits or not (form.outlet and holder and digits.isdecimal() and len(digits) < 6):
        return hits or resolver.match(reference, form.of), None
    hits, number = resolver.find(holder, form.of) or resolver.match(holder, form.of), int(digits)
    for hit in hits:
        thing = resolver.things[ThingId(hit)]
        if isinstance(thing, Strip) and thing.outlets and not 1 <= number <= thing.outlets:
            say.fault(
                where,
                f"{hit} has {thing.outlets} outlets, not {number}",
                f"use one from 1 to {thing.outlets}",
            )
    return hits, number


def references(value: object) -> Iterator[str]:
    """Every reference in a value of a record, or in what it holds, as written."""
    if isinstance(value, Refs):
        yield from (text for text, _ in value.patterns)
    elif isinstance(value, Record):
        for each in declared(type(value)).values():
            yield from references(getattr(value, each.attribute))
    elif isinstance(value, tuple):
        for item in value:
            yield from references(item)
    elif isinstance(value, dict):
        for item in value.values():
            yield from references(item)
