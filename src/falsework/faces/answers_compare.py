"""What may stand in an answer on runs beside what was foretold, and on what they teach, as JSON Schema?"""

from __future__ import annotations

from falsework.analyses.comparing import Sort, Wrong
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

COMPARING = ("compare", "learn")
"""The answers that are told of here."""


def comparing_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "compare": object_(
            **head_schema("compare", "1 where something was otherwise than foretold"),
            runs=list_(
                object_(
                    compared=ref("comparison"),
                    tried=or_null(count("labs that were tried for an explanation; null for none")),
                    complete=flag("whether the time was enough to try all that was thought of"),
                    offers=list_(ref("explanation"), "changes that would explain it, the best first"),
                    unexplained=names("what was otherwise, and no change tried explains"),
                ),
                "the runs that were asked about",
            ),
            written=or_null(count("which offer was written into the lab file, from 1; null for none")),
        ),
        "comparison": object_(
            run=count("its number in the record"),
            drill=text("the name of the drill; may be empty"),
            lost=names("what was taken out"),
            out_then=names("what was out beforehand"),
            from_s=maybe("when it was done, seconds since the run began"),
            until_s=maybe("when it was put back, or the run ended"),
            as_foretold=flag("whether all that was seen went as foretold"),
            why_not=text("why nothing was judged; empty where it was"),
            lines=list_(ref("foretold and seen"), "services in lab order, then what else is seen"),
            unknown=names("probes that see nothing that the lab has"),
        ),
        "foretold and seen": object_(
            thing=text("its name"),
            service=flag("whether it is a service"),
            sort={"enum": [str(each) for each in Sort], "description": "how both agree"},
            wrong={"enum": [str(each) for each in Wrong], "description": "in which way they do not"},
            says=text("all of it in one sentence"),
            foretold=object_(**_span(), before=or_null(object_(**_span()))),
            falls_s=maybe("when it was seen to fall, seconds after the action; null if it was not"),
            lasts_s=maybe("how long it was out; null where that has no end before it was put back"),
            within_s=maybe("by how much that may be wrong either way"),
            ended=flag("whether the end of the outage was seen before it was put back"),
            before=count("outages before the action"),
            more=count("further outages before it was put back"),
            after=count("outages after it was put back"),
            probes=names("that count"),
            sure=flag("whether the stopwatch ran all the time that matters"),
        ),
        "explanation": object_(
            says=texts("each change, in a clause"),
            **{"for": text("the thing that it was looked for")},
            rights=names("what is as foretold with it, and was not"),
            left=names("what is still wrong"),
            earlier_better=count("earlier runs that it makes better"),
            earlier_worse=count("earlier runs that it makes worse"),
            caution=text("what to mind; empty where nothing can be hurt"),
            files=names("the files that it changes"),
            difference=text("what it changes, as a unified diff"),
        ),
        "learn": object_(
            **head_schema("learn", "0 in any case"),
            runs=count("runs in the record"),
            updates=list_(
                object_(
                    thing=text("its name"),
                    key=text("the figure that measured times correct"),
                    before_s=or_null(ref("figure in seconds")),
                    source={
                        "enum": ["written", "assumed", "worked out"],
                        "description": "where that is from",
                    },
                    counts_as=amount(
                        "how many measured times that counts for, without those of the lab file"
                    ),
                    known_s=list_(amount("seconds"), "measured times that the lab file has already"),
                    new=list_(
                        object_(
                            took_s=amount("seconds"),
                            on=text("when, in UTC"),
                            run=or_null(count("in which run; null where somebody told it")),
                        ),
                        "measured times that are new",
                    ),
                    after_s=ref("figure in seconds"),
                    next_s=list_(amount("seconds"), "between which the next time lies, nine times in ten"),
                    weight=amount("how many measured times the new figure rests on, the guess counted in"),
                ),
                "figures, in the order of the lab",
            ),
            proofs=list_(
                object_(
                    thing=text("its name"),
                    key={"enum": ["proved", "restored"]},
                    on=text("the day"),
                    before=or_null(text("the day that the lab file has")),
                    run=count("the run that proves it"),
                ),
                "what was seen to work",
            ),
            counts=list_(
                object_(
                    thing=text("the part"),
                    failures=count("that were seen"),
                    watched_s=amount("how long it was watched, seconds"),
                    seen=text("what the lab file will say"),
                    runs=list_(count("a run"), "that were counted"),
                ),
                "failures of parts that a probe sees",
            ),
            stumbles=list_(
                object_(
                    thing=text("the service"),
                    before=or_null(ref("share between")),
                    source={"enum": ["written", "assumed"], "description": "where that is from"},
                    counts_as=object_(
                        failed=amount("take-overs that did not happen"),
                        of=amount("take-overs, for which that counts, without those of the lab file"),
                    ),
                    known=or_null(object_(failed=count("that did not happen"), of=count("in the lab file"))),
                    failed=count("take-overs and restarts that did not happen"),
                    of=count("those that were asked for"),
                    after=ref("share between"),
                    mean=amount("the chance that the next does not happen, from 0 to 1"),
                    weight=amount("how many take-overs the new share rests on, the guess counted in"),
                    stumbled=text("what the lab file will say"),
                    runs=list_(count("a run"), "that were counted"),
                ),
                "how often services did not take over or restart that should have",
            ),
            asks=list_(
                object_(
                    thing=text("its name"),
                    key=text("the figure"),
                    at_most_s=amount("seconds that it took, or less"),
                    on=text("when it began, in UTC"),
                    run=count("the run that saw it"),
                ),
                "what was seen from outside only, and its owner can tell",
            ),
            passed=list_(
                object_(
                    run=or_null(count("the run; null for what was told")),
                    thing=text("may be empty"),
                    why=text("a clause"),
                ),
                "what teaches nothing, and why",
            ),
            by_hand=list_(object_(of=text("whose"), what=text("what to write")), "what can't be written"),
            difference=text("what it changes in the lab file, as a unified diff"),
            written=names("the files that were written"),
        ),
        "share between": object_(
            low=amount("the 5 percentile, from 0 to 1"), high=amount("the 95 percentile, from 0 to 1")
        ),
        "figure in seconds": {
            "anyOf": [
                amount("seconds"),
                object_(low=amount("seconds"), high=amount("seconds")),
            ]
        },
    }


def _span() -> dict[str, Schema]:
    """What is foretold of one thing."""
    return {
        "verdict": verdict(),
        "falls_s": maybe("when it falls, seconds after the action; null for never"),
        "falls_within_s": list_(maybe("seconds; null for never"), "the soonest and the latest"),
        "lasts_s": maybe("how long it is out; null for until somebody mends it"),
        "lasts_within_s": list_(maybe("seconds; null for no end"), "the shortest and the longest"),
        "reached": flag("whether the loss takes away anything that it leans on"),
    }
