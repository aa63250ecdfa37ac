"""What does an answer on what broke look like to a program?"""

from __future__ import annotations

import math
from typing import Any

from falsework.analyses.diagnosis.planning import ProbePlan
from falsework.analyses.diagnosis.recorded import Known
from falsework.analyses.diagnosis.result import Cause, Diagnosis, Next, Report
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.lab.save import Changes
from falsework.support.standing import Standing

Plain = dict[str, Any]


def diagnosis_answer(standing: Standing, found: Diagnosis, known: Known | None, status: int) -> Plain:
    """What is known, what may have broken, and what to ask next."""
    return {
        **head("diagnose", standing, status),
        "run": known.run if known else None,
        "since_s": found.since_s,
        "unseen_s": found.unseen_s,
        "reports": [_report(each) for each in found.reports],
        "causes": [_cause(each) for each in found.causes],
        "rest": found.rest,
        "tried": found.tried,
        "left_out": found.left_out,
        "unknown_bits": found.unknown_bits,
        "parts": [
            {"part": part, "chance": chance}
            for part, chance in sorted(found.chance_of.items(), key=lambda each: (-each[1], each[0]))
        ],
        "next": [_next(each) for each in found.next],
        "assumed": list(found.assumed),
    }


def _report(report: Report) -> Plain:
    return {
        "name": report.name,
        "yes": report.yes,
        "looked": report.looked,
        "false_alarms": report.false_alarms,
        "misses": report.misses,
        "assumed": report.assumed,
    }


def _cause(cause: Cause) -> Plain:
    return {
        "parts": [list(group) for group in cause.parts],
        "shares": [list(shares) for shares in cause.shares],
        "shared": list(cause.shared),
        "programs": sorted(cause.programs),
        "lost": list(cause.lost),
        "chance": cause.posterior,
        "in_all": cause.in_all,
        "against": None if math.isinf(cause.against) else cause.against,
        "explains": list(cause.explains),
        "errs": list(cause.errs),
        "speaks_against": list(cause.speaks_against),
        "brings_down": list(cause.brings_down),
        "chains": [
            {
                "report": name,
                "chain": [
                    {"thing": each.thing, "says": each.says, "where": place(each.where)} for each in chain
                ],
            }
            for name, chain in cause.chains.items()
        ],
    }


def _next(each: Next) -> Plain:
    return {
        "how": each.how,
        "name": each.name,
        "says": each.says,
        "if_yes": each.option[0],
        "if_no": each.option[1],
        "yes": each.yes,
        "gain_bits": each.gain_bits,
        "minutes": each.minutes,
        "hands": each.hands,
    }


def plan_answer(standing: Standing, found: ProbePlan, changes: Changes | None, status: int) -> Plain:
    """Which probes to add, and what they still leave open."""
    return {
        **head("diagnose", standing, status),
        "probes": list(found.probes),
        "faults": found.faults,
        "told_now": found.told_now,
        "told_then": found.told_then,
        "least": found.least,
        "add": [
            {
                "name": each.name,
                "asks": each.asks,
                "sees": each.sees,
                "from": each.from_,
                "yours": each.yours,
            }
            for each in found.add
        ],
        "together": [
            {
                "parts": list(each.parts),
                "looks": list(each.looks),
                "still": [list(names) for names in each.still],
            }
            for each in found.together
        ],
        "in_blast": [
            {"probe": each.probe, "from": each.from_, "parts": list(each.parts)} for each in found.in_blast
        ],
        "half_dead": [
            {"copy": each.copy, "service": each.service, "parts": list(each.parts)}
            for each in found.half_dead
        ],
        "unseen": list(found.unseen),
        "difference": changes.difference if changes else "",
    }
