"""Which shapes are the schemas of answers made of?"""

from __future__ import annotations

from typing import Any

Schema = dict[str, Any]
VERDICTS = ("stands", "thin", "blinks", "falls", "lost")
"""From best to worst."""


def object_(**keys: Schema) -> Schema:
    """An object that has these keys, all of them."""
    return {"type": "object", "properties": keys, "required": list(keys)}


def list_(each: Schema, says: str) -> Schema:
    """A list of such."""
    return {"type": "array", "items": each, "description": says}


def names(says: str) -> Schema:
    """A list of names."""
    return list_({"type": "string"}, says)


def texts(says: str) -> Schema:
    """A list of sentences or clauses."""
    return list_({"type": "string"}, says)


def text(says: str) -> Schema:
    """A text."""
    return {"type": "string", "description": says}


def flag(says: str) -> Schema:
    """True or false."""
    return {"type": "boolean", "description": says}


def count(says: str) -> Schema:
    """A whole number from 0 up."""
    return {"type": "integer", "minimum": 0, "description": says}


def verdict() -> Schema:
    """A verdict."""
    return {"enum": list(VERDICTS), "description": "from best to worst"}


def ref(name: str) -> Schema:
    """A shape defined beside."""
    return {"$ref": f"#/$defs/{name.replace(' ', '%20')}"}


def or_null(schema: Schema) -> Schema:
    """Such, or null."""
    return {"anyOf": [{"type": "null"}, schema]}


def amount(says: str) -> Schema:
    """A number from 0 up."""
    return {"type": "number", "minimum": 0, "description": says}


def maybe(says: str) -> Schema:
    """A number from 0 up, or null."""
    return or_null(amount(says))
