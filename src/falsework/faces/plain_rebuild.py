"""What does an answer on rebuilding look like to a program?

What never comes back is null, as is what nobody says.
"""

from __future__ import annotations

import math
from typing import Any

from falsework.analyses.rebuild.result import Fate, Loss, Objective, Rebuild, Save, Source, Teardown, Work
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.faces.values import finite, guess
from falsework.support.standing import Standing
from falsework.units import ThreePoint

Plain = dict[str, Any]


def rebuild_answer(standing: Standing, found: Rebuild, status: int) -> Plain:
    """Every thing alone, and the whole lab."""
    return {
        **head("rebuild", standing, status),
        "losses": [_loss(each) for each in found.losses],
        "teardown": _teardown(found.teardown),
    }


def loss_answer(standing: Standing, loss: Loss, status: int) -> Plain:
    """One loss."""
    return {**head("rebuild", standing, status), "loss": _loss(loss)}


def _loss(loss: Loss) -> Plain:
    return {
        "lost": list(loss.lost),
        "alike": list(loss.alike),
        "destroyed": list(loss.destroyed),
        "fallen": list(loss.fallen),
        "way": loss.way.value,
        "fates": [_fate(each) for each in loss.fates],
        "works": [_work(each) for each in loss.works],
        "back": _three(loss.back_s),
        "hands_s": loss.hands_s,
        "objectives": [_objective(each) for each in loss.objectives],
        "stand_ins": list(loss.stand_ins),
        "assumed": list(loss.assumed),
    }


def _fate(fate: Fate) -> Plain:
    return {
        "id": fate.thing,
        "is": fate.word,
        "way": fate.way.value,
        "source": None if fate.source is None else _source(fate.source),
        "stand_ins": list(fate.stand_ins),
        "would_do": list(fate.would_do),
        "would_keep": list(fate.would_keep),
        "mend": fate.mend,
        "reasons": list(fate.reasons),
        "circle": list(fate.circle),
        "size_bytes": fate.size,
        "loses_s": finite(fate.loses_s),
        "back_s": finite(fate.back_s),
    }


def _source(source: Source) -> Plain:
    return {
        "to": list(source.to),
        "every_s": source.every_s,
        "proved": source.proved.isoformat() if source.proved else None,
        "outside": source.outside,
        "needs": list(source.needs),
        "where": place(source.where),
    }


def _work(work: Work) -> Plain:
    return {
        "number": work.number,
        "task": work.task.value,
        "things": list(work.things),
        "says": work.says,
        "after": list(work.after),
        "takes": _three(work.takes),
        "hands_s": work.hands_s,
        "waits_s": work.waits_s,
        "begins_s": work.begins_s,
        "ends_s": work.ends_s,
        "moves_bytes": work.moves,
        "slowest": work.slowest,
        "by": list(work.by),
        "command": work.command,
        "check": work.check,
        "back": work.back,
        "cautions": list(work.cautions),
        "assumed": work.assumed,
    }


def _objective(each: Objective) -> Plain:
    return {
        "data": each.data,
        "met": each.met,
        "may_lose_s": each.may_lose_s,
        "loses_s": finite(each.loses_s),
        "back_within_s": each.back_within_s,
        "back_s": finite(each.back_s),
        "where": place(each.where),
    }


def _teardown(found: Teardown) -> Plain:
    return {
        "remains": list(found.remains),
        "saves": [_save(each) for each in found.saves],
        "size_bytes": found.size,
        "takes_s": found.takes_s,
        "proven": found.proven,
        "unsaved": _loss(found.unsaved),
        "saved": _loss(found.saved),
        "gone": list(found.gone),
    }


def _save(save: Save) -> Plain:
    return {
        "id": save.thing,
        "is": save.word,
        "size_bytes": save.size,
        "to": save.to,
        "why": list(save.why),
        "brings": list(save.brings),
        "takes_s": save.takes_s,
        "slowest": save.slowest,
        "assumed": save.assumed,
        "where": place(save.where),
    }


def _three(three: ThreePoint) -> Plain | None:
    """A guess, or null where it never ends."""
    if not all(map(math.isfinite, (three.low, three.likely, three.high))):
        return None
    return guess(three)
