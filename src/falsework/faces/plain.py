"""What does an answer look like to a program: the same facts as at the terminal, as JSON values?

Keys are added and never change their meaning; `answers.py` beside it holds the schema.
A time without end is null.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from falsework.analyses.aims import AimResult, effect_words
from falsework.analyses.explain import Reason
from falsework.analyses.margin import Margin
from falsework.analyses.taking_down import TakingDown
from falsework.analyses.verdicts import Effect, Loss, Verdict
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.findings.finding import Finding
from falsework.findings.keyed import key
from falsework.model.lab import Assumption
from falsework.study import Study
from falsework.support.graph import Lean, Support
from falsework.support.standing import Standing

Plain = dict[str, Any]


def check_answer(study: Study) -> Plain:
    """Everything that one check found out."""
    singles, pairs = study.singles, study.pairs
    hurt = singles.verdicts >= Verdict.FALLS
    return {
        **head("check", study.standing, study.status),
        "aims": [_aim(each) for each in study.aims],
        "findings": [finding_plain(each) for each in study.findings],
        "services": [
            {
                "id": service,
                "single_points": [part for column, part in enumerate(singles.parts) if hurt[row, column]],
                "pairs": pairs.only_together[row],
            }
            for row, service in enumerate(singles.services)
        ],
        "assumed": [_assumed(each) for each in study.lab.assumptions],
    }


def lose_answer(
    standing: Standing, loss: Loss, margins: Sequence[Margin], down: TakingDown, status: int
) -> Plain:
    """What losing some parts does to every service, in lab order, and whether they may be taken down."""
    return {
        **head("lose", standing, status),
        "lost": list(loss.lost),
        "worst": loss.worst.word,
        "services": [
            {
                **effect(each),
                "already": not standing.baseline.back(each.service),
                "why": []
                if each.verdict <= Verdict.THIN
                else [_reason(step) for step in loss.why(each.service)],
            }
            for each in loss.effects
        ],
        "margin": [{"service": each.thing, "single_points": list(each.singles)} for each in margins],
        "taking_down": _taking_down(down),
    }


def _taking_down(down: TakingDown) -> Plain:
    return {
        "may": down.may.word,
        "says": down.says,
        "because": [
            {
                "what": str(each.what),
                "may": each.may.word,
                "about": list(each.about),
                "says": each.says,
                "after_s": _seconds(each.after_s),
                "why": [_reason(step) for step in each.why],
            }
            for each in down.because
        ],
        "first": list(down.first),
        "within_s": _seconds(down.within_s),
        "aims": list(down.aims),
        "not_asked": [{"name": each.name, "says": each.says} for each in down.not_asked],
        "caution": down.caution,
    }


def why_answer(
    standing: Standing, thing: Support, margin: Margin, leans: Sequence[tuple[Lean, str]]
) -> Plain:
    """What a thing leans on, and how much it can lose."""
    return {
        **head("why", standing, 0),
        "thing": thing.id,
        "is": thing.word,
        "where": place(thing.where),
        "stands": margin.stands,
        "leans": [_lean(lean, says) for lean, says in leans],
        "margin": {
            "least": margin.least,
            "single_points": list(margin.singles),
            "n_pairs": margin.n_pairs,
            "pairs": [list(pair) for pair in margin.pairs],
        },
    }


def why_lost_answer(standing: Standing, loss: Loss, of: Effect, thing: Support, status: int) -> Plain:
    """What losing some parts does to one thing, with the whole chain."""
    return {
        **head("why", standing, status),
        "thing": thing.id,
        "is": thing.word,
        "where": place(thing.where),
        "lost": list(loss.lost),
        "effect": effect(of),
        "chain": [_reason(step) for step in loss.why(thing.id)],
    }


def effect(of: Effect) -> Plain:
    """A verdict with its times."""
    interrupted = of.verdict >= Verdict.BLINKS
    return {
        "id": of.service,
        "verdict": of.verdict.word,
        "says": effect_words(of),
        "falls_s": _seconds(of.falls_s) if interrupted else None,
        "back_s": _seconds(of.falls_s + of.blinks_s) if of.verdict is Verdict.BLINKS else None,
        "before": {
            "falls_s": _seconds(of.before.falls_s),
            "back_s": _seconds(of.before.falls_s + of.before.back_s),
        }
        if of.before is not None
        else None,
    }


def _aim(aim: AimResult) -> Plain:
    return {
        "name": aim.name,
        "met": aim.met,
        "says": aim.says,
        "why": list(aim.why),
        "lost": list(aim.witness.lost) if aim.witness else [],
        "effect": effect(aim.effect) if aim.effect else None,
        "tried": aim.tried,
        "where": place(aim.where),
    }


def finding_plain(finding: Finding) -> Plain:
    """One thing worth telling."""
    return {
        "key": key(finding),
        "code": finding.code,
        "level": finding.level.word,
        "says": finding.says,
        "why": list(finding.why),
        "mend": finding.mend,
        "caution": finding.caution,
        "things": list(finding.things),
        "services": list(finding.services),
        "where": place(finding.where),
    }


def _assumed(assumption: Assumption) -> Plain:
    return {
        "key": assumption.key,
        "value": assumption.value,
        "source": assumption.source,
        "things": list(assumption.things),
    }


def _reason(reason: Reason) -> Plain:
    return {"thing": reason.thing, "says": reason.says, "where": place(reason.where)}


def _lean(lean: Lean, says: str) -> Plain:
    return {
        "role": str(lean.role),
        "says": says,
        "on": list(lean.on),
        "enough": lean.enough,
        "phases": sorted(str(each) for each in lean.phases),
        "hold_s": _seconds(lean.hold_s),
        "where": place(lean.where),
    }


def _seconds(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
