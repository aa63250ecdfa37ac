"""How are Ctrl-C, the key that quits, a request to end and a lost terminal noticed, without anything being cut in two by them?

Python would raise in the middle of whatever is being done; here they are only noted, and whoever waits is woken.
"""

from __future__ import annotations

import contextlib
import os
import select
import signal
import time
from collections.abc import Sequence
from types import FrameType, TracebackType
from typing import Any, Self

APART_S = 0.5
"""A key that is held down gives many signals: only what comes this much after the first is a second, seconds."""
_ENDING = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT)


class Stops:
    """Notes what asks this process to stop; use it as a context, on the main thread."""

    def __init__(self) -> None:
        self._first: tuple[float, signal.Signals] | None = None
        self._taken = self._again = False
        self._before: dict[signal.Signals, Any] = {}
        self._wakeup = -1
        self._read, self._write = -1, -1

    def __enter__(self) -> Self:
        self._read, self._write = os.pipe2(os.O_NONBLOCK | os.O_CLOEXEC)
        self._wakeup = signal.set_wakeup_fd(self._write, warn_on_full_buffer=False)
        for each in _ENDING:
            # What was begun to outlive its terminal, or in the background, has that ignored, and means it.
            if signal.getsignal(each) is not signal.SIG_IGN:
                self._before[each] = signal.signal(each, self._note)
        # A drill that is halted cannot put back what it has taken out.
        for each in (signal.SIGTSTP, signal.SIGTTIN, signal.SIGTTOU):
            self._before[each] = signal.signal(each, signal.SIG_IGN)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for each, before in self._before.items():
            signal.signal(each, before)
        signal.set_wakeup_fd(self._wakeup)
        os.close(self._read)
        os.close(self._write)

    @property
    def asked(self) -> signal.Signals | None:
        """What asked to stop first, or None."""
        return self._first[1] if self._first else None

    def take(self) -> None:
        """It is known, and what was asked for is being done: from now on another one means haste."""
        self._taken = True

    @property
    def again(self) -> bool:
        """Whether somebody asked once more, after `take`. A terminal that is lost says so more than once: not counted."""
        return self._again

    @property
    def pending(self) -> bool:
        """Whether somebody asked, and nothing has been done about it yet."""
        return self._first is not None and (not self._taken or self._again)

    def wait(self, seconds: float, inputs: Sequence[int] = ()) -> list[int]:
        """Wait so long at the most, for any of these inputs or for somebody who asks; returns the inputs with news."""
        if self.pending:
            seconds = 0.0
        ready, _, _ = select.select([self._read, *inputs], [], [], max(seconds, 0.0))
        if self._read in ready:
            with contextlib.suppress(BlockingIOError):
                os.read(self._read, 4096)
        return [each for each in ready if each != self._read]

    def _note(self, number: int, frame: FrameType | None) -> None:
        now, what = time.monotonic(), signal.Signals(number)
        if self._first is None:
            self._first = (now, what)
        elif self._taken and what is not signal.SIGHUP and now - self._first[0] >= APART_S:
            self._again = True
