"""Does an answer in JSON fit its schema? The schema is looked over once, not for every answer: that takes most of a second."""

from functools import cache
from typing import Any

from jsonschema import Draft202012Validator

from falsework.faces.answers import answers_schema


def fits(answer: object, name: str = "") -> None:
    """Hold an answer against the whole schema, and against the one of that name where one is given.

    Raises:
        jsonschema.ValidationError: it does not fit.
    """
    _whole().validate(answer)
    if name:
        _one(name).validate(answer)


@cache
def _whole() -> Any:
    schema = answers_schema()
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@cache
def _one(name: str) -> Any:
    return Draft202012Validator({"$defs": answers_schema()["$defs"], "$ref": f"#/$defs/{name}"})
