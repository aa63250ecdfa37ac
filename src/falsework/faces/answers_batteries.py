"""What may stand in an answer on batteries and the return of power, as JSON Schema (draft 2020-12)?"""

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


def batteries_schema() -> dict[str, Schema]:
    """The shapes by name: `battery at its loads` and `return of power`, and what is in them."""
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
    }
