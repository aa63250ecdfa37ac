"""How is a stopwatch begun that nothing else makes late, and how is it spoken with?"""

from __future__ import annotations

import contextlib
import dataclasses
import subprocess
import sys
import threading
from collections.abc import Sequence
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import TracebackType

import falsework
from falsework.errors import FalseworkError, Fault
from falsework.record.keeping import NewRun
from falsework.record.live import Live, LiveProbe
from falsework.record.seen import Marked, Told
from falsework.stopwatch.child import MARK_S, Begun, Ended, Look, Order, Said, Stop, Taken
from falsework.stopwatch.clocks import boot_s
from falsework.stopwatch.lateness import Watched
from falsework.stopwatch.loop import Glance
from falsework.support.probing import Question

_PATIENCE_S = 0.5
_BEGIN_S = 30.0
_END_S = 10.0
# Not `-m`: the package may stand on a path that only this process knows, and the owner's commands shall not inherit it.
_CODE = "import sys; sys.path.insert(0, sys.argv[1]); from falsework.stopwatch.child import main; main()"
_PARENT = str(Path(falsework.__file__).resolve().parent.parent)


class Stopwatch:
    """A stopwatch in a process of its own; use `begin`, and as a context, so that it is ended whatever happens.

    All that is asked of it may be asked from any thread.
    """

    def __init__(
        self, process: subprocess.Popen[bytes], pipe: Connection, begun: Begun, questions: Sequence[Question]
    ) -> None:
        self._process = process
        self._pipe = pipe
        self._lock = threading.Lock()
        self._owed = 0  # answers that were not waited for
        self._ended: Ended | None = None
        self.zero_s = begun.zero_s
        """What the boot clock said as the run began."""
        self.number = begun.number
        """The number of the run in its record."""
        nobody = LiveProbe(told=Told.UNKNOWN, since_s=0.0, asked_s=float("-inf"), usual_s=float("nan"))
        self._live = Live(at_s=0.0, probes=(nobody,) * len(questions), until_s=0.0)

    @classmethod
    def begin(
        cls, questions: Sequence[Question], record: Path, run: NewRun, *, folder: Path | None = None
    ) -> Stopwatch:
        """Begin to ask, and to take down what is told.

        Args:
            questions: what is asked; all of them, so those that ask from elsewhere must be left out before.
            record: where it is taken down.
            run: what is known of the run; it begins now, whatever its `began` says.
            folder: where commands of probes run; the working folder if not said.

        Raises:
            RecordError: nothing can be taken down there.
            FalseworkError: it could not begin.
        """
        ours, theirs = Pipe()
        try:
            process = subprocess.Popen(
                [sys.executable, "-c", _CODE, _PARENT, str(theirs.fileno())],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                pass_fds=(theirs.fileno(),),
                start_new_session=True,  # what is typed at the terminal is for the one that it was typed at
            )
        except OSError as error:
            ours.close()
            raise FalseworkError(f"the stopwatch can't be started: {error}") from error
        finally:
            theirs.close()
        try:
            ours.send(
                Order(
                    questions=tuple(questions),
                    record=record.absolute(),
                    run=run,
                    folder=(folder or Path()).absolute(),
                )
            )
            said: Said | None = ours.recv() if ours.poll(_BEGIN_S) else None
        except (OSError, EOFError):
            said = None
        if isinstance(said, Begun):
            return cls(process, ours, said, questions)
        ours.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(1.0)
        if process.poll() is None:
            process.kill()
            process.wait()
        if isinstance(said, Ended) and said.error is not None:
            raise said.error
        raise FalseworkError("the stopwatch did not begin; its process ended or said nothing")

    def __enter__(self) -> Stopwatch:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.end()

    def now_s(self) -> float:
        """Seconds since the run began."""
        return boot_s() - self.zero_s

    def mark(self, marked: Marked) -> bool:
        """Take down what somebody did; whether it is on disk. Waits for that, for two seconds at most."""
        said = self._ask(marked, MARK_S + _PATIENCE_S)
        return isinstance(said, Taken) and said.on_disk

    def live(self) -> Live:
        """How things stand; if the stopwatch does not answer, how they last stood, and a fault that says so."""
        said = self._ask(Look(), _PATIENCE_S)
        if isinstance(said, Glance):
            self._live = said.live
            return self._live
        if self._ended is not None:
            if self._ended.live is not None:
                self._live = self._ended.live
            what = str(self._ended.error) if self._ended.error else ""
            return self._and_fault(what, ended=True) if what else dataclasses.replace(self._live, ended=True)
        return self._and_fault(
            "the stopwatch does not answer: it is halted, or the machine is too busy", ended=False
        )

    def end(self) -> Watched | None:
        """End the run and close its record; how well it kept its time, or None if nobody knows.

        What is in flight is waited for, for a second at most.
        """
        with self._lock:
            if self._ended is None:
                with contextlib.suppress(OSError):
                    self._pipe.send(Stop())
                self._receive(_END_S, until_ended=True)
            self._pipe.close()
        try:
            self._process.wait(_END_S)
        except subprocess.TimeoutExpired:
            self._process.kill()  # halted or stuck: what is on disk stays, and the record says how far it goes
            self._process.wait()
        return self._ended.watched if self._ended else None

    @property
    def process(self) -> int:
        """The number of the process that it runs in."""
        return self._process.pid

    @property
    def error(self) -> FalseworkError | None:
        """What went wrong at its end, if it has ended and something did."""
        return self._ended.error if self._ended else None

    def _ask(self, what: Look | Marked, patience_s: float) -> Said | None:
        with self._lock:
            if self._ended is not None:
                return None
            try:
                self._pipe.send(what)
            except (OSError, ValueError):
                pass  # it has ended: what it said last still lies in the pipe
            else:
                self._owed += 1
            return self._receive(patience_s)

    def _receive(self, patience_s: float, *, until_ended: bool = False) -> Said | None:
        """The answer to what was asked last; those that are still owed from before come first and are passed over."""
        last_s = boot_s() + patience_s
        try:
            while self._pipe.poll(max(last_s - boot_s(), 0.0)):
                said: Said = self._pipe.recv()
                if isinstance(said, Ended):
                    self._ended = said
                    return said
                self._owed -= 1
                if self._owed == 0 and not until_ended:
                    return said
        except (OSError, EOFError):
            error = FalseworkError("the stopwatch was killed; the record says how far it goes")
            self._ended = Ended(watched=None, live=None, error=error)
        return None

    def _and_fault(self, what: str, *, ended: bool) -> Live:
        fault = Fault(None, what, "")
        return dataclasses.replace(self._live, faults=(*self._live.faults, fault), ended=ended)
