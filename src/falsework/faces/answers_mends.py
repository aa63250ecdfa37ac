"""What may stand in an answer on offered edits, as JSON Schema (draft 2020-12), for programs that read it?"""

from __future__ import annotations

from falsework.faces.head import head_schema
from falsework.faces.shapes import Schema, count, flag, list_, names, object_, ref, text, texts

MENDS = ("mend",)
"""The answers that are told of here."""


def mends_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "mend": object_(
            **head_schema("mend", "1 where nothing is offered for a finding that was named"),
            findings=list_(
                object_(
                    finding=ref("finding"),
                    tried=flag("whether edits were tried: for those that were named, or all with --all"),
                    offers=list_(ref("offer"), "edits that were tried, the best first; three at most"),
                    none=text("why nothing is offered; empty where something is, or could be tried"),
                ),
                "those that were asked about, worst first",
            ),
            written=list_(
                object_(finding=text("its key"), offer=count("which of its offers, from 1")),
                "what was written into the lab file",
            ),
        ),
        "offer": object_(
            says=text("what it does, in one sentence"),
            edits=texts("each change, in a clause"),
            assumes=texts("what it costs or takes for granted"),
            met=names("broken aims that are met with it"),
            left=text("what of the finding is left, or what breaks its aim next; empty where it is gone"),
            helps=count("falls that are gone with it, counted for each part and each service"),
            harms=texts("what it brings that was not there: falls, then other findings"),
            unjudged=names("aims that were not judged again"),
            caution=text("what to mind; empty where nothing can be hurt"),
            files=names("the files that it changes"),
            difference=text("what it changes, as a unified diff"),
        ),
    }
