"""What may stand in an answer on rebuilding, as JSON Schema (draft 2020-12), for programs that read it?"""

from __future__ import annotations

from falsework.analyses.rebuild.result import Task, Way
from falsework.faces.head import head_schema
from falsework.faces.shapes import (
    Schema,
    amount,
    count,
    flag,
    list_,
    maybe,
    names,
    object_,
    or_null,
    ref,
    text,
    texts,
)

REBUILDING = ("rebuild", "rebuild after a loss")
"""The answers that are told of here."""
_STATUS = "1 where data with an objective exist only here"


def rebuild_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "rebuild": object_(
            **head_schema("rebuild", _STATUS),
            losses=list_(
                ref("destruction"), "every thing alone, one for each that does the same; worst first"
            ),
            teardown=object_(
                remains=names("what is left: outside things, rooms, people"),
                saves=list_(ref("save"), "the shortest list of what to save before, in the order to save it"),
                size_bytes=amount("of all of them"),
                takes_s=amount("copying all of them one after the other"),
                proven=flag("whether no shorter list does"),
                unsaved=ref("destruction"),
                saved=ref("destruction"),
                gone=names("what can't be got back even so"),
            ),
        ),
        "rebuild after a loss": object_(**head_schema("rebuild", _STATUS), loss=ref("destruction")),
        "destruction": object_(
            lost=names("what was destroyed; empty for the whole lab"),
            alike=names("other things whose loss alone does just the same"),
            destroyed=names("all that is destroyed, what is in it included"),
            fallen=names("services that fall with it and stand again later"),
            way=_way("the worst of the fates"),
            fates=list_(ref("fate"), "worst first"),
            works=list_(ref("piece of work"), "in an order in which it can be done"),
            back=or_null(ref("guess")),
            hands_s=amount("somebody's work in all"),
            objectives=list_(
                object_(
                    data=text("its name"),
                    met=flag("whether both hold"),
                    may_lose_s=maybe("the most work that may be lost; null where not said"),
                    loses_s=maybe("what is lost at most; null for all of it, or where nobody says"),
                    back_within_s=maybe("how soon it must be back; null where not said"),
                    back_s=maybe("when it is back; null for never"),
                    where=or_null(ref("place")),
                ),
                "of the data that are touched",
            ),
            stand_ins=names("accepted stand-ins that it takes"),
            assumed=texts("what was assumed"),
        ),
        "fate": object_(
            **{"is": text("what it is: node, service, data, key, ...")},
            id=text("its name"),
            way=_way("how it comes back"),
            source=or_null(
                object_(
                    to=names("where the backup lies"),
                    every_s=maybe("how often it is made; null where not said"),
                    proved=or_null(text("the day a restore was last seen to work; null for never")),
                    outside=flag("whether it lies outside the lab"),
                    needs=names("what it can't be read without"),
                    where=or_null(ref("place")),
                )
            ),
            stand_ins=names("those that it can't come back without"),
            would_do=names("services for any one of which a stand-in would do it, where none accepted helps"),
            would_keep=names("data and keys of any one of which a copy kept out of the lab would do it"),
            mend=text("what would bring it back; empty where it comes back"),
            reasons=texts("why, as a chain"),
            circle=names("things that wait for each other, ending where it began"),
            size_bytes=maybe("of data; null else, or where not said"),
            loses_s=maybe("work lost at most; null for all of it, or where nobody says"),
            back_s=maybe("when it is back, from the loss; null for never"),
        ),
        "piece of work": object_(
            number=count("from 1"),
            task={"description": "what kind of work", "enum": [each.value for each in Task]},
            things=names("what it is about"),
            says=text("what is done"),
            after={
                "type": "array",
                "items": count("a piece of work"),
                "description": "numbers of those that must be done before",
            },
            takes=ref("guess"),
            hands_s=amount("how much of it is somebody's work"),
            waits_s=amount("how long a delivery takes; 0 where none is waited for"),
            begins_s=amount("from the loss, most likely"),
            ends_s=amount("from the loss, most likely"),
            moves_bytes=amount("what is copied"),
            slowest=text("what limits the copying"),
            by=names("who may do it; empty for anyone"),
            command=text("the owner's own, never run"),
            check=text("how to see that it worked"),
            back=text("how to go back"),
            cautions=texts("what can be hurt"),
            assumed=flag("whether its times were assumed"),
        ),
        "save": object_(
            **{"is": {"description": "what it is", "enum": ["data", "key"]}},
            id=text("its name"),
            size_bytes=amount("0 for a key"),
            to=text("the kind of place it must go to"),
            why=texts("why nothing else brings it back"),
            brings=names("what comes back because of it, itself included"),
            takes_s=amount("copying it"),
            slowest=text("what limits that"),
            assumed=flag("whether size or speed was assumed"),
            where=or_null(ref("place")),
        ),
    }


def _way(says: str) -> Schema:
    return {"description": f"{says}, from best to worst", "enum": [each.value for each in Way]}
