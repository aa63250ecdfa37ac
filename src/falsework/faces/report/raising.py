"""What does one sheet say of how a lab is raised: what is fragile on the way, and when each step is done?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.raising.result import Fragile, Plan, Schedule
from falsework.faces.report.calendar_bars import calendar_bars
from falsework.faces.report.fragility import fragility
from falsework.faces.report.panel import Panel, head, stacked
from falsework.faces.report.svg import COLOURS
from falsework.model.lab import Lab


def raising_sheet(
    lab: Lab,
    plan: Plan,
    fragile: Sequence[Fragile],
    schedule: Schedule | None = None,
    *,
    width: float = 1400,
    prefix: str = "raising",
) -> str:
    """The fragility curve over the calendar, as one SVG.

    Args:
        lab: the lab that is raised.
        plan: the order of work.
        fragile: how the lab is after each step.
        schedule: its calendar, if there is one.
        width: of the sheet, in px; the height follows.
        prefix: of the styles in the drawing; two drawings on one page need two.
    """
    if not plan.steps:
        nothing = "it can't be raised as it is" if plan.stuck else "nothing is left to raise"
        return stacked(
            prefix, width, [Panel(svg=head(lab.name, nothing, "", width), height=74, says=nothing)]
        )
    panels = [fragility(plan, fragile, schedule, width=width)]
    if schedule is not None and schedule.slots:
        panels.append(calendar_bars(lab, plan, schedule, width=width))
    return stacked(prefix, width, panels)


def raising_print(plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None = None) -> str:
    """The fragility curve for a sheet of paper: narrow, on white."""
    drawn = stacked("print", 700, [fragility(plan, fragile, schedule, width=700)])
    return drawn.replace(COLOURS["paper"], "#ffffff")
