"""Which things wait for each other, and what is the cheapest way out?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.loops import KINDS, Cuts, Loop, Loops, loops
from falsework.errors import counted
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.loops_words import cheapest_says, cut_says
from falsework.faces.plain_loops import loops_answer
from falsework.support.standing import Standing

SHOWN = 5
"""How many loops of a kind are shown unless all are asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    all: bool = False
    json: bool = False


def loops_of(asked: Asked) -> int:
    """Find the loops, print them, return the exit status: 1 where something can't start for a loop.

    Raises:
        FalseworkError: the file.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, ())
        tell("looking for loops", 0, 1)
        found = loops(standing)
    status = BROKEN if found.of("to start") else MET
    if asked.json:
        put_text(json.dumps(loops_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(standing, found, every=asked.all))
    return status


def _lines(standing: Standing, found: Loops, *, every: bool) -> Iterator[Line]:
    name = standing.lab.name
    if not found.loops:
        yield Line(f"{name}: nothing waits for itself", style="head")
        return
    kinds = [kind for kind in KINDS if found.of(kind)]
    told = counted(len(found.loops), "loop")
    counts = ", ".join(f"{len(found.of(kind))} {kind}" for kind in kinds)
    yield Line(f"{name}: {told} {kinds[0]}" if len(kinds) == 1 else f"{name}: {told}: {counts}", style="head")
    for kind in KINDS:
        for loop in found.of(kind)[: None if every else SHOWN]:
            yield Line()
            yield from _loop(loop)
        left = 0 if every else len(found.of(kind)) - SHOWN
        if left > 0:
            yield Line()
            yield Line(f"{counted(left, 'more loop')} {kind}; --all shows them.", style="quiet")
        for cuts in found.cheapest:
            if cuts.kind == kind:
                yield Line()
                yield from _cheapest(cuts)


def _loop(loop: Loop) -> Iterator[Line]:
    style = "quiet" if loop.kind == "to run" else "remark"
    yield labelled(loop.kind, " -> ".join(loop.ring), style=style, width=14)
    for number, link in enumerate(loop.links):
        place = f" ({link.where})" if link.where is not None else ""
        yield labelled("why" if number == 0 else "", f"{link.thing} {link.says} {link.on}{place}", indent=14)
    yield labelled("means", loop.means, indent=14)
    for number, cut in enumerate(loop.cuts[:3]):
        yield labelled("cut" if number == 0 else "or", cut_says(cut), indent=14)


def _cheapest(cuts: Cuts) -> Iterator[Line]:
    if cuts.left:
        yield Line(f"{cheapest_says(cuts)}.")
        return
    yield Line(f"{cheapest_says(cuts)}:")
    for cut in cuts.cuts:
        yield labelled("", cut_says(cut), indent=2, width=2)
