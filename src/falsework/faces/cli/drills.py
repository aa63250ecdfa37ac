"""Which drills are worth doing, in which order and when, and may one be done today?"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.analyses.drilling import Drills, MayDrill, Plan, drills, may_drill, plan_for
from falsework.analyses.drilling.pacing import EVERY_S, Date, paced
from falsework.analyses.drilling.reaching import left_by, reaches
from falsework.analyses.drilling.result import proofs
from falsework.errors import QuestionError, counted, few, sentence
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.words import without
from falsework.faces.drill_says import (
    count_words,
    does,
    far_words,
    gain_words,
    left_words,
    proved,
    short,
    worst_words,
)
from falsework.support.standing import Standing
from falsework.units import Dimension, format_time

MOST_DRILLS, MOST_TOLD = 10, 4
_WIDTH = 11
_LEFT = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    names: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    calendar: Path | None = None
    every: str | None = None
    from_: str | None = None
    runbook: Path | None = None
    paper: str = "a4"
    first: int | None = None
    json: bool = False
    all: bool = False


def drills_of(asked: Asked) -> int:
    """Choose the drills, or ask about one; print it, write what was asked for, return the exit status.

    Returns:
        1 where an aim is not held by the plan, so that there is something to mend before it can be proved; for one
        drill 1 where it may not be done today.

    Raises:
        FalseworkError: the file, the question, or the place for what is written.
    """
    check_place(asked.runbook, asked.paper)
    begins = _day(asked.from_)
    every_s = _pace(asked.every)
    if asked.names and asked.first is not None:
        raise QuestionError(
            "--first is of the list, and a NAME asks about one drill", "Leave one of them away."
        )
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        if asked.names:
            # What of the list is known of it without making the list: what it is, not what it proves.
            plan = plan_for(standing, asked.names)
            may = may_drill(standing, plan)
            if asked.runbook is not None or asked.calendar is not None:
                _write(
                    asked,
                    standing,
                    (plan,),
                    paced(standing.lab, (plan,), begins=begins, every_s=every_s),
                    None,
                )
        else:
            found = drills(standing, begins, progress=tell)
            dates = paced(standing.lab, found.plans[: asked.first], begins=begins, every_s=every_s)
            _write(asked, standing, found.plans[: asked.first], dates, found)
    if asked.names:
        status = MET if may.yes else BROKEN
        if asked.json:
            from falsework.faces.plain_drills import one_answer

            put_text(json.dumps(one_answer(standing, plan, may, status), indent=2, allow_nan=False) + "\n")
        else:
            put(one_lines(plan, may))
            put(_written(asked))
        return status
    status = MET if found.whole else BROKEN
    if asked.json:
        # Only here, as above: who reads it as text needs none of it.
        from falsework.faces.plain_drills import drills_answer

        put_text(json.dumps(drills_answer(standing, found, dates, status), indent=2, allow_nan=False) + "\n")
    else:
        put(lines(standing, found, dates, every=asked.all))
        put(_written(asked))
    return status


def lines(standing: Standing, found: Drills, dates: Sequence[Date], *, every: bool) -> Iterator[Line]:
    """The list for people: short answer first, then the drills in their order, as many as there are dates."""
    plans, reached = found.plans[: len(dates)], reaches(found)
    last = dates[-1].begins.date() if dates else None
    counts = count_words(found, reached, first=len(plans), last=last)
    yield Line(f"{standing.lab.name}: {counts}", style="head")
    for broken in found.broken[: None if every else MOST_TOLD]:
        aim = f" ('{broken.aim}')" if broken.aim else ""
        yield labelled("broken", f"{broken.says}{aim}: mend it before you prove it", style="broken")
    if len(found.broken) > MOST_TOLD and not every:
        yield labelled(
            "", f"and {len(found.broken) - MOST_TOLD} more; `falsework check` tells how to mend them"
        )
    if said := far_words(reached):
        yield Line(said)
    if left := left_by(found, len(plans)):
        yield labelled("left", sentence(left_words(left)), style="thin", width=_LEFT)
        for claim in left[: None if every else MOST_TOLD]:
            yield labelled("", claim.says, width=_LEFT)
        if len(left) > MOST_TOLD and not every:
            yield labelled("", f"and {len(left) - MOST_TOLD} more; --all lists them", width=_LEFT)
    yield Line()
    shown = plans if every or len(plans) < len(found.plans) else plans[:MOST_DRILLS]
    for number, (plan, date) in enumerate(zip(shown, dates, strict=False), 1):
        reach = reached.each[number - 1]
        yield Line(plan.name, f"{number:>3}. {date.begins:%Y-%m-%d}  ", "head")
        says = f"{plan.title}: {short(plan)}" if plan.title != plan.name else short(plan)
        yield labelled("", says, width=18)
        worst = worst_words(reach.worst)
        worst = f"; if it is wrong, {worst}" if worst else ""
        tells = gain_words(reach, reached.claims)
        yield labelled("", f"{proved(plan.proved, found.today)}{worst}; {tells}", style="quiet", width=18)
        if plan.after:
            yield labelled("", f"not before {few(plan.after, 3)}: {plan.held}", style="thin", width=18)
    if len(shown) < len(plans):
        yield labelled("", f"and {len(plans) - len(shown)} more; --all lists them", width=5)
    yield Line()
    if every:
        for claim in found.claims:
            by = ", ".join(proofs(plans, claim)) or "by none of these"
            yield labelled("claim", f"{claim.says} ({by})", style="quiet")
    for each in found.unproved:
        yield labelled("unproved", each, style="thin", width=10)
    for each in found.assumed if every else ():
        yield labelled("taken", each, style="quiet")
    if found.assumed and not every:
        yield Line(
            f"{counted(len(found.assumed), 'group')} of losses are taken for equal, each proved by one; --all lists them."
        )
    yield Line("`falsework drills LAB NAME` shows one whole, and says whether it may be done today.")


def one_lines(plan: Plan, may: MayDrill) -> Iterator[Line]:
    """One drill whole, the answer first."""
    yield Line(
        f"Drill {plan.name}{without(may.out)}: {plan.title}"
        if plan.title != plan.name
        else f"Drill {plan.name}{without(may.out)}",
        style="head",
    )
    yield Line(sentence(may.says), "May it be done today: ", "stands" if may.yes else "falls")
    for each in may.because[:MOST_TOLD]:
        yield labelled("no", each.says, style="falls", indent=2, width=_WIDTH)
        if each.why:
            yield labelled("why", each.why, style="quiet", indent=2, width=_WIDTH)
    if len(may.because) > MOST_TOLD:
        yield labelled("", f"and {len(may.because) - MOST_TOLD} more", style="quiet", indent=2, width=_WIDTH)
    yield from _listed("first", may.first)
    yield Line()
    for number, effect in enumerate(may.effects):
        seen = f"; seen by {few(effect.probes)}" if effect.probes else "; no probe sees it"
        yield labelled(
            "" if number else "foretold",
            f"{effect.service} {does(plan, effect)}{seen}",
            indent=2,
            width=_WIDTH,
        )
    hit = {each.service for each in may.effects}
    stands = [name for name in plan.stands if name not in hit]
    if stands:
        says = f"{few(stands, 6)} {'stands' if len(stands) == 1 else 'stand'}"
        yield labelled("" if may.effects else "foretold", says, indent=2, width=_WIDTH)
    yield Line()
    yield from _listed("do", plan.do_words, numbered=True)
    if plan.do:
        yield labelled("yours", plan.do, indent=2, width=_WIDTH)
    yield from _listed("watch", plan.watch)
    yield from _listed("stop", plan.stop_when)
    yield from _listed("put back", plan.put_back_words, numbered=True)
    if plan.put_back:
        yield labelled("yours", plan.put_back, indent=2, width=_WIDTH)
    yield Line()
    yield from _listed("mind", (*may.mind, *plan.cautions), style="thin")
    takes = (
        f"about {format_time(plan.hands_s + plan.lasts_s)}, {format_time(plan.lasts_s)} of it watching"
        if plan.lasts_s
        else f"about {format_time(plan.hands_s)}"
    )
    yield labelled("takes", takes, style="quiet", indent=2, width=_WIDTH)
    yield Line()
    if may.yes:
        yield Line(f"Do it with a stopwatch: falsework drill LAB '{plan.name}'")
    else:
        yield Line("Ask again once that is mended.")


def _listed(label: str, said: Sequence[str], *, style: str = "", numbered: bool = False) -> Iterator[Line]:
    for number, each in enumerate(said, 1):
        text = f"{number}. {each}" if numbered and len(said) > 1 else each
        yield labelled(label if number == 1 else "", text, style=style, indent=2, width=_WIDTH)


def _write(
    asked: Asked, standing: Standing, plans: Sequence[Plan], dates: Sequence[Date], found: Drills | None
) -> None:
    """What was asked to be written; an older file is replaced."""
    if asked.calendar is not None:
        # Only here, as below: what makes the file is needed by no other answer.
        from falsework.faces.drill_calendar import drill_calendar

        write(asked.calendar, drill_calendar(standing.lab, plans, dates), over=True)
    if asked.runbook is not None:
        from falsework.faces.runbook.of_drills import of_drills

        write_runbook(
            asked.runbook,
            of_drills(standing.lab, plans, dates, found, date=_day(asked.from_)),
            paper=asked.paper,
        )


def _written(asked: Asked) -> Iterator[Line]:
    for what, path in (("calendar", asked.calendar), ("runbook", asked.runbook)):
        if path is not None:
            yield Line(f"The {what} is in {path}.")


def _day(text: str | None) -> datetime.date:
    if text is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise QuestionError(
            f"--from '{text}' is no day", "Write year, month and day, as in 2026-12-04."
        ) from None


def _pace(text: str | None) -> float:
    if text is None:
        return EVERY_S
    return units.asked(text, Dimension.TIME, by="--every")
