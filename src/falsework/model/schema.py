"""What may a lab file say, as JSON Schema (draft 2020-12), so that an editor can complete and check it?

The schema is made from the same declarations as the reader, and says a little less: what a reference
means, and whether a lab makes sense, only the reader knows.
"""

from __future__ import annotations

from typing import Any

from falsework import units
from falsework.model import names
from falsework.model.declare import Record, declared, definition, reachable, record_schema
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
    WIRE,
    Section,
)
from falsework.model.simple import quantity
from falsework.units import Dimension

Schema = dict[str, Any]


def schema() -> Schema:
    """The schema of a whole lab file; a file that is one of a folder may lack what it requires."""
    sections: dict[str, Schema] = {
        name: {"description": meaning, **form.schema()} for name, (form, meaning) in PLAIN.items()
    }
    for section in SECTIONS:
        sections[section.name] = _section(section)
    for name, body in {
        "kinds": _keyed(_kind()),
        "wire": _wire(),
        "addresses": ADDRESSES.schema(),
        "spares": SPARES.schema(),
        "today": _whole(Today),
        "order": {"anyOf": [_whole(Step), {"type": "array", "items": _whole(Step)}]},
        "aims": _keyed(_whole(Aim)),
    }.items():
        sections[name] = {"description": OTHER[name], "anyOf": [{"type": "null"}, body]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A lab",
        "type": "object",
        "properties": {name: sections[name] for name in ORDER},
        "required": ["lab"],
        "additionalProperties": False,
        "$defs": {
            **{definition(record): _definition(record) for record in reachable((*RECORDS, *_PIECES))},
            **{
                quantity(dimension, ranges=ranges): _quantity(dimension, ranges=ranges)
                for dimension in Dimension
                for ranges in (False, True)
            },
            quantity(Dimension.TIME, three=True): _quantity(Dimension.TIME, three=True),
        },
    }


_PIECES = (*CABLES.records(), *SPARES.records())


def _quantity(dimension: Dimension, *, ranges: bool = False, three: bool = False) -> Schema:
    return {
        # A plain number has no unit, and editors read it as what it is.
        "type": ["string", "number"] if dimension is Dimension.NUMBER else "string",
        "pattern": units.pattern(dimension, ranges=ranges or three, three=three),
        "examples": [units.example(dimension)],
    }


def _definition(record: type[Record]) -> Schema:
    if record not in KINDS_HOLD:
        return record_schema(record)
    word = definition(record)
    also = {
        "kind": {"description": "one of your kinds, whose keys it takes over", "type": "string"},
        "is": {"description": "what it is", "const": word},
    }
    return record_schema(record, also=also)


def _whole(record: type[Record]) -> Schema:
    return {"$ref": f"#/$defs/{definition(record)}"}


def _keyed(each: Schema) -> Schema:
    """A mapping from names, counted ones too."""
    return {
        "type": "object",
        "propertyNames": {"pattern": names.NAME_PATTERN},
        "additionalProperties": each,
    }


def _kind() -> Schema:
    """A kind, which must say what it is or of which kind."""
    return {
        "allOf": [
            {"anyOf": [_whole(record) for record in KINDS_HOLD]},
            {"anyOf": [{"required": ["is"]}, {"required": ["kind"]}]},
        ]
    }


def _section(section: Section) -> Schema:
    whole: Schema = {"anyOf": [_whole(record) for record in section.holds]}
    if len(section.holds) > 1:
        whole = {"allOf": [whole, {"anyOf": [{"required": ["is"]}, {"required": ["kind"]}]}]}
    one = section.holds[0]
    short = (
        declared(one)[section.short].form.schema() if section.short in declared(one) else {"type": "string"}
    )
    may_be_empty = len(section.holds) == 1 and not any(key.needed for key in declared(one).values())
    empty = [{"type": "null"}] if may_be_empty else []
    entry = {"anyOf": [*empty, short, whole]}
    return {"description": section.meaning, "anyOf": [{"type": "null"}, _keyed(entry)]}


def _wire() -> Schema:
    shapes = {
        "cables": CABLES.schema(),
        "networks": _section(NETWORKS),
        "ranges": RANGES.schema(),
        "domain": DOMAIN.schema(),
    }
    return {
        "type": "object",
        "properties": {name: {"description": says, **shapes[name]} for name, says in WIRE.items()},
        "additionalProperties": False,
    }
