"""How is one command of the owner's run, so that it can neither flood, hang nor drag down what watches it?

The command is a line of shell, as its owner would type it. It gets a session and a process group of its own: what is
typed at the drill's terminal never reaches it, so Ctrl-C gives up the drill without cutting its put-back in two. It
has no input either; a command that asks for a password has to get it some other way.

Whoever calls this has shown the command in full and has been told yes: nothing here asks.
"""

from __future__ import annotations

import contextlib
import os
import select
import signal
import subprocess
import threading
import time
from collections import deque
from dataclasses import dataclass
from pathlib import Path

from falsework.errors import QuestionError, shortened

SHELL = "/bin/sh"
GRACE_S = 5.0
"""From the polite signal to the one that cannot be ignored, seconds."""
FRESH = 20
"""Lines that are told in one go; of more only the last."""
LONGEST = 400
"""Letters of a line that are kept."""
_CHUNK = 65_536
_MOST_A_SECOND = 8 * 1024 * 1024
"""Bytes of output that are taken a second: a command that floods has to wait, so that it cannot starve the watch."""
_left: list[subprocess.Popen[bytes]] = []  # commands that go on by themselves
_LAST = 16
"""Of what lies in the pipe at the end so many chunks are read: more than it holds, but not all of a child that floods on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a command ended.

    Attributes:
        status: its exit status; None where a signal ended it.
        by: the number of that signal, or None.
        lasted_s: from its beginning until the end was seen, seconds.
    """

    status: int | None
    by: int | None
    lasted_s: float

    @property
    def well(self) -> bool:
        """Whether it says that it did what it should."""
        return self.status == 0

    @property
    def says(self) -> str:
        """A clause about it, such as `ended with status 3`."""
        if self.by is not None:
            return f"was ended by signal {self.by} ({_signal_name(self.by)})"
        return "ended well" if self.well else f"ended with status {self.status}"


class Action:
    """A command that runs; it is begun by `Action.begin`, and looked after by whoever asks it now and then."""

    def __init__(self, process: subprocess.Popen[bytes], heard: _Heard) -> None:
        self._process = process
        self._heard = heard
        self._began = time.monotonic()
        self._kill_at: float | None = None
        self._ended: Ended | None = None

    @classmethod
    def begin(cls, command: str, *, folder: Path) -> Action:
        """Run a command, on the word of its owner.

        Args:
            command: a line of shell.
            folder: where it runs.

        Raises:
            QuestionError: it could not even be begun; nothing was done.
        """
        pipe, end = os.pipe()
        heard = _Heard(pipe)
        try:
            heard.begin()  # first, so that no command runs that nobody looks after
            process = subprocess.Popen(
                [SHELL, "-c", command],
                cwd=folder,
                stdin=subprocess.DEVNULL,
                stdout=end,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        except (OSError, ValueError, RuntimeError) as error:
            reason = (getattr(error, "strerror", None) or str(error)).lower()
            raise QuestionError(
                f"'{shortened(command, LONGEST)}' could not be begun ({reason}); nothing was done",
                "Try it by hand in the folder of the lab file.",
            ) from error
        finally:
            os.close(end)
        return cls(process, heard)

    @property
    def lasts_s(self) -> float:
        """For how long it has run, seconds."""
        return time.monotonic() - self._began

    def says(self) -> tuple[str, ...]:
        """What it has written since this was last asked: at most `FRESH` lines, with a note of what was left out."""
        return self._heard.fresh()

    def ended(self) -> Ended | None:
        """How it ended, or None while it runs; after `stop`, the harder signal follows from here."""
        if self._ended is not None:
            return self._ended
        code = self._process.poll()
        if code is None:
            if self._kill_at is not None and time.monotonic() >= self._kill_at:
                self._signal(signal.SIGKILL)
            return None
        lasted = self.lasts_s
        self._heard.drain()
        self._ended = Ended(
            status=code if code >= 0 else None,
            by=-code if code < 0 else None,
            lasted_s=lasted,
        )
        if self._kill_at is not None:
            # What it had begun in the background belongs to its group, and was to be stopped too.
            self._signal(signal.SIGKILL)
        return self._ended

    def stop(self) -> None:
        """Ask it to end, and all that it has begun; `ended` sees to it that it does within `GRACE_S`."""
        if self._kill_at is None and self._process.poll() is None:
            self._kill_at = time.monotonic() + GRACE_S
            self._signal(signal.SIGTERM)

    def leave(self) -> None:
        """Let it go on by itself, also when this process ends: what it still writes is thrown away."""
        if self._process.poll() is None:
            _left.append(self._process)
        self._heard.leave()

    def _signal(self, number: int) -> None:
        # All of it may have ended, or run as somebody else by now.
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self._process.pid, number)


class _Heard:
    """What a command writes: counted whole, kept in part."""

    def __init__(self, pipe: int) -> None:
        self._pipe = pipe
        self._lock = threading.Lock()  # who has it may read
        self._fresh: deque[str] = deque(maxlen=FRESH)
        self._unsaid = 0
        self._rest = b""
        self._over = False
        self._reader = threading.Thread(target=self._listen, daemon=True)

    def begin(self) -> None:
        """Read from now on, to the end.

        Raises:
            RuntimeError: the system permits no further thread.
        """
        os.set_blocking(self._pipe, False)
        try:
            self._reader.start()
        except RuntimeError:
            os.close(self._pipe)
            raise

    def drain(self) -> None:
        """Take in what has been written until now; what a child in the background may still write is not waited for."""
        with self._lock:
            for _ in range(_LAST):
                if self._over or not self._read():
                    break

    def _listen(self) -> None:
        """Read to the end, on a thread of its own."""
        something = select.poll()
        something.register(self._pipe, select.POLLIN)
        while True:
            something.poll()
            began = time.monotonic()
            with self._lock:
                size = 0 if self._over else self._read()
                if self._over:
                    os.close(self._pipe)
                    return
            spare = size / _MOST_A_SECOND - (time.monotonic() - began)
            if spare > 0.001:
                time.sleep(spare)

    def _read(self) -> int:
        """How much there was to take in; for who has the lock."""
        try:
            chunk = os.read(self._pipe, _CHUNK)
        except BlockingIOError:
            return 0
        except OSError:
            chunk = b""
        self._over = not chunk
        self._take(chunk or (b"\n" if self._rest else b""))
        return len(chunk)

    def leave(self) -> None:
        """Have somebody else read on, who throws it away."""
        with self._lock:
            if not self._over:
                self._over = True
                os.set_blocking(self._pipe, True)  # as the other one expects it
                # Without a reader its next line of output would end it, half-way through a put-back perhaps.
                actions = [
                    (os.POSIX_SPAWN_DUP2, self._pipe, 0),
                    (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0),
                    (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0),
                ]
                os.posix_spawn("/bin/cat", ["cat"], os.environ, file_actions=actions, setsid=True)

    def fresh(self) -> tuple[str, ...]:
        """Lines since the last time."""
        with self._lock:
            missed = self._unsaid - len(self._fresh)
            said = tuple(self._fresh)
            self._fresh.clear()
            self._unsaid = 0
        return (f"({missed:,} lines left out)", *said) if missed > 0 else said

    def _take(self, chunk: bytes) -> None:
        whole, cut, rest = (self._rest + chunk).rpartition(b"\n")
        # A line that never ends is kept by its beginning only.
        self._rest = rest[: LONGEST * 4]
        if not cut:
            return
        count = whole.count(b"\n") + 1
        self._unsaid += count
        self._fresh.extend(_line(each) for each in whole.rsplit(b"\n", FRESH)[-FRESH:])


def _line(raw: bytes) -> str:
    """A line fit to be shown: no control characters, and not endless."""
    text = raw[: LONGEST * 4].decode("utf-8", "replace").expandtabs().rstrip()
    shown = "".join(each if each.isprintable() else " " for each in text[: LONGEST + 1])
    return shown if len(shown) <= LONGEST else f"{shown[:LONGEST]}…"


def _signal_name(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return "unknown"
