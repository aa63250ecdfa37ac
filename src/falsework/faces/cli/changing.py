"""How is a change of the lab's own files shown, and written where that was asked for?"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from falsework.errors import counted, few
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.running import kept
from falsework.lab.save import Changes, write_safely
from falsework.model.lab import Lab


def change_lines(changes: Changes, *, nothing: str, most: int | None = None) -> Iterator[Line]:
    """The difference, and what is left for hands.

    Args:
        changes: the change.
        nothing: what is said where there is none.
        most: lines of the difference that are shown; all if not said.
    """
    yield Line()
    if not changes.difference and not changes.left:
        yield Line(nothing)
    rows = changes.difference.splitlines()
    for row in rows[:most]:
        yield Line(row)
    if most is not None and len(rows) > most:
        yield Line(f"and {counted(len(rows) - most, 'more line')}; --diff without --write shows all of them")
    for of, reason in changes.left:
        yield labelled("by hand", f"{of}: {reason}", indent=2)


def write_changes(lab: Lab, changes: Changes) -> None:
    """Change the files; none of them where one has changed since it was read.

    Raises:
        QuestionError: a file holds something else by now, or cannot be written.
    """
    for file in changes.files:
        # To the same text nothing is written, but what changed meanwhile is refused before the first is.
        write_safely(Path(file), lab.files[file], lab.files[file])
    for file, text in changes.files.items():
        write_safely(Path(file), lab.files[file], text)
        kept(Path(file))


def written_lines(changes: Changes) -> Iterator[Line]:
    """Which files were written."""
    yield Line()
    yield Line(f"Written: {few(tuple(changes.files))}." if changes.files else "Nothing is written.")
