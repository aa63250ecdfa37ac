"""How is a cold start told on paper: the start sheet?"""

from __future__ import annotations

import datetime

from falsework.analyses.cold_start import Blocked, ColdStart, How, Mend
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table
from falsework.faces.runbook.spots import place, sources
from falsework.faces.runbook.wording import names
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION
from falsework.support.standing import Standing
from falsework.units import format_time

_SHOWN = ("circuit", "ups", "strip", "switch", "node", "store", "service", "alarm")
"""Words of what is looked at when the power comes back."""


def of_cold_start(standing: Standing, found: ColdStart, blocked: Blocked, *, date: datetime.date) -> Runbook:
    """The start sheet: what to switch on, then what should be up by when, then what stays down and why."""
    lab = standing.lab
    things = standing.support.things
    boxes = [
        _box(number, mend, standing, found, blocked)
        for number, mend in enumerate(_by_hand(found, blocked), start=1)
    ]
    before = tuple(
        f"{root.says}: {root.mend.says}{'' if root.mend.where is None else f' ({root.mend.where})'}."
        if root.mend is not None
        else f"{root.says}: nobody knows a mend."
        for root in blocked.roots
        if root.mend is None or not root.mend.by_hand
    )
    rows = tuple(
        (format_time(at), things[name].word, name, "")
        for name, at in sorted(found.up_s.items(), key=lambda each: (each[1], each[0]))
        if name in lab.things and things[name].word in _SHOWN
    )
    chapters = []
    if before:
        chapters.append(
            Chapter(
                title="What no hand at the switch can do",
                says=("Change this before the power goes; until then what hangs on it stays down.", *before),
            )
        )
    if boxes:
        chapters.append(
            Chapter(
                title="What hands must do",
                says=(
                    f"Hands are taken to be there {format_time(blocked.hands_s)} after the power is back. "
                    "Go from box to box, and go on only once the check holds.",
                ),
                boxes=tuple(boxes),
            )
        )
    chapters.append(
        Chapter(
            title="What is up by when",
            says=(
                "Counted from the moment the power is back. Look at each, and write down when it really was up.",
            ),
            tables=(
                Table(title="", head=("after", "what", "name", "up at"), rows=rows, widths=(2, 2, 4, 2)),
            ),
        )
    )
    if not found.whole:
        why = tuple(
            f"{root.says}; on it hang {names(root.hangs, 12)}." if root.hangs else f"{root.says}."
            for root in blocked.roots
        )
        chapters.append(
            Chapter(title="What stays down without that", says=(f"{names(found.stuck, 12)}.", *why))
        )
    later = tuple(
        (format_time(at), things[name].word, name, "")
        for name, at in sorted(blocked.up_s.items(), key=lambda each: (each[1], each[0]))
        if name in lab.things and things[name].word in _SHOWN
    )
    if later:
        chapters.append(
            Chapter(
                title="What is up by when, once all that is done",
                tables=(
                    Table(title="", head=("after", "what", "name", "up at"), rows=later, widths=(2, 2, 4, 2)),
                ),
            )
        )
    last = max((at for name, at in found.up_s.items() if name in lab.things), default=0.0)
    lead = (
        f"All is up {format_time(last)} after the power is back."
        if found.whole
        else f"{len(found.stuck)} of the services, machines and alarms stay down until somebody does what is told here."
    )
    return Runbook(
        title="Cold start",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=(lead,),
        cautions=cautions(lab),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _by_hand(found: ColdStart, blocked: Blocked) -> tuple[Mend, ...]:
    """What hands do, in the order of mending; what they switch on anyway comes first."""
    done = tuple(root.mend for root in blocked.roots if root.mend is not None and root.mend.by_hand)
    told = {name for mend in done for name in mend.things}
    anyway = tuple(
        Mend(how=How.SWITCH_ON, things=(name,), on="", says=f"switch on {name}", where=None, by_hand=True)
        for name in found.by_hand
        if name not in told and name in found.up_s
    )
    return (*anyway, *done)


def _box(number: int, mend: Mend, standing: Standing, found: ColdStart, blocked: Blocked) -> Box:
    """One thing to do, with the place where it is done, what to look at before, and when it should be up."""
    at = {**found.up_s, **blocked.up_s}
    up = [(at[name], name) for name in mend.things if name in at]
    places = [line for name in mend.things[:4] for line in place(standing.lab, name)]
    fed = [
        f"{source} is up and gives power"
        for name in mend.things[:4]
        for source in sources(standing.lab, name)
    ]
    return Box(
        number=str(number),
        says=f"{mend.says[0].upper()}{mend.says[1:]}",
        takes=f"up {format_time(max(up)[0])} after the power is back" if up else "",
        needs=tuple(dict.fromkeys(fed)) if mend.how is How.SWITCH_ON else (),
        check=" and ".join(f"{name} is up after {format_time(when)}" for when, name in up[:4])
        or f"{names(mend.things, 4)} is there",
        notes=(*(("it stays off after a power cut",) if mend.how is How.SWITCH_ON else ()), *places),
        cautions=_CAUTIONS.get(mend.how, ()),
    )


_CAUTIONS = {
    How.SWITCH_ON: (POWER_CAUTION,),
    How.REPAIR: (POWER_CAUTION,),
    How.START_FIRST: (DATA_CAUTION,),
    How.KNOW_LAST: (DATA_CAUTION,),
}
