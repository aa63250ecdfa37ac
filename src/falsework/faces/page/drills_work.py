"""The drills: which are worth doing, when, and may one be done today?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from shlex import quote

from falsework.analyses.drilling import Claim, Drills, Foretold, Plan, drills, may_drill, plan_for
from falsework.analyses.drilling.pacing import Date, paced
from falsework.analyses.drilling.reaching import reaches
from falsework.analyses.verdicts import Verdict
from falsework.errors import QuestionError, few
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.drill_says import count_words, does, far_words, gain_words, proved, short, worst_words
from falsework.faces.page.fragments import SHOWN, Tell, fragment, opened
from falsework.faces.page.made import Made
from falsework.faces.page.pulled import Pulled
from falsework.faces.plain_drills import drills_answer, one_answer
from falsework.support.standing import Standing
from falsework.units import DAY_S, format_time

WIDE = 240.0
"""The length of a time line."""
MOST = 120
"""Drills that are told, the first of the order: each is some 5 KiB, and a large lab has thousands."""
MOST_SAID = 60
"""Lines of any other list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What becomes of one service, on a time line of `WIDE`.

    Attributes:
        service: its name.
        says: in words.
        why: the chain of reasons.
        from_x, wide: where it is down, and how far.
        falls: whether it stays down until the put-back.
        probes: who sees it.
    """

    service: str
    says: str
    why: str
    from_x: float
    wide: float
    falls: bool
    probes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One drill as the list shows it."""

    number: int
    plan: Plan
    date: Date | None
    says: str
    proved: str
    worst: str
    spans: tuple[Span, ...]
    until: str
    claims: tuple[str, ...]
    gained: str
    stands: str
    takes: str
    see: str


def work(
    path: str,
    digest: str,
    out: tuple[str, ...],
    tell: Tell,
    *,
    begins: datetime.date | None = None,
    days: int = 14,
) -> Made:
    """Choose the drills, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another; or nobody has time for a drill.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    found, dates = _chosen(standing, begins, days, tell)
    named, reached = {claim.name: claim for claim in found.claims}, reaches(found)
    # Without a day to begin on nothing here hangs on the calendar, and the sheet stays as it is overnight: what was
    # proved counts as if that were long ago, and programs, who are told of a day, ask with one.
    rows = [
        _row(number, plan, date if begins else None, begins, named, out, gain_words(reach, reached.claims))
        for number, (plan, date, reach) in enumerate(
            islice(zip(found.plans, dates, reached.each, strict=True), MOST), 1
        )
    ]
    last = dates[-1].begins.date() if begins and dates else None
    counts = count_words(found, reached, first=len(found.plans), last=last)
    html = fragment(
        "drills_made.html.j2",
        standing,
        out,
        lead=f"{standing.lab.name}: {counts}",
        far=far_words(reached),
        rows=rows,
        broken=[(each.aim, each.says) for each in found.broken],
        more=len(found.plans) - len(rows),
        alike=found.assumed,
        unproved=found.unproved,
        most=MOST_SAID,
        command=lambda name: _command(path, name),
        path=quote(path),
        wide=WIDE,
        begins=begins.isoformat() if begins else "",
        every=days,
    )
    if begins is None:
        return Made(html=html)
    status = MET if found.whole else BROKEN
    return Made(html=html, answers={"drills": drills_answer(standing, found, dates, status)})


def work_may(path: str, digest: str, out: tuple[str, ...], tell: Tell, *, name: str) -> Made:
    """Say whether one drill may be done today, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another; or there is no such drill.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    tell("losing one part more", 0, 1)
    plan = plan_for(standing, [name])
    may = may_drill(standing, plan)
    spans, until = _spans(plan, may.effects)
    html = fragment(
        "drill_may_made.html.j2",
        standing,
        out,
        plan=plan,
        may=may,
        spans=spans,
        until=until,
        wide=WIDE,
        command=_command(path, plan.name),
    )
    return Made(html=html, answers={"drills": one_answer(standing, plan, may, MET if may.yes else BROKEN)})


def work_paper(
    path: str,
    digest: str,
    out: tuple[str, ...],
    tell: Tell,
    *,
    name: str,
    begins: datetime.date | None = None,
    days: int = 14,
) -> Made:
    """Make the calendar or the paper to take home, in a process of its own.

    Raises:
        FalseworkError: there is no such file.
    """
    kind = Path(name).suffix
    if kind not in (".ics", ".md", ".pdf"):
        raise QuestionError(f"there is no '{name}' to take home", "The sheet lists what there is.")
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    found, dates = _chosen(standing, begins or datetime.date.today(), days, tell)
    if kind == ".ics":
        # Only here, as below: what makes the file is needed by no other answer.
        from falsework.faces.drill_calendar import drill_calendar

        return Made(html="", files={name: drill_calendar(standing.lab, found.plans, dates).encode()})
    from falsework.faces.runbook.markdown import markdown
    from falsework.faces.runbook.of_drills import of_drills
    from falsework.faces.runbook.pdf import pdf

    tell("setting the paper", 0, 1)
    book = of_drills(standing.lab, found.plans, dates, found, date=found.today)
    return Made(html="", files={name: pdf(book) if kind == ".pdf" else markdown(book).encode()})


def _command(path: str, name: str) -> str:
    """What does a drill in a terminal."""
    return f"falsework drill {quote(path)} {quote(name)}"


def _chosen(
    standing: Standing, begins: datetime.date | None, days: int, tell: Tell
) -> tuple[Drills, tuple[Date, ...]]:
    found = drills(standing, begins or datetime.date.max, progress=tell)
    first = begins or datetime.date.today()
    return found, paced(standing.lab, found.plans, begins=first, every_s=days * DAY_S)


def _row(
    number: int,
    plan: Plan,
    date: Date | None,
    today: datetime.date | None,
    named: Mapping[str, Claim],
    out: Sequence[str],
    gained: str,
) -> Row:
    spans, until = _spans(plan, plan.effects)
    return Row(
        number=number,
        plan=plan,
        date=date,
        says=short(plan),
        proved=proved(plan.proved, today),
        worst=worst_words(plan.worst),
        spans=spans,
        until=until,
        claims=tuple(named[name].says for name in plan.proves),
        gained=gained,
        stands=few(plan.stands, SHOWN),
        takes=format_time(plan.hands_s + plan.lasts_s),
        see=Pulled(out=tuple(dict.fromkeys((*out, *plan.lost)))).address("/") if plan.lost else "",
    )


def _spans(plan: Plan, effects: Sequence[Foretold]) -> tuple[tuple[Span, ...], str]:
    """What becomes of each service, on one scale; and how long that is, in words.

    What is foretold for long after all else is drawn at the end of the line: its words tell when.
    """
    hit = [each for each in effects if each.verdict >= Verdict.BLINKS and not math.isinf(each.falls_s)]
    ends = [each.falls_s if math.isinf(each.back_s) else each.back_s for each in hit]
    until_s = max([60.0, *(end for end in ends if end <= max(plan.lasts_s, 60.0))]) * 1.15
    spans = []
    for each in hit:
        begins = min(each.falls_s / until_s, 0.98)
        stops = 1.0 if math.isinf(each.back_s) else min(each.back_s / until_s, 1.0)
        spans.append(
            Span(
                service=each.service,
                says=does(plan, each),
                why=each.why,
                from_x=round(begins * WIDE, 1),
                wide=round(max(stops - begins, 0.012) * WIDE, 1),
                falls=math.isinf(each.back_s),
                probes=each.probes,
            )
        )
    return tuple(spans), format_time(until_s)
