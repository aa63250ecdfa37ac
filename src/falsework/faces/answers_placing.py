"""What may stand in an answer on placing, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.head import head_schema
from falsework.faces.shapes import (
    Schema,
    amount,
    count,
    flag,
    list_,
    names,
    object_,
    or_null,
    ref,
    text,
)

PLACING = ("placing",)
"""The answers that are told of here."""


def placing_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "placing": object_(
            **head_schema("place", "1 where no placement was found that meets all the aims"),
            possible=flag("whether all copies can be placed by the rules that must hold"),
            copies=list_(
                object_(copy=text("its id"), host=text("where it should run")), "every copy with a choice"
            ),
            levels=list_(
                object_(
                    name=text("what is counted"),
                    today=or_null(count("as the copies lie today")),
                    placed=count("as they would lie"),
                    bound=count(
                        "no placement is under that and as good at the levels before; as `placed` if proven"
                    ),
                ),
                "what a placement is judged by, the weightiest first",
            ),
            moves=list_(
                object_(
                    **{
                        "copy": text("its id"),
                        "service": text("of which it is one"),
                        "from": or_null(text("where it is today; null where that was assumed")),
                        "to": or_null(text("where it goes; null where it is stopped for a while")),
                        "was": or_null(text("the host on which the lab file says it runs, if that is out")),
                        "last": flag("whether it is then where it should be"),
                        "bytes": amount("what is copied: its memory, and its disk where it lies on the host"),
                        "seconds": amount("how long that takes at the least"),
                        "breaks": names("rules that are kept at both ends, and not after it"),
                        "worse": count("losses by which the aims are further off than at both ends"),
                    }
                ),
                "in their order, first starts included",
            ),
            hosts=list_(
                object_(
                    host=text("its id"),
                    copies=names("those it would have"),
                    before=names("those it has today, assumed places included"),
                    used=_by_resource("what these copies take"),
                    has=_by_resource("what it has for them"),
                ),
                "every host that copies may be on",
            ),
            aims=list_(
                object_(
                    name=text("as in the lab file"),
                    before=or_null(flag("whether it is met today")),
                    after=or_null(flag("whether it would be met")),
                    says=text("one sentence on the latter"),
                ),
                "all of them, in their order",
            ),
            why_not=list_(
                object_(says=text("a rule, or what takes too much"), where=or_null(ref("place"))),
                "what contradicts itself, where no placement meets all the aims",
            ),
            smallest=flag("whether leaving out any one of these was shown to help"),
            would_do=names("the lightest changes after which there would be one, at most three"),
            all_tried=flag("whether nothing lighter that was looked at would do"),
            worst=or_null(
                object_(
                    says=text("the loss"),
                    hosts=names("those that are gone"),
                    restarts=list_(
                        object_(copy=text("its id"), host=text("where it restarts")), "copies that find room"
                    ),
                    homeless=names("copies that find none"),
                    left_out=names("copies that are left out to make room"),
                )
            ),
            judged=count("how many placements were judged by the verdicts"),
            difference=or_null(text("what changes in the lab file, as a unified diff")),
            by_hand=list_(
                object_(service=text("its id"), says=text("why")),
                "services that can't be changed in the file",
            ),
        )
    }


def _by_resource(says: str) -> Schema:
    return {
        "type": "object",
        "additionalProperties": {"type": "number", "minimum": 0},
        "description": f"{says}: cores, memory and disk in byte, watts, ports, accelerators",
    }
