"""What does a report say of how the lab is raised: stand-ins, steps, what is fragile, and what waits for each other?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from falsework.analyses.raising.raised import Raised
from falsework.analyses.raising.result import Doing, Plan, Step
from falsework.analyses.raising.telling import hanging, headline, told
from falsework.errors import capital, listed, sentence
from falsework.faces.report.calendar_bars import calendar_bars
from falsework.faces.report.chances import Figure
from falsework.faces.report.fragility import fragility
from falsework.faces.report.panel import stacked
from falsework.model.lab import Lab
from falsework.model.people import StandIn
from falsework.units import format_time

MOST_STEPS = 200
MOST_THINGS = 1000
"""A larger lab is raised by its own command, which may take its time."""
MOST_PARTS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Raising:
    """The section, ready to be set.

    Attributes:
        bad: whether there is no order.
        lead: the short answer, a sentence without its full stop.
        says: what else belongs to it, likewise.
        figures: drawings, each for a sheet of its own in print.
        stand_ins: the stand-in, in place of what, from which step to which.
        steps: number, what, how long, work in it, and what it needs or cannot undo.
        more_steps: how many are not listed.
        hangs: what hangs on one part on the way: the part, how long, what it stops.
        loops: what waits for each other, in sentences; empty where nothing is known of it.
    """

    bad: bool
    lead: str
    says: tuple[str, ...]
    figures: tuple[Figure, ...]
    stand_ins: tuple[tuple[str, str, str], ...]
    steps: tuple[tuple[str, str, str, str, str], ...]
    more_steps: int
    hangs: tuple[tuple[str, str, str], ...]
    loops: tuple[str, ...]


def asks_for_it(lab: Lab) -> bool:
    """Whether a lab file speaks of being raised, and is small enough for a report to work that out on the way."""
    today = lab.today is not None and (lab.today.built is not None or lab.today.not_built is not None)
    return len(lab.things) <= MOST_THINGS and bool(lab.of(StandIn) or lab.order or today)


def raising(lab: Lab, found: Raised | None, *, loops: Sequence[str] = ()) -> Raising | None:
    """What is said of raising; None where it was not worked out, or where nothing is left to raise.

    Args:
        lab: the lab.
        found: the order of work, and what goes with it.
        loops: what waits for each other, a sentence a loop, without full stops.
    """
    if found is None or not (found.plan.steps or found.plan.stuck):
        return None
    plan = found.plan
    return Raising(
        bad=bool(plan.stuck),
        lead=capital(headline(plan, found.schedule)),
        says=tuple(map(capital, told(plan, found.fragile, found.schedule))),
        figures=tuple(_figures(lab, found)),
        stand_ins=tuple(_stand_ins(plan)),
        steps=tuple(map(_step, plan.steps[:MOST_STEPS])),
        more_steps=max(len(plan.steps) - MOST_STEPS, 0),
        hangs=tuple(
            (each.part, format_time(each.seconds), listed(each.services, 5))
            for each in hanging(plan, found.fragile, found.schedule)[:MOST_PARTS]
        ),
        loops=tuple(map(capital, loops)),
    )


def _figures(lab: Lab, found: Raised) -> Iterator[Figure]:
    if not found.plan.steps:
        return
    curve = fragility(found.plan, found.fragile, found.schedule)
    yield Figure(
        svg=Markup(stacked("fragility", 1400, [curve])),
        caption="A column a step. What is hatched heavily hangs on one part and will not in the end; stand-ins stand below.",
    )
    if found.schedule is not None and found.schedule.slots:
        yield Figure(
            svg=Markup(stacked("calendar", 1400, [calendar_bars(lab, found.plan, found.schedule)])),
            caption="The first step lies at the bottom, each later one a course higher; idle hours are cut out.",
        )


def _stand_ins(plan: Plan) -> Iterator[tuple[str, str, str]]:
    for name in plan.stand_ins:
        lent = [step.number for step in plan.steps if step.doing is Doing.LEND and name in step.things]
        gone = [step.number for step in plan.steps if step.doing is Doing.RETIRE and name in step.things]
        over = dict.fromkeys(
            thing
            for step in plan.steps
            if step.doing is Doing.HAND_OVER and step.of == name
            for thing in step.things
        )
        begins = f"from step {lent[0]}" if lent else "from the beginning"
        yield (
            name,
            listed(list(over), 6),
            f"{begins} {f'to step {gone[0]}' if gone else 'on, never taken away'}",
        )


def _step(step: Step) -> tuple[str, str, str, str, str]:
    out = [name for name, seconds in (step.out_s or {}).items() if seconds > 0]
    mind = [
        *([f"no way back: {step.no_return}"] if step.no_return else []),
        *([f"interrupts {listed(out, 4)}"] if out else []),
        *step.cautions,
    ]
    return (
        str(step.number),
        f"{capital(step.says)}{f' (cut-over from {step.of})' if step.of else ''}",
        f"{format_time(step.takes.likely)}{' (assumed)' if step.assumed else ''}",
        format_time(step.hands_s) if step.hands_s else "none",
        " ".join(map(sentence, mind)),
    )
