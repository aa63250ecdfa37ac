"""How does one get a lab of any size to try things on?"""

from __future__ import annotations

import shlex
from pathlib import Path

from falsework.errors import QuestionError
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.running import MET, write
from falsework.invent import invent, invent_bare, invent_copied


def invent_lab(
    nodes: int, seed: int, file: Path | None, *, bare: bool = False, copies: int | None = None
) -> int:
    """Print an invented lab, or write it to a new file; return the exit status.

    Raises:
        QuestionError: the file is there already or can't be written, or the size can't be had.
    """
    if bare and copies is not None:
        raise QuestionError(
            what="a lab before any of it stands can't be invented with so many copies",
            mend="leave out --bare or --copies",
        )
    if copies is not None:
        text = invent_copied(nodes, copies, seed)
    else:
        text = invent_bare(nodes, seed) if bare else invent(nodes, seed)
    if file is None:
        put_text(text)
    else:
        write(file, text, over=False)
        put(
            [
                Line(f"An invented lab of {nodes:,} nodes is in {file}. Look at it:"),
                labelled("", f"falsework {_next(bare, copies)} {shlex.quote(str(file))}", width=2),
            ]
        )
    return MET


def _next(bare: bool, copies: int | None) -> str:
    if copies is not None:
        return "place"
    return "raise" if bare else "check"
