"""How is the process of a job started, listened to and ended?"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import pickle
import signal
import threading
from collections.abc import Callable, Iterable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from falsework.errors import LimitError
from falsework.faces.page.child import Asked, Work, run
from falsework.faces.page.made import Made, made_of_error

PRELOADED = ("falsework.faces.cli.main", "falsework.study", "falsework.faces.page.judging")
"""What every job needs. Nothing here may start threads when it loads: the process that holds it is forked."""

STOP_S = 60.0
"""Seconds that a job has to end with what it has, once it is asked to."""


class Starter:
    """Starts processes: where it can, by forking one that has loaded what all of them need.

    Args:
        preload: further modules that jobs need.
    """

    def __init__(self, preload: Iterable[str] = ()) -> None:
        self._preload = (*PRELOADED, *preload)
        self._context: Any = None
        self._lock = threading.Lock()

    def begin(self) -> None:
        """Have the process that others are forked from load what they need; does not wait for it."""
        with self._lock:
            if self._context is not None:
                return
            if "forkserver" in multiprocessing.get_all_start_methods():
                from multiprocessing import forkserver

                context = multiprocessing.get_context("forkserver")
                context.set_forkserver_preload(list(self._preload))
                forkserver.ensure_running()
                self._context = context
            else:
                self._context = multiprocessing.get_context("spawn")

    def process(self, work: Work, asked: Asked, pipe: Connection) -> BaseProcess:
        """Start the process of a job; waits until it is there."""
        self.begin()
        made: BaseProcess = self._context.Process(target=run, args=(work, asked, pipe), daemon=True)
        with self._lock:
            made.start()
        return made


class Started:
    """A job whose process runs, or is about to.

    Args:
        starter: starts it.
        asked: what it works on.
        work: the job.
        told: called with what, done and of, on a thread of its own.
        early: called with what is known already, on that thread.
        ended: called once with what was made, on that thread, when the process is gone.
    """

    def __init__(
        self,
        starter: Starter,
        asked: Asked,
        work: Work,
        *,
        told: Callable[[str, int, int], None],
        early: Callable[[Made], None],
        ended: Callable[[Made], None],
    ) -> None:
        self._starter, self._asked, self._work = starter, asked, work
        self._told, self._early, self._ended = told, early, ended
        self._lock = threading.Lock()
        self._process: BaseProcess | None = None
        self._killed = False
        # A daemon: what it waits for is killed on the way out, or notices by its pipe that we are gone.
        self._thread = threading.Thread(target=self._see_to, daemon=True)
        self._thread.start()

    def kill(self) -> None:
        """End it at once."""
        with self._lock:
            self._killed = True
            if self._process is not None:
                self._process.kill()

    def stop(self) -> None:
        """Ask it to end with what it has, and end it if it doesn't."""
        with self._lock:
            process = self._process
            if process is None or process.pid is None or os.name != "posix":
                self._killed = True
            else:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(process.pid, signal.SIGINT)
        timer = threading.Timer(STOP_S, self.kill)
        timer.daemon = True
        timer.start()

    def join(self, seconds: float) -> None:
        """Wait until its process is gone and has been told about."""
        self._thread.join(seconds)

    def _see_to(self) -> None:
        try:
            made = self._whole()
        except OSError as error:
            reason = (error.strerror or "unknown reason").lower()
            made = self._failed(
                LimitError(f"no process could be started ({reason})", "End other programs, and try again.")
            )
        self._ended(made)

    def _whole(self) -> Made:
        ours, theirs = multiprocessing.Pipe()
        with ours:
            try:
                process = self._starter.process(self._work, self._asked, theirs)
            finally:
                theirs.close()
            with self._lock:
                self._process = process
                if self._killed:
                    process.kill()
            try:
                made = self._listened(ours)
                process.join(1.0 if made else 5.0)
                return made or self._failed(_ended_early(process))
            finally:
                with self._lock:
                    self._process = None
                process.kill()
                process.join()

    def _listened(self, pipe: Connection) -> Made | None:
        while True:
            try:
                message = pipe.recv()
            except (EOFError, OSError):
                return None
            if message[0] == "made":
                with contextlib.suppress(OSError):
                    pipe.send_bytes(b"taken")
                made: Made = pickle.loads(message[1])
                return made
            if message[0] == "early":
                self._early(pickle.loads(message[1]))
            else:
                self._told(*message[1:])

    def _failed(self, error: LimitError) -> Made:
        return made_of_error(error, command=self._asked.command)


def _ended_early(process: BaseProcess) -> LimitError:
    code = process.exitcode
    how = f"signal {-code}" if code is not None and code < 0 else f"exit status {code}"
    return LimitError(
        f"the work ended before it was done ({how})",
        "The memory may be used up. Ask about a smaller lab, or open this sheet again in a minute.",
    )
