"""What can be made again from the rest, what comes only from a backup, and what exists only here?"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.rebuild.asking import Asking, losses
from falsework.analyses.rebuild.rebuild import rebuild
from falsework.analyses.rebuild.result import Loss, Teardown, Way
from falsework.faces.cli.lines import Line, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.rebuild_lines import lines, lines_of_loss
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.plain_rebuild import loss_answer, rebuild_answer
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    things: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    runbook: Path | None = None
    paper: str = "a4"
    json: bool = False


def rebuild_lab(asked: Asked) -> int:
    """Destroy and make again, print the answer, return the exit status.

    Returns:
        1 where data exist only here of which the owner says how much may be lost or how soon they must be back.

    Raises:
        FalseworkError: the file, the question, or the place for the runbook.
    """
    check_place(asked.runbook, asked.paper)
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        if asked.things:
            loss = losses(Asking(standing), asked.things)
            status = status_of((loss,))
            answer = loss_answer(standing, loss, status)
            said: Iterator[Line] = lines_of_loss(standing, loss)
            sheet: Loss | Teardown = loss
        else:
            found = rebuild(
                standing, progress=lambda done, of: tell("destroying one thing after the other", done, of)
            )
            status = status_of((*found.losses, found.teardown.saved))
            answer = rebuild_answer(standing, found, status)
            said = lines(standing, found)
            sheet = found.teardown
        if asked.runbook is not None:
            _write(asked, standing, sheet, tell)
    if asked.json:
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
    else:
        put(said)
        if asked.runbook is not None:
            put((Line(), Line(f"The runbook is in {asked.runbook}.")))
    return status


def _write(asked: Asked, standing: Standing, sheet: Loss | Teardown, tell: Told) -> None:
    # Only here: typesetting loads what no other answer needs.
    from falsework.faces.runbook.of_rebuild import of_rebuild

    tell("writing the runbook", 0, 1)
    assert asked.runbook is not None
    write_runbook(
        asked.runbook, of_rebuild(standing.lab, sheet, date=datetime.date.today()), paper=asked.paper
    )


def status_of(found: Iterable[Loss]) -> int:
    """1 where data with an objective are gone for good after any of the losses."""
    for loss in found:
        wanted = {objective.data for objective in loss.objectives}
        if any(fate.way is Way.ONLY_HERE and fate.thing in wanted for fate in loss.fates):
            return BROKEN
    return MET
