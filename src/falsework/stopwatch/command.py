"""Does a command of the owner's say that all is well?"""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import shutil
import signal
import subprocess
from pathlib import Path

from falsework.errors import shortened
from falsework.record.seen import Told
from falsework.stopwatch.desk import IN, CannotAsk, Desk, Target, Try, Untold, by_error

MOST_BYTES = 65_536
"""A command that says more than this is ended."""
_CHUNK = 16_384
_LAST_S = 1.0
_STATUS = re.compile(r"(?:status )?([0-9]{1,3})", re.IGNORECASE)
_NEEDS_SHELL = re.compile(r"[|&;<>()$`*?\[~{\n]")
# The system's shell goes first, and only then the command and its folder: if they lie on a disk that does not answer,
# it is that process that hangs, and not the stopwatch. The words are handed on, not read again.
_WORDS = 'cd -- "$0" && exec "$@"'
_SHELL = 'cd -- "$0" && exec /bin/sh -c "$1"'
_NO_COMMAND = (126, 127)


class Command:
    """Runs a command, and never twice at once.

    Args:
        text: the command as it stands in the lab file; a shell reads it only if it has signs that mean something to one.
        expects: `status 3`, or words of what it says, or nothing: then it must end with status 0.
        folder: where it runs.

    Raises:
        CannotAsk: there is no such command.
    """

    def __init__(self, text: str, expects: str, folder: Path) -> None:
        status = _STATUS.fullmatch(expects.strip())
        self._status = int(status[1]) if status else 0
        self._words = "" if status else expects.strip().casefold()
        self._running: Running | None = None
        if _NEEDS_SHELL.search(text):
            self._line: tuple[str, ...] = ("/bin/sh", "-c", _SHELL, str(folder), text)
            return
        try:
            words = shlex.split(text)
        except ValueError as error:
            raise CannotAsk(f"the command can't be read: {error}", "Close its quotes.") from error
        if not words or shutil.which(words[0] if "/" not in words[0] else str(folder / words[0])) is None:
            raise CannotAsk(
                f"there is no command {shortened(words[0] if words else text)} to run in {folder}",
                "Write its path, or how it lies from the lab file, and make it executable (chmod +x).",
            )
        self._line = ("/bin/sh", "-c", _WORDS, str(folder), *words)

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Run it, unless it still runs."""
        if self._running is not None and not self._running.gone:
            return None
        asked_s = desk.now()
        try:
            process = subprocess.Popen(
                self._line,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                start_new_session=True,  # a group of its own, so that all it started can be ended with it
            )
        except OSError as error:
            desk.tell(Untold(probe, asked_s), *by_error(error.errno or 0))
            return None
        try:
            self._running = Running(probe, asked_s, desk, process, self)
        except OSError as error:  # nobody could see how it ends: it does not go on unseen
            with contextlib.suppress(PermissionError):
                os.killpg(process.pid, signal.SIGKILL)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(_LAST_S)
            assert process.stdout is not None
            process.stdout.close()
            desk.tell(Untold(probe, asked_s), *by_error(error.errno or 0))
            return None
        return self._running

    def judged(self, status: int, output: bytes) -> tuple[Told, str]:
        """What is told by how it ended and by what it said."""
        said = output.decode("utf-8", "replace")
        last = shortened(next((line.strip() for line in reversed(said.splitlines()) if line.strip()), ""), 80)
        if status in _NO_COMMAND and status != self._status:
            return Told.UNKNOWN, f"could not ask: {last or 'no such command'}"
        if status < 0:
            return Told.NO, f"ended by signal {-status}"
        if status != self._status:
            return Told.NO, f"exit status {status}: {last}" if last else f"exit status {status}"
        if self._words and self._words not in said.casefold():
            return Told.NO, f"the words are not in it: {last}" if last else "it said nothing"
        return Told.YES, ""

    def close(self, desk: Desk) -> None:
        """End it if it still runs."""
        if self._running is not None:
            self._running.close(desk)


class Running(Try):
    """A command that runs."""

    __slots__ = ("_by", "_end", "_output", "_pipe", "_process", "gone")

    def __init__(
        self, probe: int, asked_s: float, desk: Desk, process: subprocess.Popen[bytes], by: Command
    ) -> None:
        super().__init__(probe, asked_s)
        self._by = by
        self._process = process
        self._output = bytearray()
        self.gone = False
        self._end = os.pidfd_open(process.pid)
        assert process.stdout is not None
        self._pipe: int | None = process.stdout.fileno()
        os.set_blocking(self._pipe, False)
        desk.wait(self._pipe, self, IN)
        desk.wait(self._end, _End(self), IN)

    def ready(self, desk: Desk, mask: int) -> None:
        """Take in what it says."""
        self._read(desk)
        if len(self._output) > MOST_BYTES:
            desk.tell(self, Told.NO, f"more output than {MOST_BYTES // 1_024} KiB")
            self.leave(desk)

    def ended(self, desk: Desk) -> None:
        """It has ended: judge it, and end whatever it has left behind."""
        while self._pipe is not None and len(self._output) <= MOST_BYTES and self._read(desk):
            pass
        self.leave(desk)
        status = self._process.wait()
        desk.forget(self._end)
        os.close(self._end)
        self.gone = True
        if len(self._output) > MOST_BYTES:
            desk.tell(self, Told.NO, f"more output than {MOST_BYTES // 1_024} KiB")
        else:
            desk.tell(self, *self._by.judged(status, bytes(self._output)))

    def close(self, desk: Desk) -> None:
        """End it for good, waiting a moment for it."""
        if self.gone:
            return
        self.leave(desk)
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(_LAST_S)
        desk.forget(self._end)
        os.close(self._end)
        self.gone = True

    def leave(self, desk: Desk) -> None:
        """End it and all it started; what does not end at once is waited for without holding anybody up."""
        with contextlib.suppress(ProcessLookupError, PermissionError):
            # Its number can't be another's yet: nobody has asked how it ended.
            if not self.gone:
                os.killpg(self._process.pid, signal.SIGKILL)
        if self._pipe is not None:
            desk.forget(self._pipe)
            self._pipe = None
            assert self._process.stdout is not None
            self._process.stdout.close()

    def late(self) -> tuple[Told, str]:
        """It runs for too long."""
        return Told.SILENT, "it still ran"

    def _read(self, desk: Desk) -> bool:
        """Whether something was there."""
        if self._pipe is None:
            return False
        try:
            data = os.read(self._pipe, _CHUNK)
        except BlockingIOError:
            return False
        self._output += data
        if not data:
            desk.forget(self._pipe)
        return bool(data)


class _End:
    """Waits for a command to end."""

    __slots__ = ("_running",)

    def __init__(self, running: Running) -> None:
        self._running = running

    def ready(self, desk: Desk, mask: int) -> None:
        """It has."""
        self._running.ended(desk)
