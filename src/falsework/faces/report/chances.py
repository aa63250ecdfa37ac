"""What does a report say of how often, how long, and what matters most?"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from falsework.analyses.odds.result import DataOdds, Odds
from falsework.analyses.years.result import Years
from falsework.analyses.years.words import headline, told
from falsework.faces.amounts import lasting_said, minutes_said, often_said, share_said
from falsework.faces.limits import limits, named
from falsework.faces.report.causes import causes
from falsework.faces.report.minutes import minutes
from falsework.faces.report.odds import worst_of
from falsework.faces.report.panel import stacked
from falsework.faces.report.spread import years_sheet
from falsework.faces.report.stops import stops
from falsework.support.standing import Standing

MOST_PARTS = 8
MOST_DATA = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A drawing and what is written below it."""

    svg: Markup
    caption: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """The section, ready to be set.

    Attributes:
        lead: the short answer, a sentence without its full stop.
        figures: drawings, each for a sheet of its own in print.
        mend: parts to mend first: how much that takes off, the part, off which services.
        hangs: for the worst service, what its figure hangs on: share, key, of what.
        worst: the worst service.
        data: how often data are gone: data, how often, how often from a backup.
        story: a bad year, in sentences; empty where no years were drawn.
        notes: what was assumed, and what the figures mean.
    """

    lead: str
    figures: tuple[Figure, ...]
    mend: tuple[tuple[str, str, str], ...]
    hangs: tuple[tuple[str, str, str], ...]
    worst: str
    data: tuple[tuple[str, str, str], ...]
    story: tuple[str, ...]
    notes: tuple[str, ...]


def chances(standing: Standing, found: Odds | None, years: Years | None = None) -> Chances | None:
    """What is said of how often and how long; None where it was not worked out.

    Args:
        standing: the lab.
        found: what was worked out.
        years: years drawn, if any were.
    """
    if found is None or not found.services:
        return None
    worst = found.services[0]
    exact = all(each.exact for each in found.services)
    notes = [
        "These are expectations over many years: most years have less than that, and a bad one far more",
        "Time out is exact, given the figures of the parts"
        if exact
        else "Where a figure is not exact, it is proven to lie between its bounds, given the figures of the parts",
        *(f"Assumed: {each}" for each in found.assumed),
    ]
    return Chances(
        lead=f"{named(standing, worst.service)} is out most, {minutes_said(worst.minutes.best)} a year expected, "
        f"and stops {often_said(worst.per_year)}",
        figures=tuple(_figures(standing, found, years)),
        mend=tuple(_mend(found)),
        hangs=tuple(
            (share_said(each.share), f"{each.key}{'' if each.said else ' (assumed)'}", each.of)
            for each in worst.hangs[:6]
        ),
        worst=worst.service,
        data=tuple(map(_data, sorted(found.data, key=lambda each: -each.lost_per_year)[:MOST_DATA])),
        story=(headline(years), *(told(years.story) if years.story else ())) if years is not None else (),
        notes=tuple(notes),
    )


def _figures(standing: Standing, found: Odds, years: Years | None) -> list[Figure]:
    worst = worst_of(standing, found)
    figures = [
        Figure(
            svg=Markup(stacked("minutes", 1400, [minutes(found, limits(standing))])),
            caption="A bar for each service, worst first: how much of it is out, coming up, interrupted or stumbled.",
        )
    ]
    if worst:
        figures.append(
            Figure(
                svg=Markup(stacked("causes", 1400, [causes(worst), stops(standing, worst)])),
                caption="What the worst services are out of. Each small elevation is one way to stop the service.",
            )
        )
    if years is not None and years.years:
        figures.append(
            Figure(
                svg=Markup(years_sheet(years)),
                caption="No year is the mean one: most have less than that, and a few have far more.",
            )
        )
    return figures


def _mend(found: Odds) -> list[tuple[str, str, str]]:
    rows = []
    for weight in [each for each in found.weights if each.minutes_off > 0][:MOST_PARTS]:
        off = [
            (mine.minutes_off, each.service)
            for each in found.services
            for mine in each.weights
            if mine.name == weight.name and mine.minutes_off > 0
        ]
        off.sort(key=lambda pair: -pair[0])
        said = ", ".join(f"{service} {minutes_said(much)}" for much, service in off[:4])
        more = f" and {len(off) - 4} more" if len(off) > 4 else ""
        rows.append((weight.name, minutes_said(weight.minutes_off), f"{said}{more}"))
    return rows


def _data(each: DataOdds) -> tuple[str, str, str]:
    back = "never"
    if each.restored_per_year > 0:
        work = f", {lasting_said(each.work_lost_s)} of work lost" if each.work_lost_s else ""
        back = f"{often_said(each.restored_per_year)}{work}"
    return each.data, often_said(each.lost_per_year), back
