"""What may stand in an answer on raising a lab, as JSON Schema (draft 2020-12), for programs that read it?"""

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
    texts,
)

RAISING = ("raise",)
"""The answers that are told of here."""


def raising_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "raise": object_(
            **head_schema("raise", "0 there is an order, 1 there is none"),
            says=text("the short answer, without its full stop"),
            more=texts("what else belongs to it"),
            stand_ins=object_(
                used=names("the cheapest that do it"),
                cost_s=amount("what they cost together, seconds of work"),
                bound_s=amount("no choice costs less than this"),
                proven=flag("whether the two are equal"),
            ),
            stuck=object_(
                things=names("what can't be made, even with every stand-in; empty where there is an order"),
                circle=names("the smallest circle of things that wait for each other, ending where it began"),
                would_do=names("things of which one more stand-in would let everything be made"),
            ),
            hands_s=amount("somebody's work in all"),
            chain_s=amount("the longest chain of steps that wait for each other, most likely times"),
            already=names("what stood before the first step"),
            steps=list_(ref("step"), "in order"),
            moments=list_(ref("moment"), "before the first step, and after each"),
            hanging=list_(
                object_(
                    part=text("a part or a stand-in"),
                    services=names("what it stops alone"),
                    steps={"type": "array", "items": count("a step"), "description": "after which steps"},
                    lasts_s=amount("how long in all"),
                ),
                "what hangs on one part on the way and will not in the end; the longest first",
            ),
            fragile_stretch=or_null(
                object_(
                    first=count("the step after which it begins"),
                    last=count("the last step that leaves it so"),
                    lasts_s=amount("how long"),
                    parts=names("what stops something alone meanwhile"),
                )
            ),
            calendar=or_null(ref("calendar")),
        ),
        "guess": object_(
            low_s=amount("at the least"), likely_s=amount("most likely"), high_s=amount("at the most")
        ),
        "step": object_(
            number=count("from 1"),
            doing={
                "description": "what kind of step",
                "enum": [
                    *("lend", "bring", "freeze", "copy", "check", "hand over", "repoint", "prove", "retire")
                ],
            },
            things=names("what it is about"),
            of=text("in a cut-over, the stand-in that is relieved; empty elsewhere"),
            says=text("the action in plain words"),
            after={"type": "array", "items": count("a step"), "description": "what must be done before"},
            leans=names("what must stand meanwhile"),
            moves=list_(ref("state move"), "state that it moves"),
            takes=ref("guess"),
            hands_s=amount("how much of that is somebody's work, at its start"),
            by=names("who may do it; empty for anyone"),
            not_before=or_null(text("the day something it needs is delivered, ISO 8601")),
            command=text("the owner's own, never run; may be empty"),
            check=text("how to see that it worked; may be empty"),
            back=text("how to go back; may be empty"),
            no_return=text("why there is no going back after it; empty where there is"),
            out_s={
                "type": "object",
                "additionalProperties": amount("seconds"),
                "description": "what it interrupts, and for how long",
            },
            owners={
                "type": "object",
                "additionalProperties": text("the owner"),
                "description": "after it, who owns each piece of state that a stand-in ever owns",
            },
            cautions=texts("what can be hurt"),
            notes=texts("what else to know"),
            assumed=flag("whether its times were assumed"),
            where=or_null(ref("place")),
        ),
        "state move": object_(
            state=text("the data, or the service whose state it is"),
            source=text("who holds it before"),
            target=text("who holds it after"),
            size_bytes=amount("how much"),
            speed_bits_per_s=amount("how fast at most"),
            slowest=text("what limits that, in words"),
            takes_s=amount("size over speed"),
            in_use=flag("followed until it has caught up, instead of frozen"),
            assumed=flag("whether size or speed was assumed"),
        ),
        "moment": object_(
            step=count("the number of the step before; 0 before the first"),
            built=names("what stands now and did not before"),
            lent=names("the stand-ins that are set up"),
            serving={
                "type": "object",
                "additionalProperties": text("a stand-in, or the thing itself"),
                "description": "for each thing that a stand-in covers, who serves",
            },
            fragile=or_null(
                object_(
                    serving=names("the services that serve, themselves or by a stand-in"),
                    missing=names("what should stand and does not; empty in a sound order"),
                    margin={
                        "description": "fewest failures that stop something; 2 for two or more, 0 where nothing serves",
                        "enum": [0, 1, 2],
                    },
                    single_points=list_(
                        object_(part=text("a part or a stand-in"), services=names("what falls with it")),
                        "worst first",
                    ),
                )
            ),
        ),
        "calendar": object_(
            begins=text("ISO 8601, local time, as all times here"),
            ends=text("when the whole is done"),
            earliest_end=text("proved: no calendar ends before"),
            fragile_h=amount(
                "hours, summed over services, during which one that serves has a single point of failure that the finished lab has not"
            ),
            least_fragile_h=amount("proved: no calendar with this end has fewer"),
            critical={"type": "array", "items": count("a step"), "description": "steps that decide the end"},
            spread_s=amount("one standard deviation of the time along them"),
            slots=list_(
                object_(
                    step=count("its number"),
                    begins=text("ISO 8601"),
                    ends=text("ISO 8601"),
                    work=list_(
                        object_(begins=text("ISO 8601"), ends=text("ISO 8601")), "when hands are at it"
                    ),
                    who=text("whose hands; empty where none"),
                ),
                "one a step, in their order",
            ),
        ),
    }
