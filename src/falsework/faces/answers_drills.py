"""What may stand in an answer on drills, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.analyses.drilling import Sort
from falsework.analyses.drilling.may import Against
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
    verdict,
)
from falsework.model.drilling import TRIED

DRILLS = ("drills", "drills one")
"""The answers that are told of here: the list, and one drill."""


def drills_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "drills": object_(
            **head_schema("drills", "1 where an aim is not held by the plan"),
            tells={"const": "list"},
            today=text("the day for which staleness is told"),
            many=count("how many drills prove every claim; `drills` has fewer where `--first` says so"),
            fewest=count("no set of drills that proves all of it is smaller"),
            at_stake=count("how many of the claims guard data: it is lost at the worst if they are wrong"),
            drills=list_(
                {"allOf": [ref("a drill"), object_(on=ref("a date"), reach=ref("a reach"))]},
                "in the order in which to do them",
            ),
            claims=list_(ref("a claim"), "everything that the plan promises and a drill can prove"),
            fresh=count("how many claims were proved within a year, and count as proved"),
            left=names(
                "the claims that none of `drills` proves, nor were proved within a year, the worst first"
            ),
            broken=list_(
                object_(
                    aim=text("the aim's name; empty where nobody asked"),
                    lost=names("the parts whose loss is worse than it allows"),
                    says=text("what happens, a clause"),
                ),
                "what is asked and the plan does not hold",
            ),
            unproved=texts("what no drill here can prove"),
            assumed=texts("what was taken for equal, or left out"),
        ),
        "drills one": object_(
            **head_schema("drills", "1 where the drill may not be done today"),
            tells={"const": "one"},
            drill=ref("a drill"),
            may=ref("may it be done"),
        ),
        "a date": object_(
            begins=text("on the wall clock"),
            ends=text("on the wall clock"),
            who=text("in whose hours; empty where nobody's are said"),
            fits=flag("whether it fits into those hours as a whole"),
        ),
        "a reach": object_(
            new=names("the claims that it proves, and that were not proved by then, the worst first"),
            worst=verdict(),
            claims=count("how many claims are proved by then, those within a year counted"),
            at_stake=count("how many of those guard data"),
        ),
        "a claim": object_(
            name=text("unique in its lab"),
            sort={"enum": [each.value for each in Sort], "description": "what sort of promise it is"},
            says=text("the promise, a clause"),
            about=names("the services, data, stores or alarms that it is about"),
            lost=names("the parts whose loss it is about"),
            alike=list_(
                names("one loss"), "every loss that is taken for equal to this one, itself among them"
            ),
            aims=names("the aims that lean on it"),
            worst=verdict(),
            proved=or_null(text("when it was last seen to be so; null for never")),
            where=or_null(text("file:line:column")),
        ),
        "a drill": object_(
            name=text("unique in its lab"),
            title=text("what is tried"),
            tries={"enum": list(TRIED), "description": "the kind of drill"},
            lost=names("the parts that are taken out, all at once"),
            stops=names("copies that are stopped by hand, and stores that fill up"),
            of=names("the services that it is about; for a restore the data, and where its backup lies"),
            proves=names("the claims that it proves; empty where only one drill was asked for"),
            worst=verdict(),
            proved=or_null(text("when the stalest of its claims was last proved; null for never")),
            effects=list_(
                ref("foretold of a service"), "worst and earliest first, without what merely stands"
            ),
            stands=names("services that go on, in lab order"),
            do=texts("what to do, in order"),
            watch=texts("what to watch"),
            unseen=names("services that it touches and no probe sees"),
            stop_when=texts("when to stop and put back"),
            put_back=texts("how to put it back, in order"),
            cautions=texts("what can be hurt"),
            at_risk=names("data that lies on what is taken out"),
            after=names("drills to be done first"),
            held=text("why it waits for them; empty where it does not"),
            commands=object_(
                do=text("the owner's own command, never run by itself"),
                put_back=text("the same that ends it"),
            ),
            stop_after_s=maybe("when it is given up; null where nobody says"),
            lasts_s=amount("until all that is foretold has happened, seconds"),
            hands_s=amount("somebody's time, seconds"),
            may_stop=names("services that the owner lets it interrupt"),
            own=flag("whether the owner wrote it into the lab file"),
            where=or_null(text("file:line:column")),
        ),
        "foretold of a service": object_(
            service=text("its name"),
            verdict=verdict(),
            falls_s=maybe(
                "seconds from the beginning until it falls or is interrupted; null where it is not"
            ),
            back_s=maybe("seconds until it serves again by itself; null where it waits for the put-back"),
            why=text("the chain of reasons; empty where it stands"),
            probes=names("the probes that see it"),
        ),
        "may it be done": object_(
            yes=flag("whether it may be done today"),
            says=text("the answer in a sentence"),
            because=list_(
                object_(
                    what={"enum": [each.value for each in Against], "description": "what speaks against it"},
                    about=names("what it is about"),
                    says=text("a clause"),
                    why=text("the chain of reasons; may be empty"),
                ),
                "worst first; empty where it may be done",
            ),
            first=texts("what to do before"),
            mind=texts("what is told and does not speak against it"),
            effects=list_(ref("foretold of a service"), "what it does today, with what is out"),
        ),
    }
