"""How does one get a lab of any size to try things on?"""

from __future__ import annotations

import shlex
from pathlib import Path

from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.running import MET, write
from falsework.invent import invent, invent_bare


def invent_lab(nodes: int, seed: int, file: Path | None, *, bare: bool = False) -> int:
    """Print an invented lab, or write it to a new file; return the exit status.

    Raises:
        QuestionError: the file is there already or can't be written, or the size can't be had.
    """
    text = invent_bare(nodes, seed) if bare else invent(nodes, seed)
    if file is None:
        put_text(text)
    else:
        write(file, text, over=False)
        put(
            [
                Line(f"An invented lab of {nodes:,} nodes is in {file}. Look at it:"),
                labelled("", f"falsework {'raise' if bare else 'check'} {shlex.quote(str(file))}", width=2),
            ]
        )
    return MET
