"""What may stand in an answer, as JSON Schema (draft 2020-12), for programs that read it?"""

from __future__ import annotations

from typing import Any

from falsework.faces.errors import FORMAT

Schema = dict[str, Any]
_VERDICTS = ("stands", "thin", "blinks", "falls", "lost")


def answers_schema() -> Schema:
    """The schema of every answer that `--json` gives: one shape a command, and one for errors."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "An answer",
        "description": "What `falsework check`, `why` and `lose` print with --json.",
        "oneOf": [_ref("check"), _ref("lose"), _ref("why"), _ref("why lost"), _ref("errors")],
        "$defs": {
            "check": _answer(
                "check",
                aims=_list(_ref("aim"), "every aim of the lab file, in its order"),
                findings=_list(_ref("finding"), "worst first"),
                services=_list(_ref("margin of a service"), "every service and alarm, in lab order"),
                assumed=_list(_ref("assumed"), "the figures that the lab file does not give"),
            ),
            "lose": _answer(
                "lose",
                lost=_names("the parts; a store is told as its drives"),
                worst=_verdict(),
                services=_list(_ref("effect with reasons"), "every service and alarm, in lab order"),
                margin=_list(
                    _object(
                        service=_text("its name"),
                        single_points=_names("parts that would bring it down now, and would not have before"),
                    ),
                    "services that have such parts",
                ),
            ),
            "why": _answer(
                "why",
                **_thing(),
                stands=_flag("whether it stands, or comes back by itself, with nothing more lost"),
                leans=_list(_ref("lean"), "its own, then those of its copies and supplies"),
                margin=_object(
                    least={
                        "description": "the fewest parts whose loss makes it fall; null for more than two",
                        "enum": [0, 1, 2, None],
                    },
                    single_points=_names("other parts that bring it down alone"),
                    n_pairs=_count("pairs of parts that bring it down only together"),
                    pairs=_list(_names("two parts"), "some of them, one for each sort of pair"),
                ),
            ),
            "why lost": _answer(
                "why",
                **_thing(),
                lost=_names("the parts; a store is told as its drives"),
                effect=_ref("effect"),
                chain=_list(
                    _ref("reason"), "from the thing to the lost part; empty where it is not interrupted"
                ),
            ),
            "errors": _object(
                format={"const": FORMAT},
                command=_text("which command"),
                status={"const": 2},
                errors=_list(_ref("error"), "in the order of their places"),
                more_errors=_count("errors that were counted but are not listed"),
            ),
            "aim": _object(
                name=_text("as in the lab file"),
                met={"description": "null where it can't be judged", "enum": [True, False, None]},
                says=_text("one sentence without its full stop"),
                why=_texts("the chain for the loss that breaks it"),
                lost=_names("the parts whose loss breaks it; empty where no loss does"),
                effect=_or_null(_ref("effect")),
                tried=_count("losses that were looked at"),
                where=_ref("place"),
            ),
            "finding": _object(
                code=_text("what kind of finding"),
                level={
                    "description": "broken where an aim is not met or a thing does not stand",
                    "enum": ["broken", "remark"],
                },
                says=_text("one sentence without its full stop"),
                why=_texts("the chain"),
                mend=_text("what to do about it; may be empty"),
                caution=_text("what to mind where hands or data can be hurt; may be empty"),
                things=_names("what it is about"),
                services=_names("whom it hurts"),
                where=_or_null(_ref("place")),
            ),
            "margin of a service": _object(
                id=_text("its name"),
                single_points=_names("parts that bring it down alone"),
                pairs=_count("pairs of parts that bring it down only together"),
            ),
            "effect": _object(**_effect()),
            "effect with reasons": _object(
                **_effect(),
                already=_flag("whether it is down before this loss"),
                why=_list(_ref("reason"), "the chain; empty where it is not interrupted"),
            ),
            "reason": _object(thing=_text("its name"), says=_text("a clause"), where=_or_null(_ref("place"))),
            "lean": _object(
                role=_text("why it leans"),
                says=_text("the same in words"),
                on=_names("on what"),
                enough={"type": "integer", "minimum": 0, "description": "how many of them must stand"},
                phases={"type": "array", "items": {"enum": ["to run", "to start"]}},
                hold_s=_or_null(
                    {
                        "type": "number",
                        "minimum": 0,
                        "description": "how long it can do without; null: for ever",
                    }
                ),
                where=_or_null(_ref("place")),
            ),
            "assumed": _object(
                key=_text("the key of the lab file that replaces it"),
                value=_text("with its unit"),
                source=_text("who says so"),
                things=_names("for which things"),
            ),
            "error": _object(
                what=_text("what is wrong"),
                mend=_text("how to mend it; may be empty"),
                path=_text("the way through the keys of the file; may be empty"),
                where=_or_null(_ref("place")),
            ),
            "place": _object(
                file=_text("as it was named"),
                line={"type": "integer", "minimum": 1},
                column={"type": "integer", "minimum": 1, "description": "in characters"},
            ),
        },
    }


def _answer(command: str, **keys: Schema) -> Schema:
    return _object(
        format={"const": FORMAT},
        command={"const": command},
        lab=_text("the name of the lab"),
        status={"description": "the exit status: 0 nothing broken, 1 something is", "enum": [0, 1]},
        out=_names("parts that are out beforehand"),
        **keys,
    )


def _thing() -> dict[str, Schema]:
    return {
        "thing": _text("its name"),
        "is": _text("what it is: node, service, strip, ..."),
        "where": _or_null(_ref("place")),
    }


def _effect() -> dict[str, Schema]:
    return {
        "id": _text("its name"),
        "verdict": _verdict(),
        "says": _text("the verdict in words, with its time"),
        "falls_s": _or_null(
            {"type": "number", "minimum": 0, "description": "seconds from the loss until it is interrupted"}
        ),
        "back_s": _or_null(
            {"type": "number", "minimum": 0, "description": "seconds from the loss until it serves again"}
        ),
    }


def _object(**keys: Schema) -> Schema:
    return {"type": "object", "properties": keys, "required": list(keys)}


def _list(each: Schema, says: str) -> Schema:
    return {"type": "array", "items": each, "description": says}


def _names(says: str) -> Schema:
    return _list({"type": "string"}, says)


def _texts(says: str) -> Schema:
    return _list({"type": "string"}, says)


def _text(says: str) -> Schema:
    return {"type": "string", "description": says}


def _flag(says: str) -> Schema:
    return {"type": "boolean", "description": says}


def _count(says: str) -> Schema:
    return {"type": "integer", "minimum": 0, "description": says}


def _verdict() -> Schema:
    return {"enum": list(_VERDICTS), "description": "from best to worst"}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name.replace(' ', '%20')}"}


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [{"type": "null"}, schema]}
