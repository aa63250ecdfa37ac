"""How is a stop on battery told on paper: the stop sheet?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from dataclasses import replace

from falsework.analyses.shutdown.result import Shutdown, Stop
from falsework.errors import sentence
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table
from falsework.faces.runbook.wording import names
from falsework.faces.stopping_words import details, headline, power_until, returned, time
from falsework.findings.finding import POWER_CAUTION
from falsework.model.parts import Node, ThingId
from falsework.support.standing import Standing


def of_shutdown(standing: Standing, found: Stop, *, date: datetime.date) -> Runbook:
    """The stop sheet: what stops when, first to stop first, and what to look at when the power is back."""
    lab = standing.lab
    chapters = []
    told: set[str] = set()
    for each in found.batteries:
        boxes = []
        for name, box in _boxes(standing, each):
            if name not in told:  # what hangs on two batteries stops once
                told.add(name)
                boxes.append(replace(box, number=str(len(told))))
        chapters.append(
            Chapter(
                title=f"On {each.ups}",
                says=tuple(sentence(f"{label}: {text}" if label else text) for label, text in details(each)),
                tables=tuple(_ways(each)),
                boxes=tuple(boxes),
            )
        )
    if found.machines:
        chapters.append(_back(found))
    return Runbook(
        title="Stop on battery",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=tuple(f"{headline(each)}." for each in found.batteries) or ("No battery says when it signals.",),
        cautions=cautions(lab),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _boxes(standing: Standing, each: Shutdown) -> Iterator[tuple[str, Box]]:
    """A box for each thing that stops, first to stop first."""
    for name, at in sorted(each.done_s.items(), key=lambda one: (one[1], one[0])):
        thing = standing.lab.things[ThingId(name)]
        is_node = isinstance(thing, Node)
        notes = []
        if name in each.cut_hard:
            notes.append("The battery is empty before it has stopped, if the load stays as it is.")
        if name in each.cut_off:
            notes.append("The outlets are switched off before it has stopped.")
        if name in each.unreached:
            notes.append("The message does not reach it: go there, or stop it some other way.")
        box = Box(
            number="",
            says=f"Stop {name}",
            when=f"begins {time(each.starts_s[name])} after the cut, is down after {time(at)}",
            takes=time(at - each.starts_s[name]),
            needs=(f"whatever runs on {name}, or leans on it, has stopped",) if is_node else (),
            check=f"{name} is off: no lamp of its own, no answer" if is_node else f"{name} no longer answers",
            notes=tuple(notes),
            cautions=("Do not pull its plug or press its button long: what it has not written yet is lost.",)
            if is_node
            else (),
        )
        yield name, box


def _ways(each: Shutdown) -> Iterator[Table]:
    rows = tuple(
        (
            way.to,
            way.sender,
            ", ".join(hop.name for hop in way.hops if hop.name != way.sender)
            or ("-" if way.there else "no way"),
            "for ever" if not math.isfinite(way.until_s) else time(way.until_s),
            "yes" if way.arrives else "no",
        )
        for way in each.ways
    )
    if rows:
        yield Table(
            title="Who is told over what",
            head=("told", "by", "over", "has power until", "arrives"),
            rows=rows,
            widths=(4, 4, 6, 4, 2),
        )


def _back(found: Stop) -> Chapter:
    off = [each for each in found.machines if each.stays_off is not None]
    says = [
        "Machines that were told to stop can't be called back. One that has stopped wakes only when it sees its power go and come back.",
        f"Before you switch anything on, make sure that the power stays. {POWER_CAUTION}",
    ]
    if off:
        says.append(f"Look first at {names([each.name for each in off], 12)}.")
    return Chapter(
        title="When the power is back",
        says=tuple(says),
        tables=(
            Table(
                title="Machines",
                head=("machine", "told by", "stopped", "power until", "when the power is back"),
                rows=tuple(
                    (each.name, each.told_by, time(each.done_s), power_until(each), returned(each))
                    for each in found.machines
                ),
                widths=(3, 3, 2, 3, 7),
            ),
        ),
    )
