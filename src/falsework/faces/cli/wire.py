"""Which port goes to which, what survives, what pauses, and what gets through?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.wire.result import Wire
from falsework.analyses.wire.telling import (
    BUDGET_HEAD,
    RUNS_HEAD,
    SUBSCRIBED_HEAD,
    TRAFFIC_HEAD,
    apart_says,
    between_says,
    budget_rows,
    cut_off_says,
    gets_says,
    group_name,
    group_says,
    group_why,
    headline,
    limit_mend,
    limit_says,
    loop_mend,
    loop_says,
    managed_says,
    mismatched_says,
    moment_says,
    never_says,
    passed_row,
    pause_says,
    run_row,
    start_says,
    subscribed_rows,
    unreached_says,
    wanted_says,
    ways_says,
    weak_groups,
    weak_says,
)
from falsework.analyses.wire.telling_copies import COPYING_HEAD, copying_rows, forwards_says, late_says
from falsework.analyses.wire.whole import wire
from falsework.errors import capital, counted, few
from falsework.faces.cable_list import cable_list
from falsework.faces.cli.lines import Line, labelled, put, put_text, told
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.cli.taken import taken_lines
from falsework.faces.cli.words import without
from falsework.faces.plain_wire import wire_answer
from falsework.support.standing import Standing

MOST = 8
"""Losses, groups and circles that are told in full."""
MOST_ROWS = 16
SLOWER = "One stream, with nothing else on the wire; drives, and what lies beyond the way out, may be slower."
MOST_RUNS = 60
"""Cables that are listed here; of more there are a list in a file and the JSON."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    lose: tuple[str, ...] = ()
    ends: tuple[str, str] = ("", "")
    cables: Path | None = None
    picture: Path | None = None
    json: bool = False


def tell_wire(asked: Asked) -> int:
    """Follow the cables, print it, return the exit status: 1 where something does not get through.

    Raises:
        FalseworkError: the file, the question, or the place for a file.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, (*asked.out, *asked.lose))
        found = wire(standing, lost=asked.lose, ends=asked.ends, progress=tell)
        if asked.cables is not None:
            write(asked.cables, cable_list(found.layout.runs), over=True)
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.ports import ports_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{ports_sheet(standing.lab, found)}\n", over=True)
    status = MET if found.holds else BROKEN
    if asked.json:
        put_text(json.dumps(wire_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(standing, found, asked))
    return status


def _lines(standing: Standing, found: Wire, asked: Asked) -> Iterator[Line]:
    yield Line(f"{standing.lab.name}: {headline(found)}{without(standing.out)}", style="head")
    if found.between is not None:
        yield from _between(found)
    yield from _broken(found)
    yield from _remarks(found)
    yield from _ports(found)
    yield from _groups(found)
    yield from _traffic(found)
    yield from _pauses(found)
    yield from _managed(found)
    yield from _cables(found, asked)
    yield from taken_lines(found.taken)
    if asked.picture is not None:
        yield Line()
        yield Line(f"The picture is in {asked.picture}.")


def _between(found: Wire) -> Iterator[Line]:
    """What was asked first: the way between two things."""
    between = found.between
    assert between is not None
    yield Line()
    yield labelled("now", between_says(between), width=8)
    if between.now.at_most:
        yield labelled("ways", ways_says(between), width=8)
        if between.now.way:
            yield labelled("open", " - ".join(between.now.way), style="quiet", width=8)
        if between.now.full:
            yield labelled("full", few(between.now.full, 6), style="quiet", width=8)
    for each in between.after[:MOST]:
        yield labelled("lose", f"{few(each.lost, 6)}: {gets_says(each.gets)}", width=8)
    if len(between.after) > MOST:
        yield Line(f"        and {len(between.after) - MOST} more; --json lists all")
    if between.harmless:
        yield labelled(
            "lose", f"any one of {counted(between.harmless, 'other part')}: as much as now", width=8
        )


def _broken(found: Wire) -> Iterator[Line]:
    """What does not get through, and circles that nothing cuts."""
    for loop in found.loops:
        if loop.uncut:
            yield from told("BROKEN", loop_says(loop), "", loop_mend(loop), loop.where)
    moments = found.short
    for moment in moments[:MOST]:
        streams = [each.stream for each in moment.passed if each.short > 0]
        yield from told("BROKEN", moment_says(moment), "", "", streams[0].where if streams else None)
    if len(moments) > MOST:
        yield Line()
        yield Line(f"{counted(len(moments) - MOST, 'more loss', 'more losses')} like these; --json lists all")


def _remarks(found: Wire) -> Iterator[Line]:
    """Circles that are shaky, limits of one-port machines."""
    shaky = [loop for loop in found.loops if not loop.uncut and not loop.sound]
    for loop in shaky[:MOST]:
        yield from told("remark", loop_says(loop), "", loop_mend(loop), loop.where)
    hard = [limit for limit in found.limits if limit.falls_by]
    for limit in hard[:MOST]:
        yield from told("remark", limit_says(limit), "", limit_mend(limit), limit.where)
    if len(hard) > MOST:
        yield Line()
        yield Line(f"{counted(len(hard) - MOST, 'more service')} like these; --json lists all")


def _ports(found: Wire) -> Iterator[Line]:
    budget = budget_rows(found.layout.budget)
    if budget:
        yield Line()
        yield from table(BUDGET_HEAD, budget[:MOST_ROWS], right=(3,))
        if len(budget) > MOST_ROWS:
            yield Line(
                f"  and {counted(len(budget) - MOST_ROWS, 'more row')} with as many free or more; --json lists all"
            )
    for says in (wanted_says(found), mismatched_says(found.layout.runs)):
        if says:
            yield Line(f"{capital(says)}.")


def _groups(found: Wire) -> Iterator[Line]:
    """Groups that one part takes away first; of the others those with a name, and how many there are."""
    weak = weak_groups(found.groups)
    for those in weak[:MOST]:
        first = those[0]
        word = "cut off then" if first.isolated else "there is another way then"
        why = f"{group_why(first)}; {word}"
        yield from told("remark", weak_says(those), why, "", first.where)
    if len(weak) > MOST:
        yield Line()
        rest = sum(len(those) for those in weak[MOST:])
        yield Line(f"{counted(rest, 'more group')} like these; --json lists all")
    named = [group for group in found.groups if group.group and not group.fails]
    sound = [group for group in found.groups if not group.fails and (group.group or not group.down)]
    if sound:
        yield Line()
    for group in named[:MOST]:
        yield labelled("group", f"{group_name(group)}: {group_says(group)}", width=8)
    rest = len(sound) - len(named[:MOST])
    if rest:
        word = "more" if named else ""
        yield Line(
            f"{counted(rest, f'{word} machine or pair'.strip(), f'{word} machines or pairs'.strip())} with more than one cable, "
            "and no single part takes all of them away."
        )


def _traffic(found: Wire) -> Iterator[Line]:
    """What services send, then how much the edge could ask for."""
    passed = sorted(found.traffic.now.passed, key=lambda each: -each.share)
    if passed:
        yield Line()
        yield from table(TRAFFIC_HEAD, [passed_row(each) for each in passed[:MOST_ROWS]], right=(2, 4))
        if len(passed) > MOST_ROWS:
            yield Line(f"  and {counted(len(passed) - MOST_ROWS, 'more stream')}; --json lists all")
        if found.traffic.fullest.lost and found.traffic.fullest.filled:
            most = found.traffic.fullest.filled[0]
            yield Line(
                f"Fullest after a loss: {most.link}, {most.share:.0%} without {few(found.traffic.fullest.lost, 3)}."
            )
        if found.cut_off:
            yield Line(f"{capital(cut_off_says(found))}.")
        together = found.traffic.together
        if together is not None:
            yield Line(
                f"Were every cable used as well as can be, {together.share:.3g} times all of this could get through at once."
            )
    rows = subscribed_rows(found.subscribed)
    if rows:
        yield Line()
        yield from table(SUBSCRIBED_HEAD, rows[:MOST_ROWS], right=(1, 2, 3))
        if len(rows) > MOST_ROWS:
            yield Line(f"  and {counted(len(rows) - MOST_ROWS, 'more row')}; --json lists all")
    for says in forwards_says(found.subscribed)[:MOST]:
        yield Line(f"{says}.")
    copies = copying_rows(found.traffic.copying)
    if copies:
        yield Line()
        yield from table(COPYING_HEAD, copies[:MOST_ROWS], right=(2, 3, 4, 5))
        if len(copies) > MOST_ROWS:
            yield Line(f"  and {counted(len(copies) - MOST_ROWS, 'more row')}; --json lists all")
        late = late_says(found.traffic.copying)
        yield Line(f"{capital(late)}." if late else SLOWER)


def _pauses(found: Wire) -> Iterator[Line]:
    for loop in found.loops:
        if loop.sound:
            yield Line()
            yield labelled("circle", loop_says(loop), width=8)
    if found.pauses:
        yield Line()
    for pause in found.pauses[:MOST]:
        yield labelled("pause", pause_says(pause), style="blinks" if pause.services else "", width=8)
        if pause.services:
            first = pause.services[0]
            yield labelled("why", first.because, style="quiet", indent=8, width=6)
        elif apart_says(pause):
            yield labelled("why", apart_says(pause), style="quiet", indent=8, width=6)
    if len(found.pauses) > MOST:
        yield Line(
            f"{counted(len(found.pauses) - MOST, 'more loss', 'more losses')} like these; --json lists all"
        )


def _managed(found: Wire) -> Iterator[Line]:
    managed = found.managed
    if managed.unplugged:
        yield Line()
        yield labelled(
            "remark",
            f"{few(managed.unplugged)} {'is' if len(managed.unplugged) == 1 else 'are'} plugged in nowhere",
            style="remark",
        )
    if not managed.controllers:
        return
    yield Line()
    yield labelled("care", managed_says(managed), width=8)
    if managed.never:
        yield labelled("remark", never_says(managed), style="remark")
    for each in managed.after[:MOST]:
        yield labelled("remark", unreached_says(each, managed), style="remark")
    if len(managed.after) > MOST:
        yield Line(
            f"{counted(len(managed.after) - MOST, 'more loss', 'more losses')} like these; --json lists all"
        )
    says = start_says(managed)
    if says:
        yield labelled("remark", says, style="remark")
    elif not managed.after and not managed.never:
        yield Line("        All can be reached after the loss of any one other part.")


def _cables(found: Wire, asked: Asked) -> Iterator[Line]:
    runs = found.layout.runs
    if runs and len(runs) <= MOST_RUNS:
        yield Line()
        yield from table(RUNS_HEAD, [run_row(run) for run in runs], right=(1, 2))
        if any(run.proposed for run in runs):
            yield Line("A length with a question mark is proposed; a question mark alone wants measuring.")
    elif runs and asked.cables is None:
        yield Line()
        yield Line(f"{counted(len(runs), 'cable')}; --cables FILE writes the list, --json tells it too.")
    if asked.cables is not None:
        yield Line()
        yield Line(f"The cable list is in {asked.cables}.")
