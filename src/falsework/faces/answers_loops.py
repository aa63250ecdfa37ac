"""What may stand in an answer on loops, as JSON Schema (draft 2020-12), for programs that read it?"""

from __future__ import annotations

from falsework.analyses.loops.result import KINDS
from falsework.faces.head import head_schema
from falsework.faces.shapes import Schema, amount, flag, list_, names, object_, or_null, ref, text

LOOPS = ("loops",)
"""The answers that are told of here."""


def loops_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "loops": object_(
            **head_schema("loops", "1 where a loop keeps something from starting"),
            loops=list_(
                object_(
                    kind={"description": "of the needs that close it", "enum": list(KINDS)},
                    ring=names("each waits for the next; ends where it began"),
                    says=text("the ring in one clause"),
                    means=text("what it means, in one clause"),
                    links=list_(
                        object_(
                            thing=text("who waits"),
                            on=text("for whom"),
                            says=text("how, such as `needs to start`"),
                            kind=text("the kind of need; empty where it just stands on it"),
                            where=or_null(ref("place")),
                        ),
                        "one for each step of the ring",
                    ),
                    cuts=list_(ref("cut"), "what would cut it, cheapest first"),
                ),
                "by kind, smallest first: for each need in a loop the smallest through it",
            ),
            cheapest=list_(
                object_(
                    kind={"description": "of the loops", "enum": ["to build", "to start"]},
                    cuts=list_(ref("cut"), "the cheapest after which no loop of the kind is left"),
                    costs_s=amount("what they cost together, seconds of work"),
                    bound_s=amount("nothing costs less than this"),
                    proven=flag("whether nothing cheaper does it"),
                    left=names("what would wait even then; then there are no cuts"),
                ),
                "for each kind that stops a build or a start",
            ),
        ),
        "cut": object_(
            says=text("what to do"),
            needs=list_(object_(thing=text("who needs"), on=text("who is needed")), "the needs that it cuts"),
            costs_s=amount("seconds of work"),
            assumed=flag("whether that was assumed"),
            stand_in=text("the stand-in that does it; empty where none does"),
        ),
    }
