"""What may stand in the answers of the stopwatch and of a drill, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.errors import FORMAT
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

DRILL = ("drill", "stopwatch", "stopwatch begun", "stopwatch change", "stopwatch fault")
"""The answers that are told of here. A stopwatch gives one line each: it begins, changes, and ends."""

_TOLD: Schema = {
    "enum": ["yes", "no", "silent", "unknown"],
    "description": "answered well, answered but not well, not answered in time, nobody knows",
}


def drill_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "drill": object_(
            **head_schema("drill", "1 where something was otherwise than foretold, or it was given up"),
            drill=text("its name"),
            tries=text("what it tries"),
            lost=names("the parts that it takes out"),
            may=flag("whether nothing spoke against doing it"),
            may_says=text("why, or why not"),
            record=text("the file that keeps all of it"),
            run=count("the number of the run in it"),
            given_up=text("why it was given up; empty where it came to its end"),
            put_back=text("what became of what was taken out"),
            poorly=names("probes that were answered well before and are not at the end"),
            comparison=or_null(ref("comparison")),
        ),
        "stopwatch": object_(
            **head_schema("stopwatch", "1 where a probe was not answered well at some time"),
            tells={"const": "ended"},
            record=text("the file that keeps all of it"),
            run=count("the number of the run in it"),
            until_s=amount("how long it ran, seconds"),
            probes=list_(
                object_(
                    probe=text("its name"),
                    sees=text("the thing that stands if it is answered; empty where nobody knows"),
                    asked=count("how many times it asked"),
                    yes=count("how many times it was answered well"),
                    usual_s=maybe("the median time to a good answer; null if none came"),
                    warning=text("the last warning of a good answer; empty for none"),
                    outages=list_(ref("outage of a probe"), "in order of time"),
                ),
                "in lab order",
            ),
            gaps=list_(
                object_(
                    from_s=amount("seconds"), until_s=amount("seconds"), why=text("asleep, stopped or busy")
                ),
                "when the stopwatch itself did not run: nobody knows what was answered then",
            ),
        ),
        "stopwatch begun": object_(
            **_line("begun"),
            lab=text("the name of the lab"),
            record=text("the file that keeps all of it"),
            run=count("the number of the run in it"),
            probes=list_(
                object_(
                    probe=text("its name"),
                    sees=text("the thing that stands if it is answered; empty where nobody knows"),
                    asks=text("as a lab file says it"),
                    every_s=amount("how often, seconds"),
                ),
                "in lab order",
            ),
        ),
        "stopwatch change": object_(
            **_line("change"),
            at_s=amount("since when it is answered so, seconds since the run began"),
            probe=text("its name"),
            sees=text("the thing that stands if it is answered; empty where nobody knows"),
            told=_TOLD,
            says=text("a few words on the answer; may be empty"),
            usual_s=maybe("the median time to the last good answers; null if none came"),
        ),
        "stopwatch fault": object_(
            **_line("fault"),
            at_s=amount("when it was noticed, seconds since the run began"),
            what=text("what is wrong with the stopwatch or with a question"),
            mend=text("how to mend it"),
            where=or_null(object_(file=text("the lab file"), line=count("from 1"), column=count("from 1"))),
        ),
        "outage of a probe": object_(
            from_s=amount("when it most likely began, seconds since the run began"),
            until_s=maybe("when it most likely ended; null while it lasts"),
            lasts_s=maybe("how long it most likely lasted; null while it lasts"),
            within_s=maybe("by how much that may be wrong either way; null where an end was not seen"),
            told=_TOLD,
            says=text("a few words on the first bad answer"),
            unsure=flag("whether a gap of the stopwatch itself touches either end"),
        ),
    }


def _line(tells: str) -> dict[str, Schema]:
    return {"format": {"const": FORMAT}, "command": {"const": "stopwatch"}, "tells": {"const": tells}}
