"""Who carries how much, now and when something is lost?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.power.result import Feed, Feeds, Supplied
from falsework.analyses.power.telling import (
    FEEDS_HEAD,
    SUPPLIES_HEAD,
    alike,
    cords_says,
    feed_row,
    lasting_mend,
    lasting_says,
    lasting_why,
    loss_says,
    over_mend,
    over_says,
    ranked,
    small_mend,
    small_says,
    supplies_row,
    va_mend,
    va_says,
)
from falsework.analyses.power.whole import Power, power
from falsework.analyses.power.whole_telling import short_answer
from falsework.errors import capital, counted, few
from falsework.faces.cli.lines import Line, labelled, put, put_text, told
from falsework.faces.cli.lose import opened
from falsework.faces.cli.power_lines import MOST_BROKEN, MOST_ROWS, more_lines, more_too_much
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.cli.taken import taken_lines
from falsework.faces.cli.words import without
from falsework.faces.plain_power import power_answer
from falsework.findings.finding import HEAT_CAUTION, POWER_CAUTION
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    lose: tuple[str, ...] = ()
    picture: Path | None = None
    json: bool = False


def tell_power(asked: Asked) -> int:
    """Reckon power, print it, return the exit status: 1 where something is asked for too much.

    Raises:
        FalseworkError: the file, the question, or the place for the picture.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        tell("losing each source of power", 0, 1)
        found = power(standing, lose=asked.lose)
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.feeds import feeds_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{feeds_sheet(standing.lab, found.sheet)}\n", over=True)
    status = BROKEN if found.bad else MET
    if asked.json:
        put_text(json.dumps(power_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(lines(standing, found))
    return status


def lines(standing: Standing, found: Power) -> Iterator[Line]:
    """The answer for a person, worst first."""
    sheet = found.sheet
    yield Line(f"{standing.lab.name}: {short_answer(found)}{without(standing.out)}", style="head")
    yield from _too_much(sheet)
    yield from more_too_much(found)
    if sheet.feeds:
        yield Line()
        yield from _feeds(sheet)
    if sheet.asked:
        yield Line()
        for loss in sheet.lost[:MOST_ROWS]:
            yield Line(loss_says(loss))
        if len(sheet.lost) > MOST_ROWS:
            yield Line(
                f"and {counted(len(sheet.lost) - MOST_ROWS, 'more loss', 'more losses')}; --json lists all"
            )
    if sheet.supplied:
        yield Line()
        yield from _supplies(sheet.supplied)
    if sheet.cords:
        yield Line()
        yield Line(f"{capital(cords_says(sheet.cords))}.")
    yield from more_lines(found)
    if sheet.silent:
        yield Line()
        yield Line(
            f"Nobody says what {few(sheet.silent, 8)} {'draws' if len(sheet.silent) == 1 else 'draw'}; "
            "it counts for nothing here."
        )
    yield from taken_lines(found.taken)
    minds = [POWER_CAUTION] if sheet.feeds or sheet.supplied else []
    if found.heat.rooms and not sheet.asked:
        minds.append(HEAT_CAUTION)
    if minds:
        yield Line()
    for number, mind in enumerate(minds):
        yield labelled("" if number else "mind", mind, style="quiet")


def _too_much(sheet: Feeds) -> Iterator[Line]:
    """What is asked for too much, then what is close to it."""
    feeds = ranked(sheet)
    over = [feed for feed in feeds if feed.over]
    for feed in over[:MOST_BROKEN]:
        yield from told("BROKEN", over_says(feed), "", over_mend(feed), feed.where)
    if len(over) > MOST_BROKEN:
        yield Line(f"{counted(len(over) - MOST_BROKEN, 'more source')} like these; --json lists all")
    small = [each for each in sheet.supplied if each.too_small]
    for each in small[:MOST_BROKEN]:
        yield from told("BROKEN", small_says(each), "", small_mend(each), each.where)
    if len(small) > MOST_BROKEN:
        yield Line(f"{counted(len(small) - MOST_BROKEN, 'more machine')} like these; --json lists all")
    yield from _close([feed for feed in feeds if not feed.over])


def _close(feeds: list[Feed]) -> Iterator[Line]:
    many = [feed for feed in feeds if feed.over_va]
    for feed in many[:MOST_BROKEN]:
        label = "BROKEN" if feed.factor_said else "remark"
        yield from told(label, va_says(feed), "", va_mend(feed), feed.where)
    long = [feed for feed in feeds if feed.over_lasting and not feed.over_va]
    for feed in long[:MOST_BROKEN]:
        yield from told("remark", lasting_says(feed), lasting_why(feed), lasting_mend(), feed.where)
    rest = max(len(many) - MOST_BROKEN, 0) + max(len(long) - MOST_BROKEN, 0)
    if rest:
        yield Line(f"{counted(rest, 'more source')} close to the limit; --json lists all")


def _feeds(sheet: Feeds) -> Iterator[Line]:
    feeds = ranked(sheet)
    yield from table(FEEDS_HEAD, [feed_row(feed) for feed in feeds[:MOST_ROWS]], right=(2, 3, 4, 6))
    if len(feeds) > MOST_ROWS:
        yield Line(
            f"  and {counted(len(feeds) - MOST_ROWS, 'more source')}, further from a limit; --json lists all"
        )


def _supplies(supplied: tuple[Supplied, ...]) -> Iterator[Line]:
    groups = alike(supplied)
    yield Line("Supplies, what one of them gives to its machine at the busiest:")
    yield from table(SUPPLIES_HEAD, [supplies_row(group) for group in groups[:MOST_ROWS]], right=(2, 3, 4, 5))
    if len(groups) > MOST_ROWS:
        yield Line(f"  and {counted(len(groups) - MOST_ROWS, 'more sort', 'more sorts')}; --json lists all")
