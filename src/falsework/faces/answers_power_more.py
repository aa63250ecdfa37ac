"""What may stand in an answer on batteries, the return of power and heat, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

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
)


def power_more_schema() -> dict[str, Schema]:
    """The shapes by name: `battery at its loads`, `return of power` and `heat`, and what is in them."""
    return {
        "battery at its loads": object_(
            ups=text("its name"),
            reckoned_from={"enum": ["curve", "energy", "nothing"]},
            carries_w=maybe("watts; null where nobody says"),
            power_cut=list_(
                ref("runtime"),
                "at idle, usual and busy, when all power is cut and it alone feeds what hangs on it",
            ),
            own_feed_fails=list_(ref("runtime"), "the same when only its own feed fails"),
            losses=list_(
                ref("runtime"), "busy, after the loss of a part that brings it more load, worst first"
            ),
            left=amount("of its new capacity, 0 to 1"),
            age={"enum": ["said", "hours", "unsaid"]},
            curve_aged_s=maybe("busy at the cut, if its curve is of a new battery; null without both"),
            old=flag("whether it is told to be at the end of its life"),
            says=text("one sentence without its full stop"),
            notes=names("more of such"),
            where=or_null(ref("place")),
        ),
        "runtime": object_(
            when=text("idle, usual, busy, or the part that is lost before"),
            w=amount("at its outlets"),
            lasts_s=amount("seconds; 0 where it is more than it carries"),
            new_lasts_s=maybe("seconds with a new battery; null where a curve says it, or nothing"),
            share=maybe("of what it carries; null where nobody says"),
            too_much=flag("whether it is more than it carries"),
        ),
        "return of power": object_(
            says=text("one sentence without its full stop"),
            too_much=flag("whether a breaker trips by the figures of the lab file alone"),
            sources=list_(
                object_(
                    source=text("its name"),
                    **{"is": {"enum": ["circuit", "strip"]}},
                    breaker_a=maybe("what its breaker is rated for; null where it has none that is told of"),
                    bears_times=amount("its rating, for a moment"),
                    bears_said=flag("whether the lab file says so"),
                    bears_a=maybe("amperes; null without a breaker"),
                    moments=list_(
                        object_(
                            at_s=amount("seconds after the return"),
                            machines=names("what comes on then"),
                            surge_a=amount("of all of it"),
                            said_a=amount("of it, what the lab file says"),
                            running_a=amount("drawn by what came on before"),
                        ),
                        "at which something comes on, in order",
                    ),
                    may_trip=flag("whether more comes on together than it bears"),
                    trips=flag("whether that holds by the figures of the lab file alone"),
                    where=or_null(ref("place")),
                ),
                "circuits and strips behind which something comes on",
            ),
            start=or_null(
                object_(
                    groups=count("groups of machines"),
                    gap_s=amount("seconds between one and the next"),
                    proved=flag("whether fewer would not do"),
                    fits=flag("whether every source bears every moment of it"),
                    too_much_alone=names("machines of which one is too much by itself; in no group"),
                    machines=list_(
                        object_(
                            machine=text("its name"),
                            group=count("from 1"),
                            at_s=amount("seconds after the return"),
                            comes_on_after_s=amount("seconds after its feed is live"),
                        ),
                        "in order of time",
                    ),
                    notes=names("sentences without their full stops"),
                )
            ),
            silent=names("machines of which neither surge nor draw is known; they count for nothing"),
        ),
        "heat": object_(
            says=text("one sentence without its full stop"),
            too_much=flag("whether a room gets more than its cooling carries away, all busy"),
            rooms=list_(ref("heated"), "in which heat arises"),
            racks=list_(ref("heated"), "the same"),
            in_no_room=names("what gives heat and is in no room that is told of"),
            in_no_room_w=amount("its heat, busy"),
            inlet_c=list_({"type": "number"}, "recommended air where it goes in: lowest and highest"),
            notes=names("sentences without their full stops"),
            caution=text("what to mind"),
        ),
        "heated": object_(
            place=text("its name"),
            **{"is": {"enum": ["room", "rack"]}},
            room={"type": ["string", "null"], "description": "that it is in; itself for a room"},
            machines=names("that give heat in it"),
            air_rises_k=amount("how much air warms up on its way through"),
            air_rises_said=flag("whether the lab file says so"),
            idle=ref("warm"),
            usual=ref("warm"),
            busy=ref("warm"),
            cools_w=maybe("what its cooling carries away; null where nobody says, and for racks"),
            too_much=flag("whether more arises in it than that, all busy"),
            where=or_null(ref("place")),
        ),
        "warm": object_(
            w=amount("watts"),
            btu_h=amount("BTU an hour"),
            tons=amount("tons of cooling"),
            air_m3_h=amount("air that carries it away, m3/h"),
            air_cfm=amount("the same in cubic feet a minute"),
        ),
    }
