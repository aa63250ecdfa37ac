"""Does it all come back after a power cut, how long does that take, and what is stuck?"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.analyses.cold_start import Blocked, ColdStart, Stuck, Why, cold_start, why_stuck
from falsework.errors import QuestionError, few
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.table import table
from falsework.faces.plain_starting import cold_start_answer
from falsework.support.standing import Standing
from falsework.units import Dimension, format_time

MOST = 12
"""So many roots, and so many chains of reasons, are printed."""
MANY = 4
"""More things that stay off are told in one line."""
_SHOWN = ("node", "switch", "store", "service", "alarm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    hands: bool = False
    no_outside: bool = False
    off: str = ""
    runbook: Path | None = None
    paper: str = "a4"
    json: bool = False


def start_cold(asked: Asked) -> int:
    """Start from nothing but mains, print what comes up, return the exit status: 1 where something stays down.

    Raises:
        FalseworkError: the file, the question, or the place for the start sheet.
    """
    check_place(asked.runbook, asked.paper)
    off_s = _off(asked.off)
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        tell("starting from nothing", 0, 1)
        found = cold_start(standing, hands=asked.hands, outside=not asked.no_outside, off_s=off_s)
        tell("asking what unsticks", 0, 1)
        blocked = why_stuck(standing, found, hands=asked.hands, outside=not asked.no_outside)
        if asked.runbook is not None:
            # Only here: typesetting loads what no other answer needs.
            from falsework.faces.runbook.of_cold_start import of_cold_start

            tell("writing the start sheet", 0, 1)
            sheet = of_cold_start(standing, found, blocked, date=datetime.date.today())
            write_runbook(asked.runbook, sheet, paper=asked.paper)
    status = MET if found.whole else BROKEN
    if asked.json:
        answer = cold_start_answer(
            standing, found, blocked, hands=asked.hands, outside=not asked.no_outside, status=status
        )
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return status
    put(_lines(standing, found, blocked))
    if asked.runbook is not None:
        put((Line(), Line(f"The start sheet is in {asked.runbook}.")))
    return status


def _lines(standing: Standing, found: ColdStart, blocked: Blocked) -> Iterator[Line]:
    lab, things = standing.lab, standing.support.things
    up = {name: at for name, at in found.up_s.items() if name in lab.things and things[name].word in _SHOWN}
    last = max(up.values(), default=0.0)
    if found.whole:
        yield Line(f"{lab.name}: all is up {format_time(last)} after the power is back", style="head")
    else:
        stays = "stays" if len(found.stuck) == 1 else "stay"
        yield Line(f"{lab.name}: after a power cut {few(found.stuck)} {stays} down", style="head")
        yield from _roots(blocked)
    yield from _keys(standing, found)
    if found.whole and found.by_hand:
        yield labelled("hands", f"switch on {few(found.by_hand, 12)}", indent=2)
    if up:
        yield Line()
        rows = [
            (format_time(at), things[name].word, name)
            for name, at in sorted(up.items(), key=lambda each: (each[1], each[0]))
        ]
        yield from table(("after", "what", "name"), rows, right=(0,))


def _roots(blocked: Blocked) -> Iterator[Line]:
    """What things hang on, each told once, with what unsticks it; then the chain of each thing."""
    off = [root.things[0] for root in blocked.roots if root.why is Why.OFF]
    many = len(off) > MANY
    if many:
        yield labelled("why", f"{few(off, 8)} stay off until switched on by hand", indent=2)
        yield labelled("mend", "switch them on", indent=4)
    shown = [(n, root) for n, root in enumerate(blocked.roots, 1) if not (many and root.why is Why.OFF)]
    for number, root in shown[:MOST]:
        yield labelled("why", f"({number}) {root.says}", indent=2)
        if root.hangs and root.hangs != root.things:
            yield labelled("stuck", few(root.hangs, 8), indent=4)
        yield labelled("mend", root.mend.says if root.mend else "none was found", indent=4)
        if root.mend is not None and root.mend.where is not None:
            yield labelled("at", str(root.mend.where), indent=4)
    if len(shown) > MOST:
        yield Line(f"  and {len(shown) - MOST} more roots; --json has them all")
    rings = {name for root in blocked.roots for name in root.things}
    told = [
        each
        for each in blocked.stuck
        if each.thing not in rings
        and each.root is not None
        and not (many and each.root + 1 not in dict(shown))
    ]
    for each in told[:MOST]:
        yield labelled("hangs", _chain(each), indent=2)
    if len(told) > MOST:
        yield Line(f"  and {len(told) - MOST} more; --json has every chain")
    if blocked.up_s and not blocked.left:
        last = max((blocked.up_s[each.thing] for each in blocked.stuck), default=0.0)
        yield labelled(
            "then",
            f"with all that done, all is up {format_time(last)} after the power is back, if hands are there after {format_time(blocked.hands_s)}",
            indent=2,
        )


def _chain(stuck: Stuck) -> str:
    """Whom a thing waits for, down to the number of a root, without its own copies and theirs."""
    steps = [step for step in stuck.because if step.on]
    names = [step.on for step in steps if step.on != f"{step.thing}.{step.on.rpartition('.')[2]}"]
    return f"{' -> '.join([stuck.thing, *names])}: ({(stuck.root or 0) + 1})"


def _keys(standing: Standing, found: ColdStart) -> Iterator[Line]:
    """What ran out while the power was out, and what may have."""
    if found.off_s is None:
        return
    off = format_time(found.off_s)
    if found.expired:
        yield labelled(
            "expired", f"{few(found.expired)}: good for no longer than the {off} without power", indent=2
        )
    if found.doubtful:
        yield labelled(
            "remark",
            f"{few(found.doubtful)} must have had more than {off} left when the power went; it is taken for fresh",
            indent=2,
        )


def _off(text: str) -> float | None:
    """How long the power was out, seconds; None where nobody says.

    Raises:
        QuestionError: it is no time, or none at all.
    """
    if not text:
        return None
    seconds = units.asked(text, Dimension.TIME, by="--off")
    if seconds <= 0.0:
        raise QuestionError(
            what=f"--off: {text!r} is no time without power", mend="Say how long, such as '14 days'."
        )
    return seconds
