"""Which probes are to be added before anything fails, and what do they still leave open?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from falsework.analyses.diagnosis.planning import ProbePlan, Together, plan_probes
from falsework.errors import QuestionError, counted, few, listed
from falsework.faces.cli.changing import change_lines, write_changes, written_lines
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.diagnosis_words import group, plan_headline
from falsework.findings.edits.probing import probes_added
from falsework.lab.save import Changes
from falsework.support.standing import Standing

FEW = 8


def plan(lab: Path, *, out: tuple[str, ...], diff: bool, write: bool, as_json: bool, every: bool) -> int:
    """Plan probes, print the answer, write them if that was asked, return the exit status.

    Raises:
        FalseworkError: the file, a part that is out, or a file that can't be written.
    """
    with Told() as tell:
        tell("losing every part", 0, 1)
        standing = opened(lab, out)
        if not standing.support.services:
            raise QuestionError("the lab has no services", "Without any there is nothing to watch.")
        found = plan_probes(standing)
        changes = probes_added(standing.lab, found.add) if diff or write or as_json else None
    if write and changes is not None:
        write_changes(standing.lab, changes)
    status = BROKEN if found.add else MET
    if as_json:
        # Only here: who reads it as text needs none of it.
        from falsework.faces.plain_diagnosis import plan_answer

        put_text(json.dumps(plan_answer(standing, found, changes, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(standing, found, changes, written=write, every=every))
    return status


def _lines(
    standing: Standing, found: ProbePlan, changes: Changes | None, *, written: bool, every: bool
) -> Iterator[Line]:
    yield Line(plan_headline(standing, found), style="head")
    most = len(found.add) if every else FEW
    if found.add:
        yield Line()
    for each in found.add[:most]:
        from_ = f", asked by a stopwatch on {each.from_}" if each.from_ else ""
        yours = "; how it is asked is yours to say" if each.yours else ""
        yield labelled("add", f"{each.name}: {each.asks}{from_}{yours}", style="open")
    if len(found.add) > most:
        yield labelled("", f"and {len(found.add) - most} more; --all or --diff shows them")
    yield Line()
    for blast in found.in_blast:
        said = (
            f"{blast.probe} asks from {blast.from_}, which falls with what it sees when {group(blast.parts, 3)} "
            "is lost: ask it from elsewhere too"
        )
        yield labelled("blast", said, style="remark", width=10)
    for dead in found.half_dead[: len(found.half_dead) if every else FEW]:
        said = f"{dead.copy} can be dead unseen, since {dead.service} goes on ({group(dead.parts, 3)} lost)"
        yield labelled("half dead", said, style="remark", width=10)
    if not every and len(found.half_dead) > FEW:
        yield labelled("", f"and {counted(len(found.half_dead) - FEW, 'more copy', 'more copies')}", width=10)
    if found.unseen:
        yield labelled(
            "unseen",
            f"no probe shows today that one of these is lost: {listed(found.unseen)}",
            style="remark",
            width=10,
        )
    for number, each_group in enumerate(found.together[: len(found.together) if every else FEW]):
        yield labelled("" if number else "alike", _together(each_group), style="quiet", width=10)
    if not every and len(found.together) > FEW:
        yield labelled("", f"and {counted(len(found.together) - FEW, 'more group')}", width=10)
    if changes is not None:
        yield from change_lines(changes, nothing="Nothing is to be added.")
        if written:
            yield from written_lines(changes)


def _together(each: Together) -> str:
    said = f"no probe can tell which of these it is: {listed(each.parts, 5)}"
    if each.looks:
        said += f"; a look at {few(each.looks, 3)} can"
        if each.still:
            said += f", but for {few([' and '.join(names) for names in each.still], 2)}"
    return said
