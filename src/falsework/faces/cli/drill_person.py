"""How is a person at the terminal asked, while probes go on being watched and Ctrl-C keeps its meaning?"""

from __future__ import annotations

import contextlib
import os
import termios
import tty
from collections.abc import Callable, Iterator
from typing import TextIO

from falsework.faces.cli.lines import Line
from falsework.faces.cli.stopwatch_shown import Safe
from falsework.faces.cli.stopwatch_stops import Stops

LOOK_S = 0.05
"""How often it is looked at how things stand, seconds."""


class Person:
    """Who sits at the terminal, or nobody.

    Args:
        stops: notes who asks to stop.
        typed: where they type; nobody is there if it is no terminal.
        out: where they are asked.
    """

    def __init__(self, stops: Stops, typed: TextIO, out: TextIO) -> None:
        self.stops = stops
        self._safe = Safe(out)
        self._fd = typed.fileno() if at_terminal(typed) else -1

    @property
    def there(self) -> bool:
        """Whether anybody can be asked: not in the background, where the terminal belongs to somebody else."""
        return self._fd >= 0 and _in_front(self._fd)

    def line(self, prompt: str, look: Callable[[], None]) -> str | None:
        """What they type up to Enter; None if nobody can be asked, or somebody asks to stop meanwhile.

        Args:
            prompt: stands before what they type.
            look: called again and again while they think.
        """
        if not self.there:
            return None
        with contextlib.suppress(termios.error):
            termios.tcflush(
                self._fd, termios.TCIFLUSH
            )  # what was typed before the question is no answer to it
        self._safe.text(f"{prompt} ")
        typed = b""
        while b"\n" not in typed:
            look()
            if self.stops.pending:
                self._safe.text("\n")
                return None
            if self._fd in self.stops.wait(LOOK_S, [self._fd]):
                more = self._read()
                if not more:
                    self._safe.text("\n")
                    return None
                typed += more
        return typed.partition(b"\n")[0].decode("utf-8", "replace").strip()

    def agrees(self, prompt: str, look: Callable[[], None]) -> bool:
        """Whether they type the word `yes` in full."""
        return self.line(prompt, look) == "yes"

    @contextlib.contextmanager
    def keys(self) -> Iterator[None]:
        """Take single keys, unseen, for a while."""
        if not self.there:
            yield
            return
        fd = self._fd
        try:
            before = termios.tcgetattr(fd)
            tty.setcbreak(fd, termios.TCSADRAIN)
        except termios.error:
            self._fd = -1
            yield
            return
        try:
            yield
        finally:
            with contextlib.suppress(termios.error):
                termios.tcsetattr(fd, termios.TCSADRAIN, before)

    def key(self) -> str:
        """A key that was pressed, or nothing after `LOOK_S`; Enter is a line feed."""
        if not self.there:
            self.stops.wait(LOOK_S)
            return ""
        if self._fd in self.stops.wait(LOOK_S, [self._fd]):
            return self._read().decode("utf-8", "replace")[:1].replace("\r", "\n")
        return ""

    def tell(self, *lines: Line) -> None:
        """Say something to them."""
        self._safe.put(lines)

    def command(self, command: str) -> None:
        """Show a command of the owner's exactly as it runs: not folded, so that it can be copied."""
        shown = "".join(
            each if each.isprintable() or each == "\n" else f"\\x{ord(each):02x}" for each in command
        )
        self._safe.text("".join(f"    {row}\n" for row in shown.splitlines() or [""]))

    def _read(self) -> bytes:
        try:
            typed = os.read(self._fd, 4096)
        except OSError:
            typed = b""
        if not typed:
            self._fd = -1  # the terminal is gone, or they have typed its end
        return typed


def at_terminal(stream: TextIO) -> bool:
    """Whether somebody types there, and to this program."""
    try:
        return stream.isatty() and _in_front(stream.fileno())
    except (ValueError, OSError):
        return False


def _in_front(fd: int) -> bool:
    try:
        return os.tcgetpgrp(fd) == os.getpgrp()
    except OSError:
        return False
