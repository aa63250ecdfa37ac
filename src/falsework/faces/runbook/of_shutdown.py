"""How is a stop on battery told on paper: the stop sheet?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Collection, Iterator

from falsework.analyses.shutdown.result import Shutdown, Stop, Waking
from falsework.analyses.shutdown.way import host_of
from falsework.errors import sentence
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table
from falsework.faces.runbook.wording import names
from falsework.faces.stopping_words import MACHINES_HEAD, details, headline, machine_row, time
from falsework.findings.finding import POWER_CAUTION
from falsework.model.parts import Node, ThingId
from falsework.support.standing import Standing


def of_shutdown(standing: Standing, found: Stop, *, date: datetime.date) -> Runbook:
    """The stop sheet: what stops when, first to stop first, and what to look at when the power is back."""
    lab = standing.lab
    chapters = []
    told: set[str] = set()
    number = 0
    for each in found.batteries:
        mine = tuple(_boxes(standing, each, told, number))
        number += len(mine)
        told.update(each.done_s)  # what hangs on two batteries stops once
        chapters.append(
            Chapter(
                title=f"On {each.ups}",
                says=tuple(sentence(f"{label}: {text}" if label else text) for label, text in details(each)),
                tables=tuple(_ways(each)),
                boxes=mine,
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


def _boxes(standing: Standing, each: Shutdown, told: Collection[str], number: int) -> Iterator[Box]:
    """A box for all that begins and ends together, first to begin first: there is no time to turn pages."""
    groups: dict[tuple[float, float, bool], list[str]] = {}
    for name, at in each.done_s.items():
        if name not in told:
            is_node = isinstance(standing.lab.things[ThingId(name)], Node)
            groups.setdefault((each.starts_s[name], at, is_node), []).append(name)
    for count, ((begins, at, is_node), group) in enumerate(sorted(groups.items()), start=number + 1):
        hosts: dict[str, list[str]] = {}
        for name in group:
            hosts.setdefault(host_of(standing.lab, name), []).append(name)
        alone = is_node or len(group) == 1
        notes = [] if alone else [f"on {host}: {', '.join(mine)}" for host, mine in hosts.items()]
        for some, says in (
            (each.cut_hard, "without power before they have stopped, if the load stays as it is"),
            (each.cut_off, "switched off before they have stopped"),
            (each.unreached, "not reached by the message, so go there or stop them some other way"),
            (each.slow, "reached by the message at the signal only, so tell them then"),
        ):
            hurt = [name for name in group if name in some]
            if hurt:
                notes.append(f"{says}: {', '.join(hurt)}")
        yield Box(
            number=str(count),
            says=f"Stop {', '.join(group) if alone else 'services'}{'' if is_node else ' on ' + ', '.join(hosts)}",
            when=f"begins {time(begins)} after the cut, is down after {time(at)}",
            takes=time(at - begins),
            needs=("what runs on them, and what leans on that, has stopped",) if is_node else (),
            check="off, or no answer to anything" if is_node else "none of them answers any more",
            notes=tuple(notes),
            cautions=("Pull no plug and press no button long: what is not written yet is lost.",)
            if is_node
            else (),
        )


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
    off = [each for each in found.machines if each.stays_off is not None or each.after is Waking.SETTING]
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
                head=MACHINES_HEAD,
                rows=tuple(machine_row(each) for each in found.machines),
                widths=(3, 3, 2, 2, 4, 5),
            ),
        ),
    )
