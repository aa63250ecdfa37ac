"""How does a runbook look as Markdown, to be read in a terminal or kept beside the lab file?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from falsework.faces.runbook import literal
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table

_ANYWHERE = re.compile(r"([\\`*_\[\]<|~$]|&(?=[#\w]))")
_LEADING = re.compile(r"^(\d{1,9}(?=[.)](?:\s|$))|(?=[-+=#>:]))(.)")
"""Signs that readers of Markdown take for markup, in a line and at its beginning; the rest stays easy to read."""


def markdown(runbook: Runbook) -> str:
    """A runbook as Markdown (CommonMark, with tables and task lists as widely understood); ends with a line end.

    Every text is shown sign by sign: what would be markup is escaped, commands stand in fences longer than any
    run of backticks in them.
    """
    return "\n\n".join(block for block in _blocks(runbook) if block) + "\n"


def escaped(text: str) -> str:
    """A text as one line that shows as it is."""
    said = _ANYWHERE.sub(r"\\\1", literal.line(text))
    return _LEADING.sub(r"\1\\\2", said)


def _blocks(runbook: Runbook) -> Iterator[str]:
    yield f"# {escaped(runbook.lab)}: {escaped(runbook.title)}"
    source = f", from {escaped(runbook.source)}" if runbook.source else ""
    yield f"As of {runbook.date.isoformat()}{source}.\nWhatever changed in the lab since is not in here."
    yield "\n".join(f"{escaped(each)}  " for each in runbook.lead).removesuffix("  ")
    if runbook.cautions:
        yield "## Cautions"
    for caution in runbook.cautions:
        yield f"### {escaped(caution.title)}"
        yield "\n".join(map(escaped, caution.says))
    for chapter in (*runbook.chapters, *runbook.appendix):
        yield from _chapter(chapter)


def _chapter(chapter: Chapter) -> Iterator[str]:
    yield f"## {escaped(chapter.title)}"
    yield "\n".join(map(escaped, chapter.says))
    yield "\n".join(escaped(picture.says) for picture in chapter.pictures)
    for table in chapter.tables:
        yield from _table(table)
    group = ""
    for box in chapter.boxes:
        if box.group != group:
            group = box.group
            yield f"**{escaped(group)}**" if group else ""
        yield from _box(box)


def _box(box: Box) -> Iterator[str]:
    yield f"### {escaped(box.number)}. {escaped(box.says)}"
    times = [each for each in (box.takes, box.between, box.hands, box.when) if each]
    yield " · ".join(map(escaped, times))
    if box.no_return:
        yield f"> **No way back after this:** {escaped(box.no_return)}"
    entries = dict(box.entries())
    before: dict[str, tuple[str, ...]] = {
        label: entries.pop(label)
        for label in ("needs", "caution", "copies", "interrupts")
        if label in entries
    }
    yield _entries(before)
    if box.command:
        yield "- command; it is yours, printed here and never run:"
        yield _fenced(box.command)
    yield "\n".join(each for each in (f"- [ ] done: {escaped(box.says)}", _entries(entries)) if each)


def _entries(entries: dict[str, tuple[str, ...]]) -> str:
    """A list item for each label; a tick for the check."""
    found = []
    for label, lines in entries.items():
        lead = f"- [ ] {label}" if label == "check" else f"- {label}"
        if len(lines) == 1:
            found.append(f"{lead}: {escaped(lines[0])}")
        else:
            found.append("\n".join((f"{lead}:", *(f"  - {escaped(each)}" for each in lines))))
    return "\n".join(found)


def _fenced(command: str) -> str:
    text = literal.lines(command)
    longest = max(map(len, re.findall("`+", text)), default=0)
    fence = "`" * max(3, longest + 1)
    return f"{fence}\n{text}\n{fence}"


def _table(table: Table) -> Iterator[str]:
    if table.title:
        yield f"### {escaped(table.title)}"
    yield escaped(table.says)
    rows = [table.head, ["---"] * len(table.head), *table.rows]
    yield "\n".join(_row(row, rule=number == 1) for number, row in enumerate(rows))


def _row(cells: Sequence[str], *, rule: bool) -> str:
    said = cells if rule else [escaped(each) for each in cells]
    return f"| {' | '.join(said)} |"
