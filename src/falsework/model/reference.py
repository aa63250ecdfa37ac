"""What may a lab file say, as a page for people?

The page is made from the same declarations as the reader; `scripts/reference` writes it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from falsework import units
from falsework.model.assume import told
from falsework.model.declare import Declared, Form, Record, declared, definition, reachable
from falsework.model.defaults import DEFAULTS
from falsework.model.forms import Listed
from falsework.model.parts import Cable, Card, Controller, Drive, Link, Part, Powered, Supply, Thing
from falsework.model.people import Aim, Step, Today
from falsework.model.sections import (
    ADDRESSES,
    CABLES,
    DOMAIN,
    KINDS_HOLD,
    NETWORKS,
    ORDER,
    OTHER,
    PLAIN,
    RANGES,
    RECORDS,
    SECTIONS,
    SPARES,
    Section,
)
from falsework.units import Dimension

_HEAD = """\
# The lab file, key by key

This page is made from the program by `scripts/reference`; do not edit it.
[The language](../language.md) tells the same as a story; begin there.

A lab file is YAML.
Every quantity carries its unit; a range is written `2..5 %/year`, the unit once.
Where a key wants names, a counted name such as `desk-1..3` and a pattern such as `desk-*` do too.
What the owner does not say is assumed, and every assumed figure is listed with its source.
"""

_BASES: Sequence[tuple[type[Record], str]] = (
    (Thing, "every thing"),
    (Part, "every part"),
    (Powered, "everything that takes power"),
)
_IMPLIED: Sequence[type[Thing]] = (Supply, Card, Controller, Cable)
_BY_SECTION = {"wire": (), "spares": SPARES.records(), "today": (Today,), "order": (Step,), "aims": (Aim,)}


def reference() -> str:
    """The whole page, in Markdown."""
    return "\n".join([_HEAD, *_sections(), *_shared(), *_pieces(), *_implied(), *_units()])


def _sections() -> Iterator[str]:
    things = {section.name: section for section in SECTIONS}
    for name in ORDER:
        yield f"## {name}\n"
        if name in PLAIN:
            yield f"{_sentence(PLAIN[name][1])}\n"
        elif name in things:
            yield from _section(things[name])
        else:
            yield f"{_sentence(OTHER[name])}\n"
            if name == "addresses":
                yield f"{_sentence(ADDRESSES.says)}\n"
            if name == "kinds":
                words = ", ".join(_link(record) for record in KINDS_HOLD)
                yield "A kind says `is`, or the `kind` that it is a kind of, and any keys of what it is.\n"
                yield f"`is` may be: {words}.\n"
            if name == "wire":
                yield f"`cables` is a list of {_link(Link)}: two ends each, such as desk-*.a -- sw-1.\n"
                yield f"`networks` says {NETWORKS.meaning}.\n"
                yield f"`ranges` are the owner's own, from which subnets are cut: {RANGES.says}.\n"
                yield f"`domain` is what names end in: {DOMAIN.says}.\n"
                yield from _section(NETWORKS)
            for record in _BY_SECTION.get(name, ()):
                yield from _record(record)


def _section(section: Section) -> Iterator[str]:
    if section is not NETWORKS:
        yield f"{_sentence(section.meaning)}\n"
    yield f"Names with what they name; a plain text stands for `{section.short}`.\n"
    if len(section.holds) > 1:
        yield f"Each says its `kind`, or what it `is`: {', '.join(each.IS for each in section.holds)}.\n"
    for record in section.holds:
        yield from _record(record)


def _shared() -> Iterator[str]:
    yield "## Keys that many share\n"
    for base, who in _BASES:
        yield f"### {who}\n"
        yield from _table(base, _own(base))


def _pieces() -> Iterator[str]:
    """What stands inside of things."""
    told_above = {*RECORDS, *(each for records in _BY_SECTION.values() for each in records)}
    yield "## Smaller pieces\n"
    for record in reachable((*RECORDS, *CABLES.records())):
        if record not in told_above or record is Drive:  # no section holds drives
            yield from _record(record)


def _implied() -> Iterator[str]:
    yield "## Parts that nobody writes down\n"
    yield "They are there because other things are; each fails by itself.\n"
    for record in _IMPLIED:
        yield f"### {definition(record)}\n"
        yield f"{_first(record)}\n"
        yield from _assumed(record)


def _units() -> Iterator[str]:
    yield "## Units\n"
    yield "| quantity | units |\n| --- | --- |"
    for dimension in Dimension:
        if dimension is not Dimension.NUMBER:
            yield f"| {dimension.value} | {', '.join(units.units_of(dimension))} |"
    yield ""


def _record(record: type[Record]) -> Iterator[str]:
    yield f"### {definition(record)}\n"
    yield f"{_first(record)}\n"
    own = _own(record)
    if own:
        yield from _table(record, own)
    shared = [f"[{who}](#{_anchor(who)})" for base, who in _BASES if issubclass(record, base)]
    if shared:
        yield f"Also the keys of {' and of '.join(shared)}.\n"
    yield from _assumed(record)


def _table(record: type[Record], keys: Sequence[Declared]) -> Iterator[str]:
    yield "| key | written as | meaning | unit | if not said |\n| --- | --- | --- | --- | --- |"
    defaults = {each.key: each for each in DEFAULTS.get(getattr(record, "IS", ""), ())}
    for key in keys:
        if key.needed:
            otherwise = "needed"
        elif key.name in defaults:
            otherwise = f"{told(defaults[key.name].value, key)} ({defaults[key.name].source})"
        else:
            otherwise = _default(key.default)
        row = (f"`{key.name}`", _written(key.form), key.meaning, _unit(key.form), otherwise)
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"
    yield ""


def _assumed(record: type[Record]) -> Iterator[str]:
    """The assumed figures for keys that the record shares with others."""
    keys = declared(record)
    own = {key.name for key in _own(record)}
    shared = [
        each
        for each in DEFAULTS.get(getattr(record, "IS", ""), ())
        if each.key in keys and (record in _IMPLIED or each.key not in own)
    ]
    if shared:
        yield "| assumed if not said | | source |\n| --- | --- | --- |"
        for each in shared:
            yield f"| `{each.key}` | {told(each.value, keys[each.key])} | {each.source} |"
        yield ""


def _own(record: type[Record]) -> list[Declared]:
    """The keys that a record does not share through one of the bases."""
    inherited = {
        each.name
        for base, _ in _BASES
        if base is not record and issubclass(record, base)
        for each in dataclasses.fields(base)
    }
    return [key for key in declared(record).values() if key.attribute not in inherited]


def _written(form: Form[object]) -> str:
    inner = ", ".join(_link(record) for record in form.records())
    says = form.says.removeprefix("it as in ")
    return f"{says}; {inner}" if inner else says


def _unit(form: Form[object]) -> str:
    each = form.each if isinstance(form, Listed) else form
    dimension = getattr(each, "dimension", None)
    if not isinstance(dimension, Dimension):
        return ""
    known = units.units_of(dimension)
    return ", ".join(known[:4]) + (", ..." if len(known) > 4 else "")


def _default(value: object) -> str:
    if value is True or value is False:
        return "yes" if value else "no"
    return "" if value in (None, "", ()) else str(value)


def _link(record: type[Record]) -> str:
    return f"[{definition(record)}](#{_anchor(definition(record))})"


def _anchor(heading: str) -> str:
    return heading.lower().replace(" ", "-")


def _first(record: type[Record]) -> str:
    return (record.__doc__ or "").strip().partition("\n\n")[0].replace("\n    ", " ")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."
