"""What may stand in an answer on a cold start or a stop on battery, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.analyses.cold_start import How, Why
from falsework.faces.answers_stopping import stopping_schema
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

STARTING = ("cold-start", "shutdown")
"""The answers that are told of here."""


def starting_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "cold-start": object_(
            **head_schema("cold-start", "1 where something does not come back"),
            hands=flag("whether people are there, who switch on what stays off"),
            outside=flag("whether what is outside is counted on"),
            off_s=maybe("how long the power was out; null where nobody asked"),
            whole=flag("whether everything comes back"),
            up=list_(ref("at a time"), "what comes up, earliest first; seconds after the power is back"),
            stuck=names("services, machines and alarms that stay down"),
            circles=list_(names("each waits for the next; ends where it began"), "smallest first"),
            by_hand=names("what stays off until a hand switches it on"),
            too_early=names("what tried once, before what it needs was there"),
            expired=names("keys that ran out while the power was out, counted from fresh"),
            doubtful=names("keys that ran out only if they were not fresh when the power went"),
            roots=list_(
                object_(
                    why={"enum": [why.value for why in Why], "description": "what it is"},
                    things=names("the thing, or the circle, ending where it began"),
                    says=text("it in a clause"),
                    mend=or_null(
                        object_(
                            how={"enum": [how.value for how in How], "description": "the kind"},
                            things=names("what it is done to, or who does without"),
                            on=text("what they need not wait for any more; may be empty"),
                            says=text("what to do"),
                            by_hand=flag("whether a hand does it once the power is back"),
                            where=or_null(text("file:line:column")),
                        )
                    ),
                    hangs=names("what stays down until it is mended"),
                ),
                "what things hang on that stay down, in the order of mending; all of it together raises them",
            ),
            because=list_(
                object_(
                    thing=text("what stays down"),
                    root=or_null(count("number of the root its chain ends at")),
                    unsticks=list_(count("number of a root"), "all that must be mended before it comes up"),
                    chain=list_(
                        object_(
                            thing=text("what is not up"),
                            says=text("how it waits, or why it stays down"),
                            on=text("what it waits for; empty where the chain ends"),
                            where=or_null(text("file:line:column")),
                        ),
                        "reasons, the nearest first",
                    ),
                ),
                "one for each that is stuck",
            ),
            up_once_mended=list_(
                ref("at a time"),
                "what was stuck is up so long after the power is back, once all that is done",
            ),
            left=names("what stays down all the same: no mend was found"),
        ),
        **stopping_schema(),
        "at a time": object_(thing=text("its name"), at_s=amount("when")),
    }
