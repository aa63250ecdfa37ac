"""What is there to tell of the likeliest sets of failures?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.diagnosis.result import Cause, Report
from falsework.analyses.diagnosis.states import States
from falsework.analyses.diagnosis.watched import PING, Watched
from falsework.analyses.explain import Reason
from falsework.analyses.verdicts import Loss, Verdict, losses

Floats = NDArray[np.float64]


def causes_of(
    lab: Watched, states: States, posterior: Floats, reports: Sequence[Report], most: int
) -> tuple[Cause, ...]:
    """The likeliest sets, with what speaks for and against each."""
    order = _least(states, posterior, most)
    sets = [_lost(states, number) for number in order]
    told = losses(lab, sets[:most])
    found = []
    for at, (number, loss) in enumerate(zip(order[:most], told, strict=False)):
        events = [states.events[event] for event in states.sets.members.row(number).tolist()]
        after = posterior[order[at + 1]] if at + 1 < len(order) else 0.0
        stand = states.stands[:, number].tolist()
        found.append(
            Cause(
                parts=tuple(event.parts for event in events if not event.shared),
                shares=tuple(event.shares for event in events if not event.shared),
                shared=tuple(event.shared for event in events if event.shared),
                programs=lab.programs.intersection(part for event in events for part in event.parts),
                lost=sets[at],
                posterior=float(posterior[number]),
                in_all=_in_all(states, posterior, number),
                against=float(posterior[number] / after) if after > 0.0 else math.inf,
                explains=tuple(
                    report.name for report, up in zip(reports, stand, strict=True) if up is report.yes
                ),
                errs=tuple(
                    report.name
                    for report, up in zip(reports, stand, strict=True)
                    if up and not report.yes and not report.looked
                ),
                contradicts=tuple(
                    report.says
                    for report, up in zip(reports, stand, strict=True)
                    if up is not report.yes and (report.yes or report.looked)
                ),
                speaks_against=tuple(
                    _against(report)
                    for report, up in zip(reports, stand, strict=True)
                    if up is not report.yes
                ),
                brings_down=_besides(lab, loss, reports),
                chains={
                    report.name: _why(loss, report.thing)
                    for report, up in zip(reports, stand, strict=True)
                    if not report.yes and not up
                },
            )
        )
    return tuple(found)


def _least(states: States, posterior: Floats, most: int) -> list[int]:
    """The likeliest sets, those left out that are another one and something besides that does nothing here."""
    members = states.sets.members
    order = np.lexsort((members.sizes, -posterior))
    found: list[int] = []
    kept: dict[bytes, list[frozenset[int]]] = {}
    for number in order.tolist():
        if len(found) > most or posterior[number] <= 0.0:
            break
        mine = frozenset(members.row(number).tolist())
        alike = kept.setdefault(np.packbits(states.stands[:, number]).tobytes(), [])
        if not any(other < mine for other in alike):
            alike.append(mine)
            found.append(number)
    return found


def _in_all(states: States, posterior: Floats, number: int) -> float:
    """The chance that all of a set has happened, whatever else has."""
    members = states.sets.members
    mine = members.row(number)
    owner = np.repeat(np.arange(len(members)), members.sizes)
    if not len(mine):
        return float(posterior[number])
    has = np.bincount(owner[np.isin(members.items, mine)], minlength=len(members))
    return float(posterior[has == len(mine)].sum())


def _lost(states: States, number: int) -> tuple[str, ...]:
    """One part of each event of a set, and all parts of those that are shared causes."""
    found: dict[str, None] = {}
    for at in states.sets.members.row(number).tolist():
        event = states.events[at]
        found.update(dict.fromkeys(event.parts if event.shared else event.lost))
    return tuple(found)


def _why(loss: Loss, thing: str) -> tuple[Reason, ...]:
    """The chain of a thing; that a ping of a machine needs the machine goes without saying."""
    lab = loss.view.standing
    reasons = loss.why(thing)
    if reasons and isinstance(lab, Watched) and reasons[-1].thing in lab.programs & loss.view.lost:
        reasons = (*reasons[:-1], replace(reasons[-1], says=f"{reasons[-1].thing} fails by itself"))
    first, *rest = reasons
    return tuple(rest) if thing.startswith(PING) and rest and not first.by_wire else (first, *rest)


def _against(report: Report) -> str:
    if report.looked:
        return f"{report.says}, and would be {report.seen[report.yes]}"
    return (
        f"{report.name} is answered, and would not be"
        if report.yes
        else f"{report.name} fails, and would be answered"
    )


def _besides(lab: Watched, loss: Loss, reports: Sequence[Report]) -> tuple[str, ...]:
    """Services that fall by a loss, of which nothing was said."""
    said = {*loss.lost, *(report.thing for report in reports)}
    said |= {lab.questions[name].sees for name in said & lab.questions.keys()}
    return tuple(
        effect.service
        for effect in loss.effects
        if effect.verdict >= Verdict.FALLS
        and effect.service not in said
        and lab.baseline.back(effect.service)
    )
