"""What may stand in an answer on logs, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.analyses.evidence.result import Sort
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
)

EVIDENCE = ("evidence",)
"""The answers that are told of here."""


def evidence_schema() -> dict[str, Schema]:
    """The shapes of this answer, and of what is in it, by name."""
    return {
        "evidence": object_(
            **head_schema(
                "evidence",
                "1 where a file could not be read whole, or something happened that was not foretold",
            ),
            says=text("the short answer, one sentence without its full stop"),
            moment=text("the event, in UTC, as RFC 3339 has it; all seconds count from it"),
            before_s=amount("how long before it is looked at"),
            after_s=amount("how long after it"),
            ordinary_s=amount("how long a stretch before that it is compared with"),
            run=or_null(count("the number of the stopwatch's run")),
            lost=names("the parts that were lost, or are asked about"),
            first=or_null(ref("point of evidence")),
            may_be_first=names("other hosts that may have spoken before, by what is known of the clocks"),
            points=list_(ref("point of evidence"), "the time line, in order"),
            not_foretold=list_(
                object_(thing=text("what stands by the plan"), says=text("what tells of it")),
                "each thing once, the first that tells of it",
            ),
            clocks=list_(ref("clock of a host"), "those that are off first"),
            clock_of_reference=text("whose clock all are held against; empty if nothing ties two clocks"),
            stopwatch_tied=flag("whether the stopwatch's clock is tied to it"),
            lines=count("lines in the window"),
            ordinary_lines=count("lines in the stretch that it is compared with"),
            kinds=count("of lines in the window, of which each says the same but for numbers"),
            new_by_chance=amount("how many new kinds an ordinary window has"),
            not_compared=names("hosts whose logs do not go back far enough"),
            not_in_lab=names("hosts that the lab does not name"),
            files=count("files that were read"),
            refused=list_(
                object_(file=text("the file"), what=text("what is wrong"), mend=text("how to mend it")),
                "files that were not read, or not to their end",
            ),
            notes=texts("what the answer rests on, sentences without full stops"),
            caution=text("what to mind"),
        ),
        "point of evidence": object_(
            at_s=_seconds("seconds after the moment, clocks set right"),
            within_s=maybe("by how much that may be wrong; null where nobody knows"),
            until_s=or_null(_seconds("when it ended; null while it lasts")),
            sort={"enum": [each.value for each in Sort], "description": "what it is"},
            whose=text("the host, probe or thing"),
            thing=text("the thing of the lab that this is; may be empty"),
            service=text("the service it is about; may be empty"),
            app=text("what wrote the line; may be empty"),
            why=text("new, more, stopped, severe or uncompared; empty of what is no line"),
            says=text("the line, the first of those folded"),
            count=count("how many lines are folded"),
            usual=amount("how many such lines an ordinary window has"),
            severity=or_null(count("0 to 7, the worst first")),
            file=or_null(text("the file of the line")),
            line=or_null(count("its number there, from 1")),
            offset=or_null(count("where it begins there, bytes")),
            near=or_null(
                object_(
                    thing=text("what was foretold to fall"),
                    verdict=text("how"),
                    foretold_s=amount("when"),
                    after_s=_seconds("how long after that the point is; below 0 before"),
                )
            ),
        ),
        "clock of a host": object_(
            host=text("whose"),
            ahead_s=_seconds("best guess of how far it is ahead, taken off its times"),
            low_s=or_null(_seconds("at least so much; null where nothing bounds it")),
            high_s=or_null(_seconds("at most so much; null where nothing bounds it")),
            ties=count("pairs of lines that tell of it"),
            clash=flag("whether they contradict each other"),
            times_set=count("how often it was set, as it says itself"),
            says=text("one sentence without its full stop"),
        ),
    }


def _seconds(says: str) -> Schema:
    return {"type": "number", "description": says}
