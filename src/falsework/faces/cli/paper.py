"""How does a command write its runbook?"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from falsework.errors import QuestionError
from falsework.faces.cli.running import write
from falsework.faces.runbook.document import Runbook
from falsework.faces.runbook.setting import check_place, runbook_bytes

__all__ = ["check_place", "write_runbook"]


def write_runbook(path: Path, runbook: Runbook | Callable[[], Runbook], *, paper: str = "a4") -> None:
    """Write a runbook, to be printed (.pdf) or read as text (.md); an older one is replaced.

    Args:
        path: where to; its ending says in which form.
        runbook: the runbook, or what makes it.
        paper: `a4` or `letter`.

    Raises:
        QuestionError: the ending or the paper means nothing, or it can't be written there.
    """
    check_place(path, paper)
    if path.is_dir():
        raise QuestionError(f"'{path}' is a folder", "Name a file in it.")
    made = runbook if isinstance(runbook, Runbook) else runbook()
    write(path, runbook_bytes(path, made, paper=paper), over=True)
