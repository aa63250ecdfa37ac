"""Which questions are in flight, which of them can go on, and how are their answers handed in?"""

from __future__ import annotations

import errno
import os
import select
import sys
from abc import ABC, abstractmethod
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from falsework.errors import QuestionError
from falsework.record.seen import Seen, Told

if sys.platform != "linux":
    # Here, and not where it is begun, since what follows is not even there to be named on other systems.
    raise QuestionError("the stopwatch runs on Linux only", "Run it on a machine of the lab that has it.")

IN, OUT = select.EPOLLIN, select.EPOLLOUT
BROKEN = select.EPOLLERR | select.EPOLLHUP
_MOST_EVENTS = 512


Address = tuple[str, int] | tuple[str, int, int, int]
"""Host as digits and port, as sockets want it; for version 6 also flow and scope."""


@dataclass(frozen=True, slots=True)
class Target:
    """Whom a question is put to, once its name is looked up.

    Attributes:
        family: the version of the address, as sockets number it.
        address: host and port.
    """

    family: int
    address: Address


NOBODY = Target(0, ("", 0))
"""Whom a command is put to."""


class Ready(Protocol):
    """What waits for something to be read or written."""

    def ready(self, desk: Desk, mask: int) -> None:
        """Go on: what was waited for is there."""


class Try(ABC):
    """A question that was put once.

    Attributes:
        probe: the number of its probe.
        asked_s: when it was asked, seconds since the run began.
        over: whether it is told already.
    """

    __slots__ = ("asked_s", "over", "probe")

    def __init__(self, probe: int, asked_s: float) -> None:
        self.probe = probe
        self.asked_s = asked_s
        self.over = False

    @abstractmethod
    def ready(self, desk: Desk, mask: int) -> None:
        """Go on: what was waited for is there."""

    @abstractmethod
    def leave(self, desk: Desk) -> None:
        """Let go of everything: nobody waits for the answer any more."""

    def late(self) -> tuple[Told, str]:
        """What is told if the patience ends here."""
        return Told.SILENT, ""


class Asker(Protocol):
    """A question that can be put over and over."""

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Put it once; None if it is told already, or if it was not put since it is still being answered."""

    def close(self, desk: Desk) -> None:
        """Let go of what all its tries share."""


class Desk:
    """Where questions in flight wait.

    Args:
        now: seconds since the run began.
        wall: seconds since 1970, for the age of certificates only.
    """

    def __init__(self, now: Callable[[], float], wall: Callable[[], float]) -> None:
        self.now = now
        self.wall = wall
        self.told: deque[Seen] = deque()
        self.broke = ""
        """The last defect of ours, in words."""
        self._poll = select.epoll()
        self._waiting: dict[int, Ready] = {}

    def wait(self, fd: int, ready: Ready, mask: int) -> None:
        """Call `ready` whenever something of the mask can be done with the file."""
        self._poll.register(fd, mask)
        self._waiting[fd] = ready

    def rewait(self, fd: int, mask: int) -> None:
        """Wait for something else."""
        self._poll.modify(fd, mask)

    def forget(self, fd: int) -> None:
        """Wait for it no longer; to be said before it is closed, and no harm if it never waited."""
        if self._waiting.pop(fd, None) is not None:
            self._poll.unregister(fd)

    def closing(self, fd: int) -> None:
        """Wait for it no longer, since it is closed in the next moment, which takes it off the system's list too."""
        del self._waiting[fd]

    def tell(self, asked: Try, told: Told, says: str = "") -> None:
        """Hand in the answer; only the first one counts."""
        if not asked.over:
            asked.over = True
            self.told.append(Seen(asked.probe, asked.asked_s, self.now(), told, says))

    def poll(self, waits_s: float) -> list[tuple[int, int]]:
        """Which files can be used, after waiting for at most so many seconds."""
        return self._poll.poll(max(waits_s, 0.0), _MOST_EVENTS)

    def serve(self, events: list[tuple[int, int]]) -> None:
        """Let everything go on that can; what was let go of since is passed over."""
        waiting = self._waiting
        for fd, mask in events:
            ready = waiting.get(fd)
            if ready is not None:
                try:
                    ready.ready(self, mask)
                except Exception as error:
                    # One answer that nobody thought of must not end the watch over all others.
                    self.defect(ready if isinstance(ready, Try) else None, error)

    def defect(self, asked: Try | None, error: Exception) -> None:
        """Something of ours broke over an answer: nothing is known of that one, and `broke` says so."""
        self.broke = f"{type(error).__name__}: {error}"
        if asked is not None:
            self.tell(asked, Told.UNKNOWN, "could not ask: the stopwatch broke over it")
            asked.leave(self)

    def close(self) -> None:
        """Wait for nothing any more."""
        self._poll.close()


_NO = {
    errno.ECONNREFUSED: "refused",
    errno.ECONNRESET: "reset",
    errno.EPIPE: "reset",
    errno.ECONNABORTED: "reset",
    errno.EHOSTUNREACH: "no way there",
    errno.ENETUNREACH: "no way there",
    errno.EHOSTDOWN: "no way there",
    errno.ENETDOWN: "no way there",
}


def by_error(number: int) -> tuple[Told, str]:
    """What a system's error number tells of a question.

    What the other side or the network said is an answer; what this machine could not do is no knowledge.
    """
    if number in _NO:
        return Told.NO, _NO[number]
    if number == errno.ETIMEDOUT:
        return Told.SILENT, ""
    return Told.UNKNOWN, f"could not ask: {os.strerror(number)}"


class Untold(Try):
    """A question that could not even be put."""

    __slots__ = ()

    def ready(self, desk: Desk, mask: int) -> None:
        """Nothing is waited for."""

    def leave(self, desk: Desk) -> None:
        """Nothing is held."""


class CannotAsk(Exception):
    """A question that can't be put on this machine at all.

    Attributes:
        what: why, in words.
        mend: how to mend it, as whole sentences.
    """

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(what)
        self.what = what
        self.mend = mend
