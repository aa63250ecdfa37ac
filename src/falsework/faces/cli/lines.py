"""How does text reach the terminal: folded to its width, coloured where wanted, in letters it can show?"""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TextIO

from falsework.where import Where

NARROWEST = 30
"""A terminal that says it is narrower is not believed."""

STYLES = {
    "broken": "bold red",
    "lost": "bold red",
    "falls": "bold red",
    "blinks": "yellow",
    "thin": "yellow",
    "open": "yellow",
    "remark": "bold",
    "stands": "green",
    "met": "green",
    "head": "bold",
    "quiet": "dim",
}
"""How each sort of word is shown; the word itself always says it too."""

_PLAINER = str.maketrans(
    {
        "×": "x",
        "–": "-",
        "−": "-",
        "—": "-",
        "’": "'",
        "“": '"',
        "”": '"',
        "µ": "u",
        "Ω": "ohm",
        "…": "...",
    }
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an answer, before it is folded.

    Attributes:
        text: what it says.
        label: stands before the text; what is folded hangs under the text, not under the label.
        style: a key of `STYLES` for the label, or for the text where there is no label.
    """

    text: str = ""
    label: str = ""
    style: str = ""


def labelled(label: str, text: str, *, style: str = "", indent: int = 0, width: int = 8) -> Line:
    """A line whose label takes so many columns, blanks included."""
    return Line(text, " " * indent + label.ljust(width), style)


def told(label: str, says: str, why: str, mend: str, where: Where | None) -> Iterator[Line]:
    """What is wrong, with why, what to do about it and where it stands."""
    yield Line()
    yield labelled(label, says, style=label.lower())
    for word, text in (("why", why), ("mend", mend), ("at", str(where) if where is not None else "")):
        if text:
            yield labelled(word, text, style="quiet", indent=8, width=6)


def folded(line: Line, width: int | None) -> Iterator[tuple[str, str]]:
    """The label and text of each row that a line takes; one row where there is no width."""
    label, text = _clean(line.label), _clean(line.text)
    room = max((width or 0) - len(label), NARROWEST // 2)
    rows = textwrap.wrap(text, room, break_long_words=False, break_on_hyphens=False) if width else [text]
    for number, row in enumerate(rows or [""]):
        yield (label if number == 0 else " " * len(label)), row


def put(lines: Iterable[Line], stream: TextIO | None = None) -> None:
    """Print lines; quiet where nobody reads on.

    What is not a terminal gets one row a line, whatever its length, unless COLUMNS says otherwise.
    """
    out = stream or sys.stdout
    width = _width(out)
    rows = [(*row, line.style, bool(line.label)) for line in lines for row in folded(line, width)]
    if not _coloured(out):
        put_text("".join(f"{label}{text}".rstrip() + "\n" for label, text, _, _ in rows), out)
        return
    # Only here, since it takes a tenth of a second to load.
    from rich.console import Console
    from rich.text import Text

    console = Console(file=out, highlight=False, markup=False, emoji=False)
    with console.capture() as held:
        for label, text, style, has_label in rows:
            shown = STYLES.get(style, "")
            said = Text.assemble((label, shown), text) if has_label else Text(text, style=shown)
            said.rstrip()
            console.print(said, soft_wrap=True)
    put_text(held.get(), out)


def put_text(text: str, stream: TextIO | None = None) -> None:
    """Print finished text; letters that the stream can't show are written another way."""
    out = stream or sys.stdout
    encoding = out.encoding or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = text.translate(_PLAINER).encode(encoding, "backslashreplace").decode(encoding)
    try:
        out.write(text)
        out.flush()
    except BrokenPipeError:
        # Nobody reads on, as in `falsework check lab.yaml | head`. The interpreter would complain once more
        # when it closes the stream at its end, so it gets one that takes everything.
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, out.fileno())
        os.close(null)


def _clean(text: str) -> str:
    """One line without control characters: what a lab file says may not steer the terminal."""
    return "".join(c if c.isprintable() or "\ud800" <= c <= "\udfff" else " " for c in text)


def _width(out: TextIO) -> int | None:
    if not out.isatty() and not os.environ.get("COLUMNS", "").isdigit():
        return None
    return max(shutil.get_terminal_size((80, 24)).columns, NARROWEST)


def _coloured(out: TextIO) -> bool:
    return (out.isatty() or bool(os.environ.get("FORCE_COLOR"))) and not os.environ.get("NO_COLOR")
