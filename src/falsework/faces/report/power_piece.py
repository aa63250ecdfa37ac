"""What does the report say of power?"""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from falsework.analyses.power.battery_telling import (
    BATTERY_HEAD,
    battery_mend,
    battery_over,
    battery_rows,
    battery_says,
)
from falsework.analyses.power.energy_telling import ENERGY_HEAD, energy_row, energy_says
from falsework.analyses.power.energy_telling import alike as like_energy
from falsework.analyses.power.heat_telling import HEAT_HEAD, heat_row, heat_says
from falsework.analyses.power.heat_telling import over_mend as over_heat_mend
from falsework.analyses.power.heat_telling import over_says as over_heat_says
from falsework.analyses.power.inrush_telling import inrush_says, ranked_rushes, rush_mend
from falsework.analyses.power.result import Feeds
from falsework.analyses.power.telling import (
    FEEDS_HEAD,
    SUPPLIES_HEAD,
    alike,
    feed_row,
    lasting_says,
    over_mend,
    over_says,
    ranked,
    small_mend,
    small_says,
    supplies_row,
    va_mend,
    va_says,
)
from falsework.analyses.power.whole import Power
from falsework.analyses.power.whole_telling import short_answer
from falsework.errors import capital, few
from falsework.faces.report.chances import Figure
from falsework.faces.report.feeds import feeds_sheet
from falsework.faces.report.piece import Piece, Table, short_table
from falsework.findings.finding import HEAT_CAUTION, POWER_CAUTION
from falsework.model.lab import Lab

MOST_SAID = 6


def power_piece(lab: Lab, found: Power) -> Piece | None:
    """The piece; None where the lab tells of no source of power."""
    sheet = found.sheet
    if not sheet.feeds:
        return None
    return Piece(
        name="power",
        title="Power",
        bad=found.bad,
        lead=capital(short_answer(found)),
        says=(*tuple(_said(found))[:MOST_SAID], *_more_said(found)),
        tables=(*_tables(sheet), *_more_tables(found)),
        taken=found.taken,
        figures=(
            Figure(
                svg=Markup(feeds_sheet(lab, sheet)),
                caption="What each source carries of what it can, now and after the worst loss, to one scale.",
            ),
        ),
        caution=f"{POWER_CAUTION} {HEAT_CAUTION}" if found.heat.rooms else POWER_CAUTION,
    )


def _said(found: Power) -> Iterator[str]:
    """What is too much or nearly so, worst first, each with what to do about it."""
    sheet = found.sheet
    for battery in found.batteries.batteries:
        if battery.cut[-1].over:
            yield f"{capital(battery_over(battery))}: {battery_mend(battery)}"
    for room in found.heat.rooms:
        if room.over:
            yield f"{capital(over_heat_says(room))}: {over_heat_mend(room)}"
    for feed in ranked(sheet):
        if feed.over:
            yield f"{capital(over_says(feed))}: {over_mend(feed)}"
        elif feed.over_va:
            yield f"{capital(va_says(feed))}: {va_mend(feed)}"
        elif feed.over_lasting:
            yield capital(lasting_says(feed))
    for each in sheet.supplied:
        if each.too_small:
            yield f"{capital(small_says(each))}: {small_mend(each)}"
    if sheet.silent:
        one = len(sheet.silent) == 1
        yield f"Nobody says what {few(sheet.silent, 8)} {'draws; it counts' if one else 'draw; they count'} for nothing here"


def _more_said(found: Power) -> Iterator[str]:
    """The short answers on batteries, the return of power, heat and energy."""
    for battery in found.batteries.batteries[:MOST_SAID]:
        if not battery.cut[-1].over:
            yield capital(battery_says(battery))
    ranked = ranked_rushes(found.inrush)
    if any(each.told for each in ranked):
        yield f"{capital(inrush_says(found.inrush))}: {rush_mend(found.inrush)}"
    elif ranked and not ranked[0].over:  # what trips only by surges that were taken alarms nobody
        yield capital(inrush_says(found.inrush))
    if found.heat.rooms:
        yield capital(heat_says(found.heat))
    if found.energy.used:
        yield f"Energy: {energy_says(found.energy)}"


def _tables(sheet: Feeds) -> Iterator[Table]:
    yield short_table(
        "Sources, nearest to their limit first", FEEDS_HEAD, [feed_row(feed) for feed in ranked(sheet)]
    )
    groups = alike(sheet.supplied)
    if groups:
        yield short_table(
            "Supplies, what one of them gives to its machine at the busiest",
            SUPPLIES_HEAD,
            [supplies_row(group) for group in groups],
        )


def _more_tables(found: Power) -> Iterator[Table]:
    """Runtimes, heat and energy; the groups of a start are a long list, and stand on the terminal."""
    rows = [row for battery in found.batteries.batteries for row in battery_rows(battery)]
    if rows:
        yield short_table("How long batteries last", BATTERY_HEAD, rows)
    places = (*found.heat.rooms, *found.heat.racks)
    if places:
        yield short_table("Heat, and the air that it needs", HEAT_HEAD, [heat_row(each) for each in places])
    used = like_energy(found.energy)
    if used:
        year = [energy_row(found.energy, group) for group in used]
        yield short_table("Energy in a year of ordinary days", ENERGY_HEAD, year)
