"""What may stand in an answer on power, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.answers_batteries import batteries_schema
from falsework.faces.answers_heat import heat_schema
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
)
from falsework.faces.taken import taken_schema

POWER = ("power",)
"""The answers that are told of here."""


def power_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        **taken_schema(),
        **batteries_schema(),
        **heat_schema(),
        "power": object_(
            **head_schema("power", "1 where something is asked for more than it carries or gives"),
            too_much=flag("whether anything is asked for more than it carries or gives"),
            says=text("one sentence without its full stop"),
            sources=list_(ref("source of power"), "every circuit, strip and battery, in lab order"),
            losses=list_(ref("loss of power"), "each loss that was looked at, in lab order"),
            losses_named=flag("whether these losses were asked for by name"),
            supplies=list_(
                ref("supplies of a machine"),
                "machines that say what one of their supplies gives, in lab order",
            ),
            batteries=list_(ref("battery at its loads"), "in lab order"),
            return_of_power=ref("return of power"),
            heat=ref("heat"),
            energy=ref("energy"),
            cords=list_(
                object_(
                    machine=text("at its end"),
                    source=text("that it is plugged into"),
                    volts=amount("at it"),
                    a=amount("through it with no more supplies left than are enough, busy"),
                ),
                "cords that would take more than 10 A, the rating of the common coupler (IEC 60320-1)",
            ),
            silent=names("machines of which nobody says what they draw; they count for nothing"),
            taken=list_(ref("taken figure"), "figures that were taken where the lab file gives none"),
            caution=text("what to mind; empty where there is no figure"),
        ),
        "source of power": object_(
            source=text("its name"),
            **{"is": {"enum": ["circuit", "strip", "ups"]}},
            fed_by={"type": ["string", "null"], "description": "the source before it"},
            machines=names("those with a supply whose power comes through it"),
            volts=amount("at it, V"),
            volts_said=flag("whether the lab file says so"),
            limit_w=maybe("above that it falls in the verdicts, W; null where nobody says"),
            limit_va=maybe("volt-amperes; null where nobody says"),
            limit_a=maybe("of its breaker; null where it has none that is told of"),
            lasting_share=amount("of its limit, for a load of three hours or more; 1 for a battery"),
            idle=ref("carried"),
            usual=ref("carried"),
            busy=ref("carried"),
            worst=or_null(
                object_(
                    lost=text("the part"),
                    carried=ref("carried"),
                    trips=flag("whether that is too much, so that it falls in the verdicts"),
                    after_others=flag("whether others trip too"),
                )
            ),
            too_much=flag("whether it is asked for more watts than it carries, as it is or after a loss"),
            too_many_va=flag("whether its volt-amperes alone are too many"),
            too_much_for_hours=flag("whether it would carry more than a load that lasts may be"),
            power=flag("whether it has power as it is, or would but for its own load"),
            says=text("one sentence without its full stop"),
            where=or_null(ref("place")),
        ),
        "carried": object_(
            w=amount("watts"),
            va=amount("volt-amperes"),
            a=maybe("amperes"),
            share=maybe("of its nearest limit, 1 for all of it; null without one"),
        ),
        "loss of power": object_(
            lost=text("the part"),
            says=text("one sentence without its full stop"),
            trips=names("sources that would have to carry too much, and fall"),
            carries=list_(
                object_(source=text("its name"), w=amount("watts, all machines busy")),
                "each source that would have to carry another load than now",
            ),
            without_power=names("machines without enough supplies then, that have enough now"),
        ),
        "supplies of a machine": object_(
            machine=text("its name"),
            enough=count("supplies that it can't run without"),
            draws_w=amount("at its plugs, busy"),
            supplies=list_(
                object_(
                    supplies=names("alike"),
                    source=text("what they are plugged into"),
                    volts=maybe("there; null where it is not known"),
                    rated_w=maybe("what one may give at that voltage; null where nobody says"),
                    gives_w=amount("what one gives with all in, busy"),
                    alone_w=amount("what one gives with no more left than are enough, busy"),
                    alone_share=maybe("of what it may give; 1 for all of it"),
                ),
                "by what they are plugged into",
            ),
            efficiency=amount("share of what they take that they give, on an ordinary day"),
            level={"type": ["string", "null"], "description": "that they are certified for"},
            efficiency_said=flag("whether the lab file says either"),
            loss_w=amount("heat in them, on an ordinary day"),
            too_small=flag("whether it does not run on as few of them as it says are enough"),
            says=text("one sentence without its full stop; may be empty"),
            where=or_null(ref("place")),
        ),
    }
