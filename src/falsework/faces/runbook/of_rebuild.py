"""How is the rebuilding after a loss, or of the whole lab, told on paper?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.rebuild.result import Fate, Loss, Save, Task, Teardown, Way, Work
from falsework.errors import sentence
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table
from falsework.faces.runbook.wording import between, names, steps, time
from falsework.model.lab import Lab
from falsework.units import Dimension

READING = (
    "One piece of work a box, in an order in which it can be done.",
    "Hours are counted from the loss, for one pair of hands that works in its hours.",
)


def of_rebuild(lab: Lab, found: Loss | Teardown, *, date: datetime.date) -> Runbook:
    """The runbook of a rebuilding.

    Args:
        lab: the lab.
        found: one loss, or the whole lab taken down.
        date: the day it is made for.
    """
    loss = found if isinstance(found, Loss) else found.saved
    chapters: list[Chapter] = []
    if isinstance(found, Teardown):
        title, lead = "Teardown and rebuild", list(_down(found))
        if found.saves:
            chapters.append(
                Chapter(
                    title="Save before anything is taken down",
                    says=("Restore each of them once, elsewhere, before you go on.",),
                    tables=(_saves(found.saves),),
                )
            )
    else:
        title, lead = f"Rebuild without {names(found.lost, 4)}", list(_lost(found))
    tables = tuple(table for table in (_fates(loss.fates), _objectives(loss)) if table.rows)
    if tables:
        chapters.append(Chapter(title="What comes back, and from where", tables=tables))
    if loss.works:
        boxes = tuple(_box(work) for work in loss.works)
        chapters.append(Chapter(title="The work", says=READING, boxes=boxes))
    return Runbook(
        title=title,
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=tuple(sentence(each) for each in (*lead, *loss.assumed)),
        cautions=cautions(lab),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _lost(loss: Loss) -> Iterator[str]:
    yield f"{names(loss.lost, 6)} {'is' if len(loss.lost) == 1 else 'are'} destroyed, with all that is in {'it' if len(loss.lost) == 1 else 'them'}"
    if loss.fallen:
        yield f"{names(loss.fallen, 8)} {'falls' if len(loss.fallen) == 1 else 'fall'} with that"
    yield from _back(loss)


def _down(found: Teardown) -> Iterator[str]:
    yield (
        f"only {names(found.remains, 8)} {'is' if len(found.remains) == 1 else 'are'} left"
        if found.remains
        else "nothing is left"
    )
    if found.saves:
        yield (
            f"save {names([each.thing for each in found.saves], 8)} first"
            f"{f': {units.format(found.size, Dimension.DATA)}, {time(found.takes_s)} of copying' if found.size else ''}"
            f"{'; no shorter list does' if found.proven else ''}"
        )
    if found.gone:
        yield f"even so {names(found.gone, 8)} can't be got back"
    yield from _back(found.saved)


def _back(loss: Loss) -> Iterator[str]:
    lost = [fate.thing for fate in loss.fates if fate.way is Way.ONLY_HERE]
    if lost:
        yield f"{names(lost, 8)} {'was' if len(lost) == 1 else 'were'} only here and {'does' if len(lost) == 1 else 'do'} not come back"
    mends: dict[str, list[str]] = {}
    for fate in loss.fates:
        if fate.mend:
            mends.setdefault(fate.mend, []).append(fate.thing)
    yield from (f"what would have brought back {names(them, 8)}: {mend}" for mend, them in mends.items())
    if math.isinf(loss.back_s.likely):
        yield "not everything comes back: something waits for what never comes"
    else:
        spread = between(loss.back_s)
        yield f"all that comes back stands after {time(loss.back_s.likely)}{f' ({spread})' if spread else ''}, {time(loss.hands_s)} of that somebody's work"
    if loss.stand_ins:
        yield f"it takes {names(loss.stand_ins)} as {'a stand-in' if len(loss.stand_ins) == 1 else 'stand-ins'}"


def _saves(saves: Sequence[Save]) -> Table:
    return Table(
        title="",
        head=("what", "how much", "to", "takes", "why"),
        rows=tuple(
            (
                f"{each.word} {each.thing}",
                units.format(each.size, Dimension.DATA) if each.size else "",
                each.to,
                f"{time(each.takes_s)}{' (assumed)' if each.assumed else ''}",
                "; ".join(each.why),
            )
            for each in saves
        ),
        widths=(4, 3, 4, 3, 8),
    )


def _fates(fates: Sequence[Fate]) -> Table:
    return Table(
        title="Things and data",
        says="The worst first.",
        head=("what", "how", "from", "work lost", "back after"),
        rows=tuple(
            (
                f"{each.word} {each.thing}",
                each.way.value,
                _source(each),
                _work_lost(each),
                _lasting(each.back_s, "never"),
            )
            for each in fates
        ),
        widths=(5, 4, 6, 3, 3),
    )


def _work_lost(fate: Fate) -> str:
    if fate.way is Way.ONLY_HERE:
        return "all"
    return "nobody says" if fate.loses_s is None else _lasting(fate.loses_s, "all")


def _source(fate: Fate) -> str:
    if fate.source is not None:
        proved = f"restored {fate.source.proved.isoformat()}" if fate.source.proved else "never seen restored"
        needs = f", with {names(fate.source.needs)}" if fate.source.needs else ""
        return f"{names(fate.source.to)}{needs}; {proved}"
    if fate.stand_ins:
        return f"with {names(fate.stand_ins)} in place"
    return f"waits in a circle: {', '.join(fate.circle)}" if fate.circle else "; ".join(fate.reasons)


def _objectives(loss: Loss) -> Table:
    return Table(
        title="What you allow, and what comes of it",
        head=("data", "may lose", "loses", "back within", "back after", ""),
        rows=tuple(
            (
                each.data,
                "" if each.may_lose_s is None else time(each.may_lose_s),
                "nobody says" if each.loses_s is None else _lasting(each.loses_s, "all"),
                "" if each.back_within_s is None else time(each.back_within_s),
                _lasting(each.back_s, "never"),
                "met" if each.met else "NOT MET",
            )
            for each in loss.objectives
        ),
        widths=(4, 3, 3, 3, 3, 2),
    )


def _lasting(seconds: float, endless: str) -> str:
    if math.isinf(seconds):
        return endless
    return "none" if seconds <= 0 else time(seconds)


def _box(work: Work) -> Box:
    by = f", {' or '.join(work.by)}" if work.by else ""
    moves: tuple[str, ...] = ()
    if work.moves > 0:
        limit = f" ({work.slowest})" if work.slowest else ""
        moves = (f"{units.format(work.moves, Dimension.DATA)}{limit}",)
    needs = [f"{steps(work.after)} done"] if work.after else []
    if work.waits_s > 0:
        needs.append(f"a delivery, {time(work.waits_s)} after the loss")
    return Box(
        number=str(work.number),
        says=f"{work.says[:1].upper()}{work.says[1:]}",
        takes=time(work.takes.likely),
        between=" ".join(each for each in (between(work.takes), "(assumed)" if work.assumed else "") if each),
        hands=f"{time(work.hands_s)} of work{by}" if work.hands_s > 0 else "goes on by itself",
        when="before the teardown"
        if work.task is Task.SAVE
        else f"from {time(work.begins_s)} to {time(work.ends_s)} after the loss",
        needs=tuple(needs),
        command=work.command,
        check=work.check,
        back=work.back,
        moves=moves,
        cautions=work.cautions,
    )
