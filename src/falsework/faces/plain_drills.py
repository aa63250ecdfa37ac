"""What do the answers on drills look like to a program?"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any

from falsework.analyses.drilling import Claim, Drills, Foretold, MayDrill, Plan
from falsework.analyses.drilling.pacing import Date
from falsework.analyses.drilling.reaching import left_by, reaches
from falsework.faces.head import head
from falsework.faces.values import finite
from falsework.support.standing import Standing

Plain = dict[str, Any]


def drills_answer(standing: Standing, found: Drills, dates: Sequence[Date], status: int) -> Plain:
    """Which drills prove what the plan promises, and when; as many of them as there are dates."""
    plans, reached = found.plans[: len(dates)], reaches(found)
    return {
        **head("drills", standing, status),
        "tells": "list",
        "today": found.today.isoformat(),
        "many": len(found.plans),
        "fewest": found.fewest,
        "at_stake": reached.at_stake,
        "drills": [
            {
                **plan_value(plan),
                "on": {
                    "begins": date.begins.isoformat(),
                    "ends": date.ends.isoformat(),
                    "who": date.who,
                    "fits": date.fits,
                },
                "reach": {
                    "new": [claim.name for claim in reach.new],
                    "worst": reach.worst.word,
                    "claims": reach.claims,
                    "at_stake": reach.at_stake,
                },
            }
            for plan, date, reach in zip(plans, dates, reached.each, strict=False)
        ],
        "claims": [_claim(claim) for claim in found.claims],
        "fresh": reached.fresh,
        "left": [claim.name for claim in left_by(found, len(plans))],
        "broken": [{"aim": each.aim, "lost": list(each.lost), "says": each.says} for each in found.broken],
        "unproved": list(found.unproved),
        "assumed": list(found.assumed),
    }


def one_answer(standing: Standing, plan: Plan, may: MayDrill, status: int) -> Plain:
    """One drill, and whether it may be done today."""
    return {
        **head("drills", standing, status),
        "tells": "one",
        "drill": plan_value(plan),
        "may": may_value(may),
    }


def plan_value(plan: Plan) -> Plain:
    """A drill whole."""
    return {
        "name": plan.name,
        "title": plan.title,
        "tries": plan.tries,
        "lost": list(plan.lost),
        "stops": list(plan.stops),
        "of": list(plan.of),
        "proves": list(plan.proves),
        "worst": plan.worst.word,
        "proved": _date(plan.proved),
        "effects": [effect_value(each) for each in plan.effects],
        "stands": list(plan.stands),
        "do": list(plan.do_words),
        "watch": list(plan.watch),
        "unseen": list(plan.unseen),
        "stop_when": list(plan.stop_when),
        "put_back": list(plan.put_back_words),
        "cautions": list(plan.cautions),
        "at_risk": list(plan.at_risk),
        "after": list(plan.after),
        "held": plan.held,
        "commands": {"do": plan.do, "put_back": plan.put_back},
        "stop_after_s": finite(plan.stop_after_s),
        "lasts_s": plan.lasts_s,
        "hands_s": plan.hands_s,
        "may_stop": list(plan.may_stop),
        "own": plan.own,
        "where": None if plan.where is None else str(plan.where),
    }


def effect_value(each: Foretold) -> Plain:
    """What is foretold of one service."""
    return {
        "service": each.service,
        "verdict": each.verdict.word,
        "falls_s": finite(each.falls_s),
        "back_s": finite(each.back_s),
        "why": each.why,
        "probes": list(each.probes),
    }


def may_value(may: MayDrill) -> Plain:
    """Whether a drill may be done today."""
    return {
        "yes": may.yes,
        "says": may.says,
        "because": [
            {"what": each.what.value, "about": list(each.about), "says": each.says, "why": each.why}
            for each in may.because
        ],
        "first": list(may.first),
        "mind": list(may.mind),
        "effects": [effect_value(each) for each in may.effects],
    }


def _claim(claim: Claim) -> Plain:
    return {
        "name": claim.name,
        "sort": claim.sort.value,
        "says": claim.says,
        "about": list(claim.about),
        "lost": list(claim.lost),
        "alike": [list(each) for each in claim.alike],
        "aims": list(claim.aims),
        "worst": claim.worst.word,
        "proved": _date(claim.proved),
        "where": None if claim.where is None else str(claim.where),
    }


def _date(date: datetime.date | None) -> str | None:
    return None if date is None else date.isoformat()
