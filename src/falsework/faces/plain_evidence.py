"""What does an answer on logs look like to a program?"""

from __future__ import annotations

import datetime
from typing import Any

from falsework.analyses.evidence.result import Clock, Evidence, Point
from falsework.analyses.evidence.telling import CAUTION, clock_says, headline, notes, unforetold_says
from falsework.faces.head import head
from falsework.faces.values import finite
from falsework.support.standing import Standing

Plain = dict[str, Any]


def evidence_answer(standing: Standing, found: Evidence, status: int) -> Plain:
    """The time line with clocks, what was first and what was not foretold."""
    return {
        **head("evidence", standing, status),
        "says": headline(found),
        "moment": found.moment.astimezone(datetime.UTC).isoformat(),
        "before_s": found.before_s,
        "after_s": found.after_s,
        "ordinary_s": found.ordinary_s,
        "run": found.run,
        "lost": list(found.lost),
        "first": _point(found.first) if found.first is not None else None,
        "may_be_first": list(found.rivals),
        "points": [_point(each) for each in found.points],
        "not_foretold": [
            {"thing": thing, "says": unforetold_says(thing, point)} for thing, point in found.unforetold
        ],
        "clocks": [_clock(each) for each in found.clocks],
        "clock_of_reference": found.reference,
        "stopwatch_tied": found.tied,
        "lines": found.lines,
        "ordinary_lines": found.ordinary_lines,
        "kinds": found.kinds,
        "new_by_chance": found.chance_new,
        "not_compared": list(found.uncompared),
        "not_in_lab": list(found.unknown),
        "files": found.files,
        "refused": [{"file": str(each.file), "what": each.what, "mend": each.mend} for each in found.refused],
        "notes": list(notes(found)),
        "caution": CAUTION,
    }


def _point(point: Point) -> Plain:
    near = point.near
    return {
        "at_s": point.at_s,
        "within_s": finite(point.within_s),
        "until_s": finite(point.until_s),
        "sort": point.sort.value,
        "whose": point.whose,
        "thing": point.thing,
        "service": point.service,
        "app": point.app,
        "why": point.why,
        "says": point.says,
        "count": point.count,
        "usual": point.usual,
        "severity": point.severity if point.severity < 8 else None,
        "file": str(point.file) if point.file is not None else None,
        "line": point.line or None,
        "offset": point.offset if point.file is not None else None,
        "near": None
        if near is None
        else {
            "thing": near.foretold.thing,
            "verdict": near.foretold.verdict.word,
            "foretold_s": near.foretold.at_s,
            "after_s": near.after_s,
        },
    }


def _clock(clock: Clock) -> Plain:
    return {
        "host": clock.host,
        "ahead_s": clock.ahead_s,
        "low_s": finite(clock.low_s),
        "high_s": finite(clock.high_s),
        "ties": clock.ties,
        "clash": clock.clash,
        "times_set": clock.set,
        "says": clock_says(clock),
    }
