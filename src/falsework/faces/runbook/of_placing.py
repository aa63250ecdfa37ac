"""How are the moves to a new placement told on paper?"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from falsework import units
from falsework.analyses.placing.result import Move, Placing
from falsework.analyses.placing.strides import Stride, strides, unknown
from falsework.analyses.placing.telling import headline, level_cells, memory_said, on_the_way
from falsework.errors import counted, sentence
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Caution, Chapter, Picture, Runbook, Table
from falsework.faces.runbook.spots import place
from falsework.faces.runbook.wording import names, time
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Data, Service
from falsework.units import Dimension

READING = (
    "One move a box, in an order in which each finds its room: do them one after another, and go on only once the check holds.",
    "Times are the least that copying takes over the ports that are named; expect more.",
    "Where what runs a copy can't move it while it serves, stop it, copy it, start it again: it is out for that long at the least.",
    "A hatched edge: after this move something is worse than at both ends, so don't leave it so for the day.",
)


def of_placing(
    lab: Lab,
    found: Placing,
    *,
    date: datetime.date,
    out: Sequence[str] = (),
    pictures: tuple[Picture, ...] = (),
) -> Runbook:
    """The runbook of the moves from today to a placement.

    Args:
        lab: as it is today.
        found: where its copies should run.
        date: the day it is made for.
        out: parts that are out beforehand.
        pictures: drawings of it, if any.
    """
    moves = strides(lab, found)
    boxes = tuple(_box(lab, each, moves) for each in moves)
    chapters = []
    if found.why_not:
        chapters.append(_why_not(found))
    if found.host_of:
        chapters.append(Chapter(title="At a glance", pictures=pictures, tables=tuple(_glance(found, moves))))
    assumed = unknown(found)
    if assumed:
        chapters.append(_look(found, assumed))
    if boxes:
        chapters.append(Chapter(title="The moves", says=READING, boxes=boxes))
    if found.host_of:
        chapters.append(_end(found))
    return Runbook(
        title="Move the copies",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=tuple(map(sentence, _lead(found, moves, out))),
        cautions=(*cautions(lab), *_data(lab, moves)),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _lead(found: Placing, moves: Sequence[Stride], out: Sequence[str]) -> Iterator[str]:
    yield headline(found)
    if out:
        yield f"all this is with {names(out, 6)} out, and may be otherwise once that is back"
    for aim in found.broken:
        yield f"broken even so: {aim.name}: {aim.says}"
    if not moves:
        yield "there is nothing to move"
        return
    copied = sum(each.move.size for each in moves)
    yield (
        f"{counted(len(moves), 'step')}, {units.format(copied, Dimension.DATA)} to copy, "
        f"{time(sum(each.move.seconds for each in moves))} of copying at the least"
    )
    bad = [each.number for each in moves if not each.move.clean]
    if bad:
        yield (
            "no order was found that keeps everything on the way; read "
            f"{'box' if len(bad) == 1 else 'boxes'} {names(map(str, bad), 12)} before you begin"
        )
    else:
        yield "every rule and every aim is as good after each step as it is at both ends"


def _data(lab: Lab, moves: Sequence[Stride]) -> Iterator[Caution]:
    """Disks that move are data, whether the lab file names them or not."""
    if any(each.disk for each in moves) and not lab.of(Data):
        says = "The disks of copies are moved: what is on them may be nowhere else."
        yield Caution(title="Data", says=(says, DATA_CAUTION))


def _why_not(found: Placing) -> Chapter:
    return Chapter(
        title="Why not all of it",
        says=(
            "These contradict each other, and no fewer of them do."
            if found.smallest
            else "These contradict each other, perhaps fewer of them.",
            *((f"What would do: {'; and '.join(found.would_do)}.",) if found.would_do else ()),
        ),
        tables=(
            Table(
                title="",
                head=("what the lab file says", "where"),
                rows=tuple(
                    (reason.says, "" if reason.where is None else str(reason.where))
                    for reason in found.why_not
                ),
                widths=(5, 3),
            ),
        ),
    )


def _glance(found: Placing, moves: Sequence[Stride]) -> Iterator[Table]:
    if moves:
        yield Table(
            title="",
            head=("step", "copy", "from", "to", "copied", "at least", "on the way"),
            rows=tuple(
                (
                    *(str(each.number), each.move.copy, each.move.start, each.move.end),
                    units.format(each.move.size, Dimension.DATA) if each.move.size else "",
                    time(each.move.seconds) if each.move.size else "",
                    on_the_way(each.move),
                )
                for each in moves
            ),
            widths=(1, 3, 3, 3, 2, 2, 5),
        )
    yield Table(
        title="What it is judged by",
        says="The weightiest first.",
        head=("judged by", "today", "then", "no less than", "counts"),
        rows=tuple(map(level_cells, found.levels)),
        widths=(3, 2, 2, 3, 8),
    )


def _look(found: Placing, assumed: Sequence[str]) -> Chapter:
    return Chapter(
        title="Look first where these run",
        says=(
            "Of these the lab file doesn't say where they run today, so no box moves them, and the room that they take today is not counted.",
            "Look, write what you find into the lab file (`placed`), and make this paper anew.",
        ),
        tables=(
            Table(
                title="",
                head=("copy", "should run on", "runs on"),
                rows=tuple((copy, found.host_of[copy], "") for copy in assumed),
                widths=(4, 4, 4),
            ),
        ),
    )


def _end(found: Placing) -> Chapter:
    return Chapter(
        title="What runs where in the end",
        says=("Tick each host off once all its copies answer.",),
        tables=(
            Table(
                title="",
                head=("host", "copies", "memory", "seen"),
                rows=tuple(
                    (each.host, names(each.copies, 40) or "none", _memory(each.used, each.has), "")
                    for each in found.filled
                ),
                widths=(3, 9, 4, 2),
            ),
        ),
    )


def _memory(used: Mapping[str, float], has: Mapping[str, float]) -> str:
    if "memory" not in has:
        return ""
    return memory_said(used["memory"], has["memory"])


def _box(lab: Lab, stride: Stride, moves: Sequence[Stride]) -> Box:
    move = stride.move
    return Box(
        number=str(stride.number),
        says=_says(move),
        takes=f"{time(move.seconds)} at the least" if move.size else "",
        needs=tuple(_needs(stride)),
        cautions=tuple(_cautions(stride, moves)),
        moves=_copied(stride),
        outage=_outage(stride),
        check=_check(lab, move),
        back=_back(stride),
        fragile=tuple(f"not kept until a later step: {rule}" for rule in move.breaks)
        + (("an aim is further off than at both ends, until a later step",) if move.worse else ()),
        shaky=not move.clean,
        notes=tuple(_spots(lab, move)),
    )


def _says(move: Move) -> str:
    if not move.end:
        return f"Stop {move.copy} on {move.start}"
    if not move.start:
        return f"Start {move.copy} on {move.end}"
    waits = "" if move.last else ", where it waits"
    return f"Move {move.copy} from {move.start} to {move.end}{waits}"


def _needs(stride: Stride) -> Iterator[str]:
    move = stride.move
    if stride.number > 1:
        yield f"step {stride.number - 1} done"
    if stride.beside:
        yield f"serving: {names(stride.beside, 12)}"
    if move.start and move.end:
        yield f"{move.start} and {move.end} are up and reach each other"
    if move.end and not stride.takes:
        yield f"room on {move.end}; nobody says what {move.service} takes"
    elif stride.free is not None:
        yield (
            f"{units.format(stride.takes, Dimension.DATA)} of memory on {move.end}, "
            f"where {units.format(stride.free, Dimension.DATA)} should be free"
        )


def _copied(stride: Stride) -> tuple[str, ...]:
    move = stride.move
    if not move.size:
        unsaid = bool(move.start and move.end)
        return ("nobody says how much (`takes`), so neither how long",) if unsaid else ()
    memory = move.size - stride.disk
    parts = [f"{units.format(memory, Dimension.DATA)} of memory"] if memory else []
    if stride.disk:
        parts.append(f"{units.format(stride.disk, Dimension.DATA)} of disk")
    assumed = ", assumed" if stride.assumed else ""
    return (
        f"{' and '.join(parts)} from {stride.source} to {move.end}, {time(move.seconds)} at "
        f"{units.format(stride.speed, Dimension.SPEED)} (port of {stride.slowest}{assumed})",
    )


def _outage(stride: Stride) -> tuple[str, ...]:
    if stride.move.end:
        return ()
    until = f"step {stride.returns}" if stride.returns else "the end"
    return (f"{stride.move.copy}, until {until}",)


def _cautions(stride: Stride, moves: Sequence[Stride]) -> Iterator[str]:
    move = stride.move
    if not move.end:
        yield (
            f"There is no room to move everything while it runs: {move.copy} is stopped here and is out until "
            f"step {stride.returns or moves[-1].number}. Tell those who use {move.service} before."
        )
    if stride.disk:
        yield f"Its disk moves with it; delete nothing on {stride.source} before the check holds. {DATA_CAUTION}"


def _check(lab: Lab, move: Move) -> str:
    if not move.end:
        return f"{move.copy} has stopped in good order and no longer runs on {move.start}"
    away = f" and no longer on {move.start}" if move.start else ""
    thing = lab.things.get(ThingId(move.service))
    at = thing.reached_at if isinstance(thing, Service) else ()
    return (
        f"{move.copy} runs on {move.end}{away}; {move.service} answers{f' at {names(at, 4)}' if at else ''}"
    )


def _back(stride: Stride) -> str:
    move = stride.move
    if not move.end:
        return f"start it again on {move.start}{_while(stride)}"
    if not move.start:
        return f"stop it again; then go back to step {stride.stopped}" if stride.stopped else "stop it again"
    return f"move it back to {move.start}{_while(stride)}"


def _while(stride: Stride) -> str:
    if stride.filled is None:
        return "; nothing takes its place there"
    return f", before step {stride.filled} takes from its place there; after that undo the later steps first"


def _spots(lab: Lab, move: Move) -> Iterator[str]:
    """Where both hosts are to be found; what they share is told once."""
    if move.was:
        yield f"it was on {move.was}, which is out: a disk that lies there is not at hand"
    lines = (line for host in (move.start, move.end) if host for line in place(lab, host))
    yield from dict.fromkeys(lines)
