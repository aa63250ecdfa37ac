"""How is told what comes on together when power returns, so that every face says the same?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.power.inrush_result import Inrush, Later, Rush, Start
from falsework.errors import counted, few
from falsework.units import format_time

RUSH_HEAD = ("source", "breaker", "bears", "most at once", "of it", "when")
START_HEAD = ("group", "after the return", "machines", "comes on after")
IN_A_ROW = 6
"""Machines; more of one group go on in the next row."""
OUTLETS = (
    "a delay that is set inside a machine holds back its start, not the surge of its supply: only an outlet that "
    "comes on later does that"
)


def amperes(amount: float) -> str:
    """`192 A`, `4.8 A`."""
    return f"{amount:,.0f} A" if amount >= 10 else f"{amount:.1f} A"


def ranked_rushes(found: Inrush) -> tuple[Rush, ...]:
    """Sources with a breaker that is told of, those first that come nearest to what it bears."""
    limited = [each for each in found.sources if each.limit_a]
    return tuple(sorted(limited, key=lambda each: -each.worst.amperes / (each.limit_a or 1.0)))


def inrush_says(found: Inrush) -> str:
    """One line: does every breaker bear what comes on together?"""
    ranked = ranked_rushes(found)
    if not ranked:
        return "no breaker is told of, so nothing says what bears the return of power"
    if ranked[0].over:
        more = sum(each.over for each in ranked) - 1
        other = f"; so may {counted(more, 'more source', 'more sources')}" if more else ""
        return f"{rush_says(ranked[0])}{other}"
    return f"every breaker bears what comes on together when power returns; {rush_says(ranked[0])}"


def rush_says(rush: Rush) -> str:
    """`when power returns 192 A come at once on c1, whose breaker bears 48 A for a moment: it may trip`."""
    most, limit = rush.worst, rush.limit_a or 0.0
    if not rush.over:
        return (
            f"most comes on at {rush.source}, {amperes(most.amperes)} of the {amperes(limit)} that it bears"
        )
    taken = "" if rush.bears_said else f" ({rush.bears:g} times its rating, taken)"
    end = "it trips" if rush.sure else "it may trip"
    return (
        f"when power returns, {amperes(most.amperes)} come at once on {rush.source}, whose breaker bears "
        f"{amperes(limit)} for a moment{taken}: {end}"
    )


def rushes_say(rushes: Sequence[Rush]) -> str:
    """The same of the first, and who else may trip."""
    worst, *others = rushes
    so = f"; so may {few([each.source for each in others])}" if others else ""
    return f"{rush_says(worst)}{so}"


def rush_why(rush: Rush) -> str:
    """Who comes on then."""
    most = rush.worst
    after = f", {format_time(most.at_s)} after the return" if most.at_s else ""
    running = f", while {amperes(most.running_a)} are drawn already" if most.running_a >= 0.05 else ""
    return f"{few(most.machines, 6)} come on together{after}{running}"


def rush_mend(found: Inrush) -> str:
    """What to do about it."""
    said = all(each.bears_said for each in found.sources if each.over)
    other = (
        "have breakers fitted that bear more for a moment"
        if said
        else "say what the breaker bears (`bears surge`)"
    )
    start = found.start
    if start is None or not start.groups:
        return f"let outlets come on one after another (`staggers`), or {other}"
    return (
        f"let machines come on in {counted(start.groups, 'group')} {format_time(start.gap_s)} apart, by outlets that come "
        f"on one after another; or {other}"
    )


def start_says(start: Start) -> tuple[str, ...]:
    """What is to be said of a start in groups, sentences without their full stops."""
    said = []
    if start.groups:
        few_est = "the fewest" if start.proved else "a few, whether the fewest is not proved,"
        said.append(
            f"{counted(start.groups, 'group')} {format_time(start.gap_s)} apart: {few_est} of which every breaker bears "
            "each one while all else runs; what most leans on comes first"
        )
        if not start.fits:
            said.append(
                "feeds that are live at different times make some of them meet all the same: look at `staggers` and "
                "`comes on after` of what feeds them"
            )
    if start.alone:
        one = "is" if len(start.alone) == 1 else "are each"
        said.append(
            f"{few(start.alone)} {one} more than a breaker before it bears, by itself: no order helps, only another "
            "breaker, another circuit or a surge that is held down"
        )
    if start.groups:
        said.append(OUTLETS)
    return tuple(said)


def start_rows(start: Start) -> tuple[tuple[str, ...], ...]:
    """What stands under `START_HEAD`: every machine, by group and delay."""
    rows: dict[tuple[int, float, float], list[str]] = {}
    for each in start.later:
        rows.setdefault(_place(each), []).append(each.machine)
    return tuple(
        (str(group), format_time(at), ", ".join(machines[first : first + IN_A_ROW]), format_time(after))
        if not first
        else ("", "", ", ".join(machines[first : first + IN_A_ROW]), "")
        for (group, at, after), machines in rows.items()
        for first in range(0, len(machines), IN_A_ROW)
    )


def _place(later: Later) -> tuple[int, float, float]:
    return later.group, round(later.at_s, 3), round(later.after_s, 3)


def rush_row(rush: Rush) -> tuple[str, ...]:
    """What stands under `RUSH_HEAD`."""
    most = rush.worst
    limit = rush.limit_a
    return (
        rush.source,
        f"{rush.breaker_a:g} A" if rush.breaker_a is not None else "-",
        amperes(limit) if limit is not None else "-",
        amperes(most.amperes),
        f"{most.amperes / limit * 100:.0f} %" if limit else "-",
        "at once" if not most.at_s else f"{format_time(most.at_s)} later",
    )


def silent_says(silent: Sequence[str]) -> str:
    """Who counts for nothing; empty where nobody does."""
    if not silent:
        return ""
    draw = "draws" if len(silent) == 1 else "draw"
    return f"nobody says what {few(silent, 8)} {draw}, nor the surge: it counts for nothing here"
