"""How does a probe's last minute look as a row of signs?"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from falsework.record.live import Live
from falsework.record.seen import Told

STRIP_S = 60.0
"""How much of the past a strip shows, seconds."""

# Told apart by their form, so that nobody needs the colour: a thin line, a hatch, a solid block, dots.
SIGNS = {Told.YES: "▁", Told.NO: "▒", Told.SILENT: "█", Told.UNKNOWN: "·"}
PLAIN_SIGNS = {Told.YES: "_", Told.NO: "x", Told.SILENT: "#", Told.UNKNOWN: "."}
"""The same for a terminal that only knows the first 128 signs."""
_WORST = (Told.SILENT, Told.NO, Told.UNKNOWN, Told.YES)
"""What a sign shows that stands for several answers: the worst, so that a short outage is never hidden."""


class Strips:
    """The last minute of every probe, put together from looks at how things stand.

    Args:
        number: of probes.
    """

    def __init__(self, number: int) -> None:
        self._changes: list[deque[tuple[float, Told]]] = [deque() for _ in range(number)]
        self.looked_s = 0.0

    def look(self, live: Live) -> tuple[int, ...]:
        """Take in how things stand; returns the probes that are answered otherwise than at the last look."""
        changed = []
        for number, (probe, known) in enumerate(zip(live.probes, self._changes, strict=True)):
            if probe.asked_s == float("-inf"):
                continue
            before = known[-1][1] if known else None
            if before is not probe.told:
                known.append((probe.since_s, probe.told))
                changed.append(number)
            elif known[-1][0] < probe.since_s:
                # The same answer as at the last look, but it has been another between: too short to be seen itself.
                between = Told.SILENT if probe.told is Told.YES else Told.YES
                known.append((max(known[-1][0], min(self.looked_s, probe.since_s)), between))
                known.append((probe.since_s, probe.told))
                changed.append(number)
            while len(known) > 1 and known[1][0] < live.at_s - STRIP_S:
                known.popleft()
        self.looked_s = live.at_s
        return tuple(changed)

    def changed_s(self, number: int) -> float:
        """When a probe was last answered otherwise than before; minus infinity if it never was."""
        known = self._changes[number]
        return known[-1][0] if len(known) > 1 else float("-inf")

    def strip(self, number: int, *, width: int, plain: bool = False) -> str:
        """Its last minute in so many signs, the newest on the right; blank from before it was asked."""
        signs = PLAIN_SIGNS if plain else SIGNS
        return "".join(
            " " if told is None else signs[told]
            for told in cells(self._changes[number], until_s=self.looked_s, width=width)
        )


def cells(changes: Sequence[tuple[float, Told]], *, until_s: float, width: int) -> tuple[Told | None, ...]:
    """The worst answer of each of equal pieces of the last minute; None for before the first.

    Args:
        changes: from when on a probe was answered so, oldest first, seconds since the run began.
        until_s: the end of the minute.
        width: the number of pieces.
    """
    piece = STRIP_S / width
    found: list[Told | None] = []
    for number in range(width):
        begins = until_s - STRIP_S + number * piece
        in_it: set[Told] = set()
        for index, (since, told) in enumerate(changes):
            ends = changes[index + 1][0] if index + 1 < len(changes) else float("inf")
            if since < begins + piece and ends > begins and ends > since:
                in_it.add(told)
        found.append(next((each for each in _WORST if each in in_it), None))
    return tuple(found)
