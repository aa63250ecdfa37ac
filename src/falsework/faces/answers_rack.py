"""What may stand in an answer on racks, as JSON Schema (draft 2020-12)?"""

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

RACK = ("rack",)
"""The answers that are told of here."""


def signed(says: str) -> Schema:
    """A number that may be below 0: beyond the edge, or behind the middle."""
    return {"type": "number", "description": says}


def rack_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    force = object_(
        force_n=amount("the force of the test, N"),
        tips_nm=amount("its moment about the edge, N m"),
        holds_nm=signed("that of the weight against it, N m"),
        passes=flag("whether the rack stays where it is"),
    )
    tilt = object_(
        thing=text("the machine"),
        tips_deg=signed("the tilt at which the rack tips then, degrees"),
        spare_deg=signed("how much more than it leans on the way that is, degrees"),
    )
    return {
        "rack": object_(
            **head_schema("rack", "1 where a rack bears too much, has no room, or fails a test"),
            bad=flag("whether a rack bears too much, has no room, or fails a test"),
            says=text("one sentence without its full stop"),
            racks=list_(ref("rack sheet"), "every rack, in lab order"),
            loose=list_(
                object_(
                    thing=text("its name"),
                    **{"is": text("what it is")},
                    room=text("where it stands"),
                    weighs_kg=maybe("kg; null where nobody says"),
                ),
                "what stands in a room and in no rack",
            ),
            caution=text("what to mind"),
        ),
        "rack sheet": object_(
            rack=text("its name"),
            room={"type": ["string", "null"], "description": "where it stands"},
            where=or_null(ref("place")),
            bad=texts("what is wrong, each in a few words"),
            units=amount("rack units it has"),
            free={
                "type": "array",
                "description": "stretches of free units, from the bottom: first and last",
                "items": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
            },
            mounted=list_(ref("mounted"), "what is in it, from the bottom"),
            no_room=names("what finds no room in it"),
            lowest=flag("whether no other way to place what has no place lies lower"),
            weighs_kg=amount("all of it, kg"),
            load_kg=amount("what is in it, kg"),
            bears_kg=maybe("what may be in it, kg; null where nobody says"),
            casters=or_null(
                object_(
                    count=count("how many"),
                    each_kg=amount("what each must be able to carry, kg"),
                    bears_kg=maybe("what each bears, kg; null where nobody says"),
                )
            ),
            centre_m=amount("height of its centre of gravity, m"),
            forward_m=signed("that centre forward of the middle, m"),
            empty_centre_m=amount("height of the empty rack's centre of gravity, m"),
            tips_sideways_deg=signed("the tilt at which it tips sideways, degrees"),
            tips_forwards_deg=signed("the tilt at which it tips over its front or back, degrees"),
            could_lie_lower_m=amount(
                "how much lower that centre would lie with the heaviest lowest and no gaps, m"
            ),
            stands=flag("whether it passes both tests as it stands"),
            push=force,
            on_the_way=object_(
                ramp_deg=maybe(
                    "slope of the ramp, degrees; null where nobody asks, and the tilt of the test is taken"
                ),
                sill_m=maybe("height of the sill, m; null where nobody asks"),
                leans_sideways_deg=amount("how far it leans rolled sideways, degrees"),
                leans_forwards_deg=amount("rolled along its depth, degrees"),
                spare_deg=signed("how much further it could lean, degrees; not above 0 where it tips"),
                tips=flag("whether it tips on a way that was asked about"),
            ),
            pulled_out=list_(
                object_(
                    thing=text("the machine"),
                    tips_deg=signed("the tilt at which the rack tips with it pulled out, degrees"),
                    press=force,
                ),
                "each machine pulled out on its rails, the worst first",
            ),
            take_out_first=list_(tilt, "what to take out before it is moved, in this order"),
            lifts=list_(ref("lift"), "mounting each machine, the heaviest to lift first"),
            taken=list_(ref("taken figure"), "figures that were taken where the lab file gives none"),
        ),
        "mounted": object_(
            thing=text("its name"),
            **{"is": text("what it is")},
            at=maybe("its lowest unit, from the bottom; null where it stands upright behind the units"),
            height=amount("rack units it takes"),
            behind=flag("whether it is mounted from behind"),
            proposed=flag("whether the place is a proposal"),
            depth_m=amount("m"),
            weighs_kg=amount("with all that is in it, kg"),
            busy_w=maybe("W; null where nobody says"),
            noise_db=maybe("dB at one metre; null where nobody says"),
            centre_m=amount("height of its centre of gravity, m"),
        ),
        "lift": object_(
            thing=text("the machine"),
            weighs_kg=amount("kg"),
            hands_m=amount("height of the hands at the end, m"),
            limit_kg=amount("what one may lift so, kg; 0 where nobody should"),
            index_alone=maybe("lifting index of one; null where nobody should"),
            index_of_two=maybe("of two who share the weight equally; null where nobody should"),
        ),
    }
