"""How is what the probes see told while it goes on: drawn anew in place, a line a change, or JSON a change?"""

from __future__ import annotations

import json
import math
import os
import sys
import time
from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol, TextIO

from falsework.faces.cli.lines import Line, put, put_text
from falsework.faces.cli.stopwatch_strip import Change
from falsework.faces.cli.stopwatch_view import Sight, rows
from falsework.faces.stopwatch_words import WORDS

if TYPE_CHECKING:
    from rich.live import Live as Drawing

DRAWN_S = 0.25
"""No more often than this a view is drawn anew, seconds."""


class Shown(Protocol):
    """Who shows it."""

    def look(self, sight: Sight, changes: Sequence[Change]) -> None:
        """Show how things stand, and what has changed since the last look."""

    def note(self, lines: Sequence[Line]) -> None:
        """Say something that stays."""

    def pause(self) -> None:
        """Take what moves off the terminal, since somebody is asked something or it is over."""


def shown(out: TextIO, *, plain: bool, as_json: bool = False) -> Shown:
    """The way of showing that fits where the words go.

    Args:
        out: where to.
        plain: a line a change, also where it is a terminal.
        as_json: a line of JSON a change.
    """
    if as_json:
        return AsJson(out)
    return Drawn(out) if out.isatty() and not plain else Plain(out)


class Safe:
    """Words that are lost where the terminal is: what has to be done goes on without them."""

    def __init__(self, out: TextIO) -> None:
        self.out = out
        self.lost = False

    def put(self, lines: Sequence[Line]) -> None:
        """Print lines, if somebody may still read them."""
        if self.lost:
            return
        try:
            put(lines, self.out)
        except OSError:
            self._lose()

    def text(self, text: str) -> None:
        """Print finished text."""
        if self.lost:
            return
        try:
            put_text(text, self.out)
        except OSError:
            self._lose()

    def _lose(self) -> None:
        self.lost = True
        # The interpreter would stumble over it once more at its end.
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, self.out.fileno())
        os.close(null)


class Plain:
    """A line a change, for pipes and for who has it read aloud."""

    def __init__(self, out: TextIO) -> None:
        self._safe = Safe(out)
        self._faults: set[str] = set()

    def look(self, sight: Sight, changes: Sequence[Change]) -> None:
        """Tell the changes."""
        for each in changes:
            probe, question = sight.live.probes[each.number], sight.questions[each.number]
            says = f": {probe.says}" if each.last and probe.says else ""
            beside = (sight.beside or {}).get(each.number, "")
            foretold = f" ({beside})" if beside else ""
            said = f"{each.since_s:9.1f} s  {question.name}: {WORDS[each.told]}{says}{foretold}"
            self._safe.put([Line(said)])
        for fault in sight.live.faults:
            if str(fault) not in self._faults:
                self._faults.add(str(fault))
                self._safe.put([Line(f"{sight.live.at_s:9.1f} s  {fault}")])

    def note(self, lines: Sequence[Line]) -> None:
        """Say something."""
        self._safe.put(lines)

    def pause(self) -> None:
        """Nothing moves."""


class AsJson:
    """A line of JSON a change, as `falsework schema answers` describes it."""

    def __init__(self, out: TextIO) -> None:
        self._safe = Safe(out)
        self._faults: set[str] = set()

    def look(self, sight: Sight, changes: Sequence[Change]) -> None:
        """Tell the changes."""
        # Only here: the shapes of answers are not needed to draw.
        from falsework.faces.plain_drill import change_line, fault_line

        for each in changes:
            probe = sight.live.probes[each.number]
            says = probe.says if each.last else ""
            question = sight.questions[each.number]
            self._put(change_line(question, each.since_s, each.told, says=says, usual_s=probe.usual_s))
        for fault in sight.live.faults:
            if str(fault) not in self._faults:
                self._faults.add(str(fault))
                self._put(fault_line(fault, sight.live.at_s))

    def note(self, lines: Sequence[Line]) -> None:
        """What is said to people goes elsewhere."""
        Safe(sys.stderr).put(lines)

    def pause(self) -> None:
        """Nothing moves."""

    def _put(self, said: dict[str, object]) -> None:
        self._safe.text(json.dumps(said, allow_nan=False) + "\n")


class Drawn:
    """Drawn anew in place, a few times a second."""

    def __init__(self, out: TextIO) -> None:
        self._safe = Safe(out)
        self._drawing: Drawing | None = None
        self._size = (0, 0)
        self._at = -math.inf

    def look(self, sight: Sight, changes: Sequence[Change]) -> None:
        """Draw it, if the last drawing is old enough."""
        now = time.monotonic()
        if self._safe.lost or now - self._at < DRAWN_S:
            return
        self._at = now
        try:
            self._draw(sight)
        except OSError:
            self._lost()

    def note(self, lines: Sequence[Line]) -> None:
        """Say something over what moves."""
        if self._drawing is not None:
            self.pause()
        self._safe.put(lines)

    def pause(self) -> None:
        """Take it off."""
        drawing, self._drawing = self._drawing, None
        self._at = -math.inf
        if drawing is not None:
            try:
                drawing.stop()
            except OSError:
                self._lost()

    def _draw(self, sight: Sight) -> None:
        # Only here, since they take a tenth of a second to load.
        from rich.console import Console
        from rich.live import Live as Drawing
        from rich.text import Text

        if self._drawing is None:
            console = Console(file=self._safe.out, highlight=False, markup=False, emoji=False)
            self._drawing = Drawing(
                console=console,
                auto_refresh=False,
                transient=True,
                redirect_stdout=False,
                redirect_stderr=False,
                vertical_overflow="crop",
            )
            self._size = console.size
            self._drawing.start()
        console = self._drawing.console
        if console.size != self._size:
            # Rows that were folded by a narrower terminal would stay behind.
            self._size = console.size
            console.clear()
        width, height = self._size
        made = rows(sight, width=width - 1, height=max(height - 1, 1))
        text = Text("\n", no_wrap=True, overflow="crop").join(
            Text.assemble(*((piece.text, piece.style) for piece in row)) for row in made
        )
        self._drawing.update(text, refresh=True)

    def _lost(self) -> None:
        self._drawing = None
        self._safe.text(" ")


def wants_plain_signs(out: TextIO) -> bool:
    """Whether a stream can't show the signs of a strip."""
    try:
        "▁▒█·…".encode(out.encoding or "utf-8")
    except UnicodeEncodeError:
        return True
    return False
