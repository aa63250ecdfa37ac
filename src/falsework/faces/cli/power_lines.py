"""How are batteries, the return of power, heat and energy set on the terminal?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.power.battery_telling import (
    BATTERY_HEAD,
    battery_mend,
    battery_notes,
    battery_over,
    battery_rows,
)
from falsework.analyses.power.energy_telling import ENERGY_HEAD, alike, energy_notes, energy_row, energy_says
from falsework.analyses.power.heat_telling import (
    HEAT_HEAD,
    heat_notes,
    heat_row,
    heat_says,
    over_mend,
    over_says,
    over_why,
)
from falsework.analyses.power.inrush_telling import (
    RUSH_HEAD,
    START_HEAD,
    inrush_says,
    ranked_rushes,
    rush_mend,
    rush_row,
    rush_why,
    rushes_say,
    silent_says,
    start_rows,
    start_says,
)
from falsework.analyses.power.whole import Power
from falsework.errors import counted, sentence
from falsework.faces.cli.lines import Line, labelled, told
from falsework.faces.cli.table import table

MOST_BROKEN = 8
"""Of each sort, what is told in full."""
MOST_ROWS = 24


def more_too_much(found: Power) -> Iterator[Line]:
    """Batteries that shut off at the cut, breakers that may trip when power returns, rooms with too much heat."""
    for battery in [each for each in found.batteries.batteries if each.cut[-1].over][:MOST_BROKEN]:
        yield from told("BROKEN", battery_over(battery), "", battery_mend(battery), battery.where)
    # By surges that the lab file tells: those that were taken alarm nobody. One order of start mends them all.
    told_of = [
        each for each in ranked_rushes(found.inrush) if each.sure or (each.told and not found.sheet.asked)
    ]
    if told_of:
        told_of.sort(key=lambda each: not each.sure)
        worst = told_of[0]
        label = "BROKEN" if worst.sure else "remark"
        yield from told(label, rushes_say(told_of), rush_why(worst), rush_mend(found.inrush), worst.where)
    for room in [each for each in found.heat.rooms if each.over][:MOST_BROKEN]:
        yield from told("BROKEN", over_says(room), over_why(room), over_mend(room), room.where)


def more_lines(found: Power) -> Iterator[Line]:
    """The tables; where losses were asked for by name, only of what hangs on them."""
    yield from _batteries(found)
    if found.sheet.asked:
        return
    yield from _return(found)
    yield from _heat(found)
    yield from _energy(found)


def _batteries(found: Power) -> Iterator[Line]:
    shown = found.batteries.batteries[:MOST_BROKEN]
    if not shown:
        return
    yield Line()
    yield Line("Batteries:")
    rows = [row for battery in shown for row in battery_rows(battery)]
    yield from table(BATTERY_HEAD, rows, right=(2, 3, 4, 5))
    if len(found.batteries.batteries) > len(shown):
        yield Line(f"  and {len(found.batteries.batteries) - len(shown)} more; --json lists all")
    yield from _notes([note for battery in shown for note in battery_notes(battery)])


def _return(found: Power) -> Iterator[Line]:
    ranked = ranked_rushes(found.inrush)
    if not ranked:
        return
    yield Line()
    yield Line("The return of power:" if ranked[0].over else sentence(inrush_says(found.inrush)))
    yield from table(RUSH_HEAD, [rush_row(each) for each in ranked[:MOST_ROWS]], right=(1, 2, 3, 4))
    if len(ranked) > MOST_ROWS:
        yield Line(f"  and {counted(len(ranked) - MOST_ROWS, 'more source')}; --json lists all")
    start = found.inrush.start
    if start is not None and start.groups:
        rows = start_rows(start)
        yield Line()
        yield Line("A start in groups that every breaker bears:")
        yield from table(START_HEAD, rows[:MOST_ROWS], right=(0, 1, 3))
        if len(rows) > MOST_ROWS:
            yield Line(f"  and {counted(len(rows) - MOST_ROWS, 'more row')}; --json lists all")
    if start is not None:
        yield from _notes(start_says(start))
    silent = silent_says(found.inrush.silent)
    yield from _notes((silent,) if silent else ())


def _heat(found: Power) -> Iterator[Line]:
    heat = found.heat
    if not heat.rooms and not heat.racks:
        return
    yield Line()
    yield Line(f"Heat: {heat_says(heat)}.")
    places = (*heat.rooms, *heat.racks)
    yield from table(HEAT_HEAD, [heat_row(each) for each in places[:MOST_ROWS]], right=(1, 2, 3, 4, 5, 6, 7))
    if len(places) > MOST_ROWS:
        yield Line(f"  and {counted(len(places) - MOST_ROWS, 'more place')}; --json lists all")
    yield from _notes(heat_notes(heat))


def _energy(found: Power) -> Iterator[Line]:
    energy = found.energy
    if not energy.used:
        return
    groups = alike(energy)
    yield Line()
    yield Line(f"Energy: {energy_says(energy)}.")
    yield from table(
        ENERGY_HEAD, [energy_row(energy, each) for each in groups[:MOST_ROWS]], right=(1, 2, 3, 4)
    )
    if len(groups) > MOST_ROWS:
        yield Line(f"  and {counted(len(groups) - MOST_ROWS, 'more sort')}; --json lists all")
    yield from _notes(energy_notes(energy))


def _notes(notes: list[str] | tuple[str, ...]) -> Iterator[Line]:
    for note in notes:
        yield labelled("", sentence(note), indent=2, width=0)
