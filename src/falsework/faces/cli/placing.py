"""Where should each copy run, what would move, and is all well then?"""

from __future__ import annotations

import datetime
import json
import signal
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from falsework.analyses.placing import Filled, Level, Move, Placing, place_lab
from falsework.analyses.placing.strides import disks_move, shown, unknown
from falsework.analyses.placing.telling import headline, level_cells, memory_said, move_cells
from falsework.analyses.placing.writing import rewritten
from falsework.errors import counted, few
from falsework.faces.cli.changing import change_lines, write_changes, written_lines
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, check_seconds, write
from falsework.faces.cli.table import table
from falsework.faces.cli.words import without
from falsework.faces.plain_placing import place_answer
from falsework.findings.finding import DATA_CAUTION
from falsework.support.standing import Standing

MOST_ROWS = 60
"""Moves and hosts that are listed for people; programs get all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    seconds: float = 60.0
    diff: bool = False
    write: bool = False
    picture: Path | None = None
    report: Path | None = None
    runbook: Path | None = None
    paper: str = "a4"
    json: bool = False


def place(asked: Asked) -> int:
    """Place the copies, print where, return the exit status: 1 where no placement meets all the aims.

    Raises:
        FalseworkError: the file, or the question.
    """
    check_seconds(asked.seconds, "a placement")
    check_place(asked.runbook, asked.paper)
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        with Pressed() as pressed:
            found = place_lab(standing, seconds=asked.seconds, progress=tell, stopped=pressed)
        _draw(asked, standing, found, tell)
        if asked.report is not None:
            _report(asked, found, tell)
    changes = rewritten(standing.lab, found) if asked.diff or asked.write else None
    status = BROKEN if found.broken or not found.possible else MET
    if asked.json:
        if changes is not None and asked.write:
            write_changes(standing.lab, changes)
        answer = place_answer(standing, found, changes, status)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(standing, found))
        if changes is not None:
            says_so = "The lab file says so already."
            nothing = says_so if found.host_of else "There is nothing to change in the lab file."
            put(change_lines(changes, nothing=nothing))
        for what, path in (("picture", asked.picture), ("report", asked.report), ("runbook", asked.runbook)):
            if path is not None:
                put((Line(), Line(f"The {what} is in {path}.")))
        if changes is not None and asked.write:
            write_changes(standing.lab, changes)
            put(written_lines(changes))
    return status


class Pressed:
    """Remembers that Ctrl-C was pressed: a search ends at once, and no other begins."""

    def __init__(self) -> None:
        self._pressed = False
        self._before = signal.getsignal(signal.SIGINT)

    def __enter__(self) -> Self:
        if threading.current_thread() is threading.main_thread():
            signal.signal(signal.SIGINT, self._press)
        return self

    def __exit__(self, *_: object) -> None:
        if threading.current_thread() is threading.main_thread():
            signal.signal(signal.SIGINT, self._before)

    def __call__(self) -> bool:
        """Whether it was pressed."""
        return self._pressed

    def _press(self, *_: object) -> None:
        self._pressed = True
        raise KeyboardInterrupt


def _draw(asked: Asked, standing: Standing, found: Placing, tell: Told) -> None:
    """The picture and the runbook, if they were asked for; older ones are replaced."""
    # Only here: drawing and typesetting load what no other answer needs.
    if asked.picture is not None:
        from falsework.faces.report.stacks import stack_sheet

        tell("drawing", 0, 1)
        write(asked.picture, f"{stack_sheet(standing.lab, found)}\n", over=True)
    if asked.runbook is not None:
        from falsework.faces.report.stacks import stack_print
        from falsework.faces.runbook.document import Picture
        from falsework.faces.runbook.of_placing import of_placing

        tell("writing the runbook", 0, 1)
        pictures = tuple(Picture(svg=svg, says=says) for svg, says in stack_print(found))
        today = datetime.date.today()
        paper = of_placing(standing.lab, found, date=today, out=sorted(standing.out), pictures=pictures)
        write_runbook(asked.runbook, paper, paper=asked.paper)


def _report(asked: Asked, found: Placing, tell: Told) -> None:
    """The report of a check, without how often and how long, and with a section on where copies should run."""
    # Only here, as above.
    from falsework.faces.report.html import report
    from falsework.study import study

    assert asked.report is not None
    checked = study(asked.lab, out=asked.out, odds=False, progress=tell)
    tell("drawing the report", 0, 1)
    write(asked.report, report(checked, placing=found), over=True)


def _lines(standing: Standing, found: Placing) -> Iterator[Line]:
    out = without(standing.out)
    yield Line(f"{standing.lab.name}: {headline(found)}{out}", style="head" if found.possible else "broken")
    for aim in found.broken:
        yield labelled("BROKEN", f"{aim.name}: {aim.says}", style="broken")
    if found.broken and not found.why_not:
        says = "No other place for a copy was found that mends this; `falsework check` says what else would."
        yield Line(says, "  ")
    if found.why_not:
        says = "These contradict each other, and no fewer of them do:"
        if not found.smallest:
            says = "These contradict each other, perhaps fewer of them:"
        if found.host_of:
            says = f"No place for the copies mends it all. {says}"
        yield Line(says)
        for reason in found.why_not:
            at = f" ({reason.where})" if reason.where is not None else ""
            yield labelled("", f"{reason.says}{at}", indent=2, width=2)
    yield from _would_do(found)
    if not found.host_of:
        return
    yield Line()
    yield from _levels(found.levels)
    moves = shown(found)
    if moves:
        yield Line()
        yield from _moves(moves)
        if disks_move(found):
            yield labelled("caution", f"Disks move too. {DATA_CAUTION}", indent=2)
    assumed = unknown(found)
    if assumed and len(assumed) < len(found.host_of):
        yield Line(
            f"Nobody says where {few(assumed, 8)} {'runs' if len(assumed) == 1 else 'run'} today (`placed`).",
            "  ",
        )
    yield Line()
    yield from _hosts(found.filled)


def _would_do(found: Placing) -> Iterator[Line]:
    """What could be changed, all of it together, so that there is a placement."""
    for number, says in enumerate(found.would_do):
        yield labelled("and" if number else "mend", says, indent=2)
    if found.why_not and not found.would_do:
        tried = (
            "No three changes that were tried" if found.all_tried else "Nothing that was tried in the time"
        )
        yield Line(f"{tried} would do.", "  ")
    elif found.why_not and not found.all_tried:
        yield Line("There was no time to look for less.", "  ")


def _levels(levels: Sequence[Level]) -> Iterator[Line]:
    """What the placement is judged by, the weightiest first, beside today and beside what nothing can beat."""
    rows = [level_cells(level, none="-", proven="least") for level in levels]
    yield from table(("judged by", "today", "placed", "bound", "counts"), rows, right=(1, 2, 3))


def _moves(moves: Sequence[Move]) -> Iterator[Line]:
    """The moves in their order; those of copies of which nobody says where they run are not told of."""
    rows = [move_cells(number, move, none="-") for number, move in enumerate(moves[:MOST_ROWS], 1)]
    yield from table(("", "copy", "from", "to", "copied", "at least", ""), rows, right=(0, 4, 5))
    yield from _more(len(moves), "move")


def _hosts(filled: Sequence[Filled]) -> Iterator[Line]:
    """Every host; of many those on which something changes, the fullest first."""
    told = list(filled)
    if len(told) > MOST_ROWS:
        told.sort(key=lambda each: (set(each.copies) == set(each.before), -_full(each)))
    rows = [
        (each.host, _share(each, "memory"), _share(each, "cores"), few(each.copies, 8))
        for each in told[:MOST_ROWS]
    ]
    yield from table(("host", "memory", "cores", "copies"), rows, right=(1, 2))
    yield from _more(len(told), "host")


def _more(count: int, word: str) -> Iterator[Line]:
    if count > MOST_ROWS:
        yield Line(f"{counted(count - MOST_ROWS, f'more {word}')}; --json tells all of them.", "  ")


def _full(each: Filled) -> float:
    """The share of its memory that is used."""
    has = each.has.get("memory", 0.0)
    return each.used["memory"] / has if has else 0.0


def _share(each: Filled, resource: str) -> str:
    """`24 of 40 GiB`, as far as somebody said how much there is."""
    if resource not in each.has:
        return "-"
    used, has = each.used[resource], each.has[resource]
    if resource == "memory":
        return memory_said(used, has)
    return f"{used:g} of {has:g}"
