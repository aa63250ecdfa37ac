"""What do the stopwatch and a drill answer to a program?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from falsework.analyses.comparing import Comparison
from falsework.analyses.drilling import MayDrill, Plan
from falsework.errors import Fault
from falsework.faces.errors import FORMAT, place
from falsework.faces.head import lab_head
from falsework.faces.plain_compare import comparison_values
from falsework.faces.values import finite
from falsework.model.lab import Lab
from falsework.record.observed import Observed, Outage
from falsework.record.seen import Told
from falsework.support.probing import Question


def begun_line(lab: Lab, questions: Sequence[Question], record: Path, number: int) -> dict[str, Any]:
    """The first line of a stopwatch: who is asked what."""
    return {
        "format": FORMAT,
        "command": "stopwatch",
        "tells": "begun",
        "lab": lab.name,
        "record": str(record),
        "run": number,
        "probes": [
            {"probe": each.name, "sees": each.sees, "asks": each.ask.words, "every_s": each.every_s}
            for each in questions
        ],
    }


def change_line(
    question: Question, since_s: float, told: Told, *, says: str, usual_s: float
) -> dict[str, Any]:
    """A probe that is answered otherwise than before."""
    return {
        "format": FORMAT,
        "command": "stopwatch",
        "tells": "change",
        "at_s": finite(since_s),
        "probe": question.name,
        "sees": question.sees,
        "told": told.name.lower(),
        "says": says,
        "usual_s": finite(usual_s),
    }


def fault_line(fault: Fault, at_s: float) -> dict[str, Any]:
    """Something that is wrong with the stopwatch itself."""
    return {
        "format": FORMAT,
        "command": "stopwatch",
        "tells": "fault",
        "at_s": finite(at_s),
        "what": fault.what,
        "mend": fault.mend,
        "where": place(fault.where),
    }


def ended_line(lab: Lab, seen: Observed, record: Path, status: int) -> dict[str, Any]:
    """The last line: what was seen in all."""
    return {
        **lab_head("stopwatch", lab, status, out=seen.run.out),
        "tells": "ended",
        "record": str(record),
        "run": seen.run.number,
        "until_s": finite(seen.run.until_s),
        "probes": [
            {
                "probe": each.probe,
                "sees": each.sees,
                "asked": each.asked,
                "yes": each.yes,
                "usual_s": finite(each.usual_s),
                "warning": each.warning,
                "outages": [_outage(outage) for outage in each.outages],
            }
            for each in seen.probes
        ],
        "gaps": [
            {"from_s": finite(each.from_s), "until_s": finite(each.until_s), "why": str(each.why)}
            for each in seen.run.gaps
        ],
    }


def drill_answer(
    lab: Lab,
    plan: Plan,
    may: MayDrill,
    comparison: Comparison | None,
    *,
    number: int,
    given_up: str,
    put_back: str,
    poorly: Sequence[str],
    record: Path,
    status: int,
    out: Iterable[str],
) -> dict[str, Any]:
    """What came of a drill.

    Args:
        lab: the lab.
        plan: what was tried.
        may: whether it may be.
        comparison: what was seen beside what was foretold; None where nothing could be laid beside it.
        number: of the run.
        given_up: why it was given up; empty where it came to its end.
        put_back: what became of what was taken out.
        poorly: probes that were answered well before and are not at the end.
        record: where it is kept.
        status: the exit status.
        out: parts that are out beforehand.
    """
    return {
        **lab_head("drill", lab, status, out=out),
        "drill": plan.name,
        "tries": plan.tries,
        "lost": list(plan.lost),
        "may": may.yes,
        "may_says": may.says,
        "record": str(record),
        "run": number,
        "given_up": given_up,
        "put_back": put_back,
        "poorly": list(poorly),
        "comparison": None if comparison is None else comparison_values(comparison),
    }


def _outage(outage: Outage) -> dict[str, Any]:
    lasts = not math.isinf(outage.until_s)
    return {
        "from_s": finite(outage.from_s),
        "until_s": finite(outage.until_s) if lasts else None,
        "lasts_s": finite(outage.lasts_s) if lasts else None,
        "within_s": finite(outage.within_s),
        "told": outage.told.name.lower(),
        "says": outage.says,
        "unsure": outage.unsure,
    }
