"""What may stand in an answer of the record, as JSON Schema (draft 2020-12), for programs that read it?"""

from __future__ import annotations

from falsework.analyses.history import Sort
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

RECORD = ("record", "record of a run")
"""The answers that are told of here."""
_STATUS = "1 where the newest drill of something went wrong or took longer than its aim allows"
_RUN_STATUS = "1 where something was not as foretold"
_LEAST: Schema = {
    "description": "the fewest further parts whose loss brings it down; 0 if it is down, null for more than were looked at",
    "enum": [0, 1, 2, None],
}


def record_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "record": object_(
            **head_schema("record", _STATUS),
            record=text("the file"),
            runs=list_(
                object_(
                    **_run(),
                    seen=text("what the probes saw, a clause"),
                    judged=text("whether it was as foretold, a clause; empty where nothing was tried"),
                    as_foretold=or_null(
                        flag("whether nothing was wrong; null where nothing could be judged")
                    ),
                ),
                "newest first",
            ),
            recovery=list_(ref("recovery row"), "what must come back, stalest first"),
            losses_not_looked_at=count("single losses left out of what is foretold, in a very large lab"),
            margins=list_(ref("margin that is left"), "every service, in lab order"),
        ),
        "record of a run": object_(
            **head_schema("record", _RUN_STATUS),
            record=text("the file"),
            run=object_(**_run()),
            probes=list_(
                object_(
                    probe=text("its name"),
                    sees=text("the thing that stands if it is answered; empty where nobody knows"),
                    asks=text("what it asks"),
                    every_s=amount("how often"),
                    asked=count("how many times it asked"),
                    yes=count("how many times it was answered well"),
                    usual_s=maybe("the median time to a good answer"),
                    worst_s=maybe("the longest time to a good answer"),
                    warning=text("the last warning of a good answer; may be empty"),
                    outages=list_(ref("recorded outage"), "in order of time"),
                ),
                "in lab order",
            ),
            marks=list_(
                object_(
                    at_s=amount("seconds since the run began"),
                    mark={"enum": ["done", "put back", "said"]},
                    says=text("a few words"),
                ),
                "what was done, in order of time",
            ),
            gaps=list_(
                object_(
                    from_s=amount("seconds"), until_s=amount("seconds"), why=text("asleep, stopped or busy")
                ),
                "when the stopwatch itself did not run",
            ),
            jumps=list_(
                object_(
                    at_s=amount("seconds"), by_s={"type": "number", "description": "seconds, forward above 0"}
                ),
                "when the clock on the wall was set",
            ),
            judged=text("whether it was as foretold, a clause; empty where nothing was tried"),
            compared=or_null(ref("comparison")),
        ),
        "recorded outage": object_(
            good_s=maybe("when the last question before it was answered well; null if none was"),
            bad_s=amount("when the first question was asked that was not"),
            last_bad_s=amount("when the last question was asked that was not"),
            good_again_s=maybe("when it was answered well again; null while it lasts"),
            from_s=amount("when it most likely began, seconds since the run began"),
            until_s=maybe("when it most likely ended; null while it lasts"),
            lasts_s=maybe("how long; null while it lasts"),
            within_s=maybe("by how much that may be wrong either way; null where an end was not seen"),
            told={"enum": ["yes", "no", "silent", "unknown"]},
            says=text("a few words on the first bad answer"),
            unsure=flag("whether a gap of the stopwatch itself touches either end"),
        ),
        "recovery row": object_(
            of=text("the service or data; of a cold start, the aim"),
            sort={"enum": [str(each) for each in Sort]},
            aim=text("the name of the aim; empty for none, or where the data says it"),
            aim_s=maybe("how long it may take"),
            foretold_s=maybe("the longest that the lab file foretells, of what ends by itself"),
            foretold_by=text("the loss after which it takes longest"),
            stays_out_by=text("a loss that the aim is about and after which it stays out; empty for none"),
            worst_s=maybe("the longest in any drill; null for none, or where it did not come back"),
            usual_s=maybe("the median over the drills"),
            met=or_null(flag("whether the newest drill kept the aim; null where that can't be told")),
            failed_in_run=or_null(count("the newest drill, if it did not come back in it")),
            proved=or_null(text("the day on which it was last seen to come back, as 2026-05-01")),
            proved_in_run=or_null(count("the run; null where the lab file says so")),
            trials=list_(
                object_(
                    run=count("its number"),
                    drill=text("its name; may be empty"),
                    on=text("the day"),
                    foretold_s=maybe(
                        "how long the lab file says now; null where it says nothing or without end"
                    ),
                    lasts_s=maybe("how long it took; null where it did not come back by itself"),
                    within_s=maybe("by how much that may be wrong either way"),
                    came_back=flag("whether it came back by itself"),
                    sure=flag("whether the stopwatch ran all the time that matters"),
                ),
                "drills in which it had to come back, oldest first",
            ),
            where=or_null(object_(file=text("the lab file"), line=count("from 1"), column=count("from 1"))),
        ),
        "margin that is left": object_(
            service=text("its name"),
            least=_LEAST,
            looked_at=count("how many parts at once were looked at"),
            by=names("one smallest set of parts that does"),
            ways=count("how many smallest sets do"),
            ground=names("rooms, racks and what comes from outside that bring it down alone; counted apart"),
            least_built={**_LEAST, "description": "the same with nothing out"},
        ),
    }


def _run() -> dict[str, Schema]:
    return {
        "number": count("from 1"),
        "began": text("by the clock on the wall, in UTC"),
        "lab": text("the name of the lab"),
        "digest": text("of the text of the lab's files as it began"),
        "drill": text("the name of the drill; may be empty"),
        "tries": text("what it tries; empty for nothing"),
        "lost": names("what it takes out"),
        "out": names("what was out beforehand"),
        "machine": text("that the stopwatch ran on"),
        "until_s": amount("the last moment it is known to have run, seconds since it began"),
        "ended": flag("whether it came to its own end"),
        "runs": flag("whether it still runs"),
        "done_s": maybe("when the action was done; null if none was"),
        "put_back_s": maybe("when it was put back; null if it was not"),
    }
