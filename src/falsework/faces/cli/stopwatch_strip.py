"""How does a probe's last minute look as a row of signs?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Change:
    """A probe that is answered otherwise than before.

    Attributes:
        number: of the probe.
        since_s: from when on, seconds since the run began.
        told: how it is answered.
        last: whether nothing has changed since.
    """

    number: int
    since_s: float
    told: Told
    last: bool


class Strips:
    """The last minute of every probe, put together from looks at how things stand.

    Args:
        number: of probes.
    """

    def __init__(self, number: int) -> None:
        self._changes: list[list[tuple[float, Told]]] = [[] for _ in range(number)]
        self.looked_s = 0.0

    def look(self, live: Live) -> tuple[Change, ...]:
        """Take in how things stand; returns what has changed since the last look, also what has changed back."""
        found: list[Change] = []
        for number, probe in enumerate(live.probes):
            known = self._changes[number]
            told = probe.changes or ((probe.since_s, probe.told),)
            if probe.asked_s == float("-inf") or (known and known[-1] == told[-1]):
                continue
            # A late answer may set right what was told before: the newest telling counts.
            kept = [each for each in known if each[0] < told[0][0]]
            if kept and kept[-1][1] is told[0][1]:
                told = told[1:]
            news = [each for each in told if each not in known]
            self._changes[number] = made = _recent([*kept, *told], live.at_s - STRIP_S)
            found += [Change(number, *each, each == made[-1]) for each in news]
        self.looked_s = live.at_s
        return tuple(found)

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


def _recent(changes: Sequence[tuple[float, Told]], from_s: float) -> list[tuple[float, Told]]:
    """Without what was over before."""
    first = next(
        (index for index in range(len(changes) - 1) if changes[index + 1][0] >= from_s), len(changes) - 1
    )
    return list(changes[max(first, 0) :])


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
