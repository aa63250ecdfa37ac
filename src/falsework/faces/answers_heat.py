"""What may stand in an answer on heat and energy, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.shapes import (
    Schema,
    amount,
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


def heat_schema() -> dict[str, Schema]:
    """The shapes by name: `heat` and `energy`, and what is in them."""
    return {
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
        "energy": object_(
            says=text("one sentence without its full stop"),
            kwh=amount("in a year of 8,760 hours, all ordinary"),
            idle_kwh=amount("if all were always idle"),
            busy_kwh=amount("if all were always busy"),
            costs=list_(ref("money a year"), "by currency"),
            used=list_(
                object_(
                    name=text("a machine, or a battery"),
                    loss=flag("whether it is what a battery loses of what it passes on"),
                    usual_w=amount("on an ordinary day"),
                    kwh=amount("a year of such days"),
                    idle_kwh=amount("if it were always idle"),
                    busy_kwh=amount("if it were always busy"),
                    costs=list_(ref("money a year"), "by currency; empty where nobody says"),
                ),
                "machines with power, in lab order, then what batteries lose",
            ),
            no_price=names("sources of power of which nobody says what energy from them costs"),
            no_price_kwh=amount("what comes from those"),
            notes=texts("what is not in it; sentences without their full stops"),
        ),
        "money a year": object_(
            currency=text("as in the lab file"),
            amount=amount("on ordinary days"),
            idle_amount=amount("if always idle"),
            busy_amount=amount("if always busy"),
        ),
    }
