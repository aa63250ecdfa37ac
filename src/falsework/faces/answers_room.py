"""What may stand in an answer on room, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

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

ROOM = ("room",)
"""The answers that are told of here."""


def room_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "room": object_(
            **head_schema("room", "1 where a copy finds no room, or a store holds less than lies on it"),
            fits=flag("whether all copies that may not be left out find room, and all data do"),
            says=text("one sentence without its full stop"),
            aimed=flag("whether the losses are those for which aims want room"),
            losses=list_(
                object_(
                    lost={
                        "type": ["string", "null"],
                        "description": "the part; null: nothing more than is out",
                    },
                    says=text("what finds no room; empty where all do"),
                    pools=list_(ref("pool after a loss"), "those that lose a host"),
                ),
                "each loss that was looked at",
            ),
            more=list_(
                object_(
                    pool=text("its name"),
                    of=text("the service, or the size that was asked for"),
                    least=count("so many more copies fit"),
                    most=or_null(count("more than so many do not; null where that was not found out")),
                    hosts=names("where the first `least` could run, a host each"),
                    where=or_null(ref("place")),
                ),
                "what could be added so that after every loss all still find room",
            ),
            counted=flag(
                "whether that was counted for the services on pools; in a large lab only on request"
            ),
            overfull=list_(ref("hole"), "hosts on which more runs than they have, with nothing lost"),
            stores=list_(ref("room of a store"), "in lab order"),
            unsized=names("services on a pool that do not say what a copy takes; they count for nothing"),
            caution=text("what to mind before data are moved; may be empty"),
        ),
        "pool after a loss": object_(
            pool=text("its name"),
            gone=names("its hosts that are gone, or see none of the wire"),
            restarts=list_(
                object_(copy=text("its id"), **{"from": text("a host"), "to": text("a host")}),
                "copies that run elsewhere then",
            ),
            left_out=names("copies that may be left out, and are"),
            homeless=list_(ref("copy without room"), "copies that may not be left out"),
            holes=list_(ref("hole"), "what is left then, most memory first"),
            sure=flag("whether the search came to its end; if not, a cleverer packing may house more"),
        ),
        "copy without room": object_(
            copy=text("its id"),
            service=text("of which it is one"),
            takes=ref("amounts"),
            largest=ref("amounts"),
            missing=ref("amounts"),
            free=ref("amounts"),
            reason={
                "enum": ["nowhere", "short", "pieces", "mixed", "apart"],
                "description": "no host is left for it; all together is too little; enough in all, but in pieces; "
                "no host has all of it; it would fit only where it must not be",
            },
            moving_helps={
                "enum": [True, False, None],
                "description": "whether all would fit if what still runs were moved too; null where the search gave up",
            },
            fits_alone=flag("whether any host that is left could take it if nothing else ran there"),
            give=or_null(
                object_(host=text("the host that needs least more to take it"), lacks=ref("amounts"))
            ),
            why=texts("by how much, and whether moving helps"),
            mend=text("what to do about it"),
            where=or_null(ref("place")),
        ),
        "hole": object_(
            host=text("its id"),
            left=object_(
                **{
                    name: {
                        "type": ["number", "null"],
                        "description": "below 0 where more runs there than it has; null where nobody said how much there is",
                    }
                    for name in ("cores", "memory", "disk", "accelerators")
                }
            ),
        ),
        "amounts": object_(
            cores=maybe("null where nobody said how many there are"),
            memory=maybe("byte; null where nobody said"),
            disk=maybe("byte; null where nobody said, or it lies elsewhere"),
            accelerators=maybe("cards"),
        ),
        "room of a store": object_(
            store=text("its name"),
            says=text("one sentence without its full stop"),
            layout=text("as in the lab file"),
            apart=text("no two copies or pieces lie in one of these"),
            out=names("drives that are out today"),
            raw_bytes=amount("all its drives but spares"),
            usable_bytes=maybe("data that fit; null where a drive has no size"),
            used_bytes=amount("what lies on it, as far as somebody said"),
            over_bytes=amount("how much of that is too much"),
            full_in_s=maybe("seconds, as it grows now; null: never"),
            domains=list_(
                object_(name=text("what the drives share"), bytes=amount("their size"), drives=names("ids")),
                "what counts as one",
            ),
            held=list_(
                object_(
                    what=text("data, or the copy whose disk it is"),
                    sort={"enum": ["data", "backup", "disk"]},
                    bytes=maybe("null where nobody said"),
                    grows_bytes_s=amount("byte a second"),
                ),
                "what lies on it",
            ),
            unsized=names("drives without a size"),
            losses=list_(ref("loss of a store"), "of each domain, and of each drive of one with several"),
            where=or_null(ref("place")),
        ),
        "loss of a store": object_(
            lost=text("the domain or drive"),
            drives=names("that go with it"),
            says=text("one sentence without its full stop"),
            survives=flag("whether its data are all there still"),
            heals=flag("whether it makes itself whole again, before anybody mends"),
            reason={
                "enum": ["", "lost", "domains", "room", "spare"],
                "description": "why it does not heal: nothing is left to heal from; too few domains; too little room; "
                "no spare drive",
            },
            usable_bytes=amount("data that it can hold whole then"),
            rewritten_bytes=amount("to be written to make it whole"),
            least_s=maybe("that takes no less; null where nobody said how fast anything is"),
            slowest=text("what that comes from; may be empty"),
        ),
    }
