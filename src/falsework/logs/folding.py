"""How are lines that repeat told once?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from falsework.logs.kinds import Kind
from falsework.logs.line import Line
from falsework.logs.stamps import SECOND
from falsework.logs.thinning import Differs, Thinning, Why

GAP_US = 60 * SECOND
"""A minute of silence ends what is told as one."""
MOST_BURSTS = 12
"""Of one kind; the last goes on to the end."""
MOST_ENTRIES = 5_000


@dataclass(slots=True)
class Entry:
    """Lines of one kind that come one after the other.

    Attributes:
        line: the first.
        kind: of all of them.
        why: they are told.
        count: how many.
        until_us: when the last came, by the host's clock.
    """

    line: Line
    kind: Kind
    why: Why
    count: int
    until_us: int


@dataclass(slots=True)
class Folding:
    """Folds lines that repeat; what it holds is bounded.

    Attributes:
        entries: in order of their first lines.
        dropped: lines that found no room.
    """

    entries: list[Entry]
    dropped: int
    _open: dict[Kind, Entry]
    _bursts: dict[Kind, int]

    def __init__(self) -> None:
        self.entries, self.dropped, self._open, self._bursts = [], 0, {}, {}

    def add(self, line: Line, kind: Kind, why: Why) -> None:
        """Add a line that is told."""
        entry = self._open.get(kind)
        bursts = self._bursts.get(kind, 0)
        if entry is not None and (line.at_us - entry.until_us <= GAP_US or bursts >= MOST_BURSTS):
            entry.count += 1
            entry.until_us = max(entry.until_us, line.at_us)
            return
        if len(self.entries) >= MOST_ENTRIES:
            self.dropped += 1
            return
        entry = self._open[kind] = Entry(line, kind, why, 1, line.at_us)
        self._bursts[kind] = bursts + 1
        self.entries.append(entry)


def folded(lines: Iterator[Line], thinning: Thinning, differing: Mapping[Kind, Differs]) -> Folding:
    """The lines of the kinds that are told, repeats folded.

    Args:
        lines: of the window, in order of time.
        thinning: that counted them.
        differing: what it found.
    """
    folding = Folding()
    told = {thinning.number(kind): each for kind, each in differing.items() if each.why is not Why.STOPPED}
    for line in lines:
        differs = told.get(line.kind if line.kind >= 0 else thinning.number(thinning.kind(line)))
        if differs is not None:
            folding.add(line, differs.kind, differs.why)
    return folding
