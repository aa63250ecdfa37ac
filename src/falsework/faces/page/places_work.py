"""Where copies run: is there room after each loss, and where should each copy run?"""

from __future__ import annotations

import datetime
import json
from dataclasses import replace

from falsework.analyses.placing import Placing, place_lab
from falsework.analyses.placing.strides import shown as shown_moves
from falsework.analyses.placing.writing import rewritten
from falsework.analyses.room import room_left
from falsework.errors import few
from falsework.faces.cli.placing import Pressed
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.page.difference import shown
from falsework.faces.page.fragments import Tell, bare, fragment, opened, ticked
from falsework.faces.page.made import Made
from falsework.faces.page.saving import digest as digest_of_text
from falsework.faces.plain_placing import place_answer
from falsework.faces.plain_room import room_answer
from falsework.faces.report.places import places
from falsework.faces.report.room_piece import room_losses, room_piece
from falsework.faces.report.stacks import stack_print, stack_sheet
from falsework.faces.runbook.document import Picture
from falsework.faces.runbook.of_placing import of_placing
from falsework.lab.save import Changes
from falsework.model.lab import Lab
from falsework.support.standing import Standing

USUAL_S, MOST_S = 30.0, 3600.0
"""How long it is searched if nobody says otherwise, and at the most."""
CHANGE = "change.json"
"""The file of a result that holds what would be written: by file, the digest of its text and the new text."""
WANTS_ROOM = ticked(
    "No service runs on a pool and there is no store, so there is no room to look at. Say under `pools` which nodes share "
    "the load (`cluster: {hosts: desk-*}`), put services on it (`mail: cluster`), and say what a copy takes (`takes: {memory: 4 GiB}`)."
)
WANTS_CHOICE = ticked(
    "No copy has a choice of hosts. Put a service on a pool, or name more nodes under `on` than it has `copies`."
)


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Look for room after each loss, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    found = room_left(standing, progress=tell)
    html = fragment(
        "room_made.html.j2",
        standing,
        out,
        piece=room_piece(found),
        losses=room_losses(found),
        wants=WANTS_ROOM,
    )
    return Made(html=html, answers={"room": room_answer(standing, found, MET if found.fits else BROKEN)})


def work_search(
    path: str, digest: str, out: tuple[str, ...], tell: Tell, *, seconds: float = USUAL_S
) -> Made:
    """Look for better places, in a process of its own; stopped early, the best so far is told.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    with _Ended() as ended:
        found = place_lab(standing, seconds=seconds, progress=ended.told(tell), stopped=ended)
    lab = standing.lab
    tell("writing down what the lab file would say", 0, 1)
    changes = rewritten(lab, found)
    tell("drawing", 0, 1)
    files = _files(standing, found)
    section = places(lab, found)
    figure = section.figure if section is not None else None
    if section is not None and figure is not None:
        section = replace(section, figure=replace(figure, svg=bare(figure.svg)))
    broken = [(aim.name, aim.says) for aim in found.after if aim.met is False]
    html = fragment(
        "placing_made.html.j2",
        standing,
        out,
        places=section,
        seconds=int(seconds),
        papers=tuple(files),
        wants=WANTS_CHOICE,
        aims=tuple(
            (before.name, _met(before.met), _met(after.met), after.says)
            for before, after in zip(found.before, found.after, strict=True)
        ),
        hosts=tuple(
            (each.host, few(each.before, 12) or "-", few(each.copies, 12) or "-") for each in found.filled
        ),
        difference=shown(changes.difference) if changes.difference else "",
        left=changes.left,
        broken=broken,
    )
    status = BROKEN if found.broken or not found.possible else MET
    return Made(
        html=html,
        answers={
            "place": place_answer(standing, found, None, status),
            "place --diff": place_answer(standing, found, changes, status),
        },
        files={**files, CHANGE: _written(lab, changes)},
    )


class _Ended(Pressed):
    """Ends a search at once, but lets what was found be judged: that is what is shown."""

    def __init__(self) -> None:
        super().__init__()
        self._searching = False

    def told(self, tell: Tell) -> Tell:
        """The same telling, overheard."""

        def say(what: str, done: int, of: int) -> None:
            self._searching = what.startswith("looking for")
            tell(what, done, of)

        return say

    def _press(self, *given: object) -> None:
        if self._searching:
            super()._press(*given)
        self._pressed = True


def _files(standing: Standing, found: Placing) -> dict[str, bytes]:
    """The drawing, and where something moves the paper that tells how."""
    if not found.host_of:
        return {}
    lab = standing.lab
    files = {"places.svg": f"{stack_sheet(lab, found)}\n".encode()}
    if shown_moves(found):
        # Only here: typesetting loads what no other answer needs.
        from falsework.faces.runbook.markdown import markdown
        from falsework.faces.runbook.pdf import pdf

        pictures = tuple(Picture(svg=svg, says=says) for svg, says in stack_print(found))
        today = datetime.date.today()
        book = of_placing(lab, found, date=today, out=sorted(standing.out), pictures=pictures)
        files |= {"moves.md": markdown(book).encode(), "moves.pdf": pdf(book)}
    return files


def _written(lab: Lab, changes: Changes) -> bytes:
    change = {
        name: {"digest": digest_of_text(lab.files[name]), "text": text}
        for name, text in changes.files.items()
    }
    return json.dumps(change).encode()


def _met(met: bool | None) -> str:
    return "not judged" if met is None else "met" if met else "broken"
