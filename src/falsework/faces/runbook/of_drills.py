"""How are drills told on paper, to be ticked off?"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from falsework.analyses.drilling import Drills, Plan
from falsework.analyses.drilling.pacing import Date
from falsework.analyses.drilling.reaching import left_by, reaches
from falsework.analyses.verdicts import Verdict
from falsework.errors import few, sentence
from falsework.faces.drill_says import count_words, does, far_words, left_words, proved
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table
from falsework.model.lab import Lab
from falsework.units import format_time

READING = (
    "One drill a box, in the order in which to do them; tick one only when it went as foretold.",
    "Ask on the day whether it may be done: falsework drills LAB NAME. Do none while something is out that it leans on.",
)
MOST_EFFECTS = 12


def of_drills(
    lab: Lab, plans: Sequence[Plan], dates: Sequence[Date], found: Drills | None, *, date: datetime.date
) -> Runbook:
    """The paper of the drills.

    Args:
        lab: the lab.
        plans: the drills.
        dates: when each is planned, in the same order.
        found: what they prove, where the whole list was made.
        date: the day it is made for.
    """
    chapters = []
    if found is not None and found.claims:
        chapters.append(
            Chapter(title="What they prove", tables=(_claims(found, plans),), says=found.unproved),
        )
    boxes = tuple(
        _box(number, plan, on, date) for number, (plan, on) in enumerate(zip(plans, dates, strict=True), 1)
    )
    chapters.append(Chapter(title="The drills", says=READING, boxes=boxes))
    return Runbook(
        title="Drills" if len(plans) != 1 else f"Drill: {plans[0].name}",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=tuple(map(sentence, _lead(plans, dates, found))),
        cautions=cautions(lab),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _lead(plans: Sequence[Plan], dates: Sequence[Date], found: Drills | None) -> Iterator[str]:
    last = dates[-1].begins.date() if dates else None
    if found is None:
        if last:
            yield f"planned for {last:%Y-%m-%d}"
        return
    reached = reaches(found)
    yield count_words(found, reached, first=len(plans), last=last)
    for broken in found.broken:
        yield f"not held by the plan, so mend it first: {broken.says}"
    for said in (far_words(reached), left_words(left_by(found, len(plans)))):
        if said:
            yield said


def _claims(found: Drills, plans: Sequence[Plan]) -> Table:
    by: dict[str, list[str]] = {}
    for number, plan in enumerate(plans, 1):
        for name in plan.proves:
            by.setdefault(name, []).append(str(number))
    return Table(
        title="",
        head=("claim", "last", "drill"),
        rows=tuple(
            (
                claim.says,
                claim.proved.isoformat() if claim.proved else "never",
                ", ".join(by.get(claim.name, ("none",))),
            )
            for claim in found.claims
        ),
        widths=(12, 3, 2),
    )


def _box(number: int, plan: Plan, on: Date, today: datetime.date) -> Box:
    stays = any(each.verdict >= Verdict.FALLS for each in plan.effects)
    after = (f"{few(plan.after, 6)} went well: {plan.held}",) if plan.after else ()
    more = len(plan.effects) - MOST_EFFECTS
    foretold = [f"{each.service} {does(plan, each)}" for each in plan.effects[:MOST_EFFECTS]]
    return Box(
        number=str(number),
        says=f"{sentence(plan.name)} {' '.join(plan.do_words)}",
        takes=format_time(plan.hands_s + plan.lasts_s),
        hands=f"{format_time(plan.hands_s)} of work{f', {on.who}' if on.who else ''}",
        when=f"{on.begins:%Y-%m-%d %H:%M}",
        needs=after,
        command=plan.do,
        check=" ".join(plan.watch),
        back=" ".join(plan.put_back_words) + (f" Your command: {plan.put_back}" if plan.put_back else ""),
        shaky=stays,
        outage=(*foretold, *([f"and {more} more"] if more > 0 else [])) or ("nothing",),
        notes=(*(f"Stop: {each}" for each in plan.stop_when), sentence(proved(plan.proved, today))),
        cautions=plan.cautions,
    )
