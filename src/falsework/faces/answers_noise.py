"""What may stand in an answer on noise, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.head import head_schema
from falsework.faces.shapes import Schema, flag, list_, maybe, names, object_, or_null, ref, text

NOISE = ("noise",)
"""The answers that are told of here."""

_DB: Schema = {"type": "number", "description": "dB(A); may be below 0"}


def noise_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "noise": object_(
            **head_schema("noise", "1 where somebody stays longer than a published limit allows"),
            above=flag("whether somebody stays longer than a published limit allows"),
            says=text("one sentence without its full stop"),
            rooms=list_(ref("noise of a room"), "every room, in lab order"),
            whole_day=list_(
                ref("limit on noise"),
                "of one who stays in all rooms where somebody is said to stay; empty where those are fewer than two",
            ),
            in_no_room=names("machines of which nobody says in which room they stand"),
            taken=list_(ref("taken figure"), "figures that were taken where the lab file gives none"),
            caution=text("what to mind"),
        ),
        "noise of a room": object_(
            room=text("its name"),
            level_db=_DB,
            own_db=_DB,
            machines_db={**_DB, "type": ["number", "null"], "description": "null where none is heard"},
            heard_from_m={"type": "number", "minimum": 0, "description": "how far from the machines, m"},
            absorbs_m2=maybe("area that swallows sound, m2; null where no echo is counted"),
            stayed_h={"type": "number", "minimum": 0, "description": "hours of a day"},
            stay_said=flag("whether the lab file says so; else nothing of it is held against the room"),
            heard=list_(
                object_(
                    machines=names("alike, in lab order"),
                    **{"is": text("what they are")},
                    at_one_metre_db=_DB,
                    said=flag("whether the lab file says that level"),
                    one_db=_DB,
                    all_db=_DB,
                    through={
                        "type": ["string", "null"],
                        "description": "the room next door that they stand in; null for this one",
                    },
                ),
                "who is heard in it, the loudest first",
            ),
            allowed=list_(ref("limit on noise"), "by each published limit"),
            above=flag("whether somebody stays longer than one of them allows"),
            moves=list_(
                object_(
                    machines=names("those that go"),
                    to={"type": ["string", "null"], "description": "the room they go to; null for away"},
                    here_db=_DB,
                    there_db={**_DB, "type": ["number", "null"]},
                    there_before_db={**_DB, "type": ["number", "null"]},
                ),
                "what taking machines out of it changes, what helps most first",
            ),
            says=text("one sentence without its full stop"),
            where=or_null(ref("place")),
        ),
        "limit on noise": object_(
            by=text("who publishes it"),
            hours=maybe("of a day that one may be there; null where it counts no such level, or for several"),
            level_db={
                **_DB,
                "type": ["number", "null"],
                "description": "that it allows for as long as somebody stays, dB(A); null for several stays",
            },
            dose={"type": "number", "minimum": 0, "description": "share of a day's dose; 1 is all of it"},
            above=flag("whether that is too much"),
        ),
    }
