"""The year: how often and how long is each service out, what of, and what would years of it look like?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from falsework.analyses.odds.odds import LISTED, odds
from falsework.analyses.odds.result import MINUTES, Odds, ServiceOdds, Within
from falsework.analyses.years.result import ServiceYears, Years
from falsework.analyses.years.words import headline, told
from falsework.analyses.years.years import years
from falsework.faces.amounts import (
    cut_said,
    lasting_said,
    minutes_said,
    often_said,
    orders_said,
    range_said,
    share_said,
)
from falsework.faces.cli.odds import USUAL_DRAWS, status_of
from falsework.faces.cli.running import MET, STOPPED
from falsework.faces.limits import limits, passed
from falsework.faces.odds_words import nothing_listed, summary
from falsework.faces.page.fragments import Tell, bare, bared, fragment, interruptible, opened
from falsework.faces.page.made import Made
from falsework.faces.plain_odds import odds_answer
from falsework.faces.plain_years import years_answer
from falsework.faces.report.chances import Figure, chances
from falsework.faces.report.odds import odds_sheet
from falsework.faces.report.spread import years_sheet
from falsework.faces.years_words import DRAWN, HEAD, HEAD_SAYS, data_said, row
from falsework.support.standing import Standing

USUAL_YEARS = 1_000
MOST_TOLD = 60
"""Services of which all is told; the command tells the rest."""
MOST_SETS = 8
MOST_WEIGHTS = 6
MOST_HANGS = 6
MOST_DATA = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """All that the sheet says of one service, in words.

    Attributes:
        service: its name.
        over: whether it is out for longer than an aim allows.
        minutes: a year.
        says: what they are made of.
        sets: how many sets of parts stop it.
        cuts: the likeliest: minutes, how often, what is out together.
        rest: minutes of whatever else, at most; empty where there is no more.
        weights: what helps most: the part, minutes less a year.
        hangs: share, key, of what.
    """

    service: str
    over: bool
    minutes: str
    says: str
    sets: str
    cuts: tuple[tuple[str, str, str], ...]
    rest: str
    weights: tuple[tuple[str, str], ...]
    hangs: tuple[tuple[str, str, str], ...]


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Work out how often and how long, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    tell("working out each service", 0, len(standing.support.services))
    found = odds(
        standing,
        draws=USUAL_DRAWS,
        listed=LISTED,
        progress=lambda done, of: tell("working out each service", done, of),
    )
    tell("drawing", 0, 1)
    plain, status = without_ranges(found), status_of(standing, found)
    section = chances(standing, found)
    if section is not None:
        section = replace(section, figures=bared(section.figures))
    html = fragment(
        "year_made.html.j2",
        standing,
        out,
        chances=section,
        rows=tuple(_rows(standing, found)),
        told=tuple(_told(standing, found)),
        more=max(len(found.services) - MOST_TOLD, 0),
    )
    return Made(
        html=html,
        answers={
            "odds": odds_answer(standing, plain, status),
            "odds --ranges": odds_answer(standing, found, status),
        },
        files={"odds.svg": f"{odds_sheet(standing, found)}\n".encode()},
    )


def work_years(path: str, digest: str, out: tuple[str, ...], tell: Tell, *, count: int = USUAL_YEARS) -> Made:
    """Draw years, in a process of its own; stopped early, those that were drawn by then are told.

    Raises:
        FalseworkError: the lab can't be read any more, or is another; or nobody can draw so many years.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    with interruptible():
        found = years(standing, count=count, progress=tell)
    tell("drawing", 0, 1)
    drawn = years_sheet(found) if found.years else ""
    figure = Figure(
        svg=bare(drawn), caption="No year is the mean one: most have less than that, and a few have far more."
    )
    html = fragment(
        "years_made.html.j2",
        standing,
        out,
        count=count,
        lead=headline(found),
        figure=figure if drawn else None,
        head=("service", *HEAD[1:]),
        head_says=HEAD_SAYS,
        rows=tuple(row(each) for each in _worst_first(found)) if drawn else (),
        data=tuple(
            (each.data, data_said(each))
            for each in sorted(found.data, key=lambda each: (-each.gone, -each.restores))[:MOST_DATA]
        )
        if drawn
        else (),
        story=told(found.story) if found.story is not None else (),
        assumed=found.assumed,
        drawn=DRAWN,
    )
    status = STOPPED if found.stopped else MET
    return Made(
        html=html,
        answers={"years": years_answer(standing, found, status)},
        files={"years.svg": f"{drawn}\n".encode()} if drawn else {},
    )


def without_ranges(found: Odds) -> Odds:
    """The same as if no ranges had been asked for.

    A figure may differ in its last binary digit: with ranges many draws are added up at once, in another order.
    """

    def best(figure: Within) -> Within:
        return Within(best=figure.best, low=figure.best, high=figure.best)

    services = tuple(
        replace(each, minutes=best(each.minutes), out=best(each.out), hangs=()) for each in found.services
    )
    return replace(found, services=services, draws=0)


def _rows(standing: Standing, found: Odds) -> Iterator[tuple[str, ...]]:
    """Every service on one line, worst first."""
    limit = limits(standing)
    for each in found.services:
        allowed = limit.get(each.service)
        aim = (
            ""
            if allowed is None
            else f"{minutes_said(allowed)}, {'passed' if passed(each, allowed) else 'kept'}"
        )
        yield (
            each.service,
            minutes_said(each.minutes.best),
            range_said(each.minutes) or "-",
            often_said(each.per_year),
            lasting_said(each.lasts_s) if each.lasts_s else "-",
            aim or "-",
        )


def _told(standing: Standing, found: Odds) -> Iterator[Told]:
    limit = limits(standing)
    for each in found.services[:MOST_TOLD]:
        cuts = each.cut_sets
        yield Told(
            service=each.service,
            over=passed(each, limit.get(each.service)),
            minutes=minutes_said(each.minutes.best),
            says=summary(each, limit.get(each.service)),
            sets=_sets_said(each),
            cuts=tuple(
                (minutes_said(cut.minutes), often_said(cut.per_year), cut_said(cut))
                for cut in cuts.listed[:MOST_SETS]
            ),
            rest=minutes_said(cuts.rest * MINUTES) if cuts.listed and cuts.rest > 0 else "",
            weights=tuple(
                (weight.name, minutes_said(weight.minutes_off)) for weight in each.weights[:MOST_WEIGHTS]
            ),
            hangs=tuple(
                (share_said(one.share), f"{one.key}{'' if one.said else ' (assumed)'}", one.of)
                for one in each.hangs[:MOST_HANGS]
            ),
        )


def _sets_said(each: ServiceOdds) -> str:
    if not each.cut_sets.listed:
        return nothing_listed(each).removesuffix(".")
    return f"What stops it, the smallest sets of parts: {orders_said(each.cut_sets) or 'too many to count'}"


def _worst_first(found: Years) -> list[ServiceYears]:
    return sorted(found.services, key=lambda each: -each.mean_min)
