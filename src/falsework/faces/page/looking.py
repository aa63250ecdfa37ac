"""What is wrong with a text that somebody is typing, said within a second whatever they type?

A few words may stand for a hundred thousand machines, so the text is read in a process of its own, which can
be stopped; the page goes on meanwhile.
"""

from __future__ import annotations

import contextlib
import signal
import sys
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerContext, SpawnContext
from multiprocessing.process import BaseProcess
from pathlib import Path

from falsework.errors import FalseworkError, Fault, LabError
from falsework.lab.read import read
from falsework.model.build import build

PATIENCE_S = 0.8
"""How long one question waits for its answer."""

LONGEST_S = 20.0
"""How long one text is read at the most."""

_STARTS_IN_S = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What reading a text came to.

    Attributes:
        faults: each with its place, where it has one; empty where the lab can be read.
        more: faults that are not listed.
        things: what each thing of the lab is, by name; None where the lab could not be read.
    """

    faults: tuple[Fault, ...] = ()
    more: int = 0
    things: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A text that is being read, or was."""

    path: Path
    instead: Mapping[str, str]


def looked(path: Path, instead: Mapping[str, str]) -> Looked:
    """Read a lab as `falsework check` does, with texts in place of what some of its files hold."""
    try:
        lab = build(read(path, instead=instead))
    except LabError as error:
        return Looked(faults=error.faults, more=error.more)
    except FalseworkError as error:
        fault = Fault(where=None, what=getattr(error, "what", str(error)), mend=getattr(error, "mend", ""))
        return Looked(faults=(fault,))
    return Looked(things={str(name): thing.IS for name, thing in lab.things.items()})


class Looking:
    """Reads texts one after another; may be asked from several threads.

    Args:
        path: the lab, a file or a folder of them.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._turn = threading.Lock()
        self._reader: tuple[BaseProcess, Connection] | None = None
        self._asked: _Asked | None = None
        self._answer: Looked | None = None
        self._since_s = 0.0
        self.things: Mapping[str, str] | None = None

    def ask(self, instead: Mapping[str, str], *, patience_s: float = PATIENCE_S) -> Looked | None:
        """What is wrong with the lab when files hold these texts; None where it takes longer.

        Asked again with the same texts, the reading goes on; other texts end it.
        """
        asked = _Asked(path=self._path, instead=dict(instead))
        with self._turn:
            if asked != self._asked:
                if self._asked is not None and self._answer is None:
                    self.close()
                self._asked, self._answer = asked, None
                self._since_s = time.monotonic()
                self._send(asked)
            if self._answer is None:
                self._answer = self._received(patience_s)
                if self._answer is not None and self._answer.things is not None:
                    self.things = self._answer.things
            return self._answer

    def close(self) -> None:
        """End the process that reads; it starts again when it is wanted."""
        if self._reader is not None:
            process, pipe = self._reader
            self._reader = None
            pipe.close()
            process.kill()
            process.join()

    def _send(self, asked: _Asked) -> None:
        for _ in range(2):  # it may have died of hunger meanwhile
            pipe = self._pipe()
            try:
                pipe.send((asked.path, asked.instead))
            except (BrokenPipeError, OSError):
                self.close()
            else:
                return

    def _received(self, patience_s: float) -> Looked | None:
        if self._reader is None:
            return _too_much("the process that reads it could not be started")
        pipe = self._reader[1]
        try:
            if pipe.poll(patience_s):
                got = pipe.recv()
                return got if isinstance(got, Looked) else None
        except (EOFError, OSError):
            self.close()
            return _too_much("reading it ended early, perhaps for want of memory")
        if time.monotonic() - self._since_s > LONGEST_S:
            self.close()
            return _too_much("it takes too long to read it")
        return None

    def _pipe(self) -> Connection:
        if self._reader is None:
            context: SpawnContext | ForkServerContext
            context = get_context("forkserver") if sys.platform != "win32" else get_context("spawn")
            ours, theirs = context.Pipe()
            process = context.Process(target=_reads, args=(theirs,), daemon=True, name="falsework reads")
            process.start()
            theirs.close()
            self._reader = (process, ours)
            with contextlib.suppress(EOFError, OSError):
                if ours.poll(_STARTS_IN_S):
                    ours.recv()  # "ready": starting it is not counted as reading
        return self._reader[1]


def _too_much(why: str) -> Looked:
    fault = Fault(
        where=None,
        what=f"the text can't be looked at while it is typed: {why}",
        mend="Save it, and run falsework check.",
    )
    return Looked(faults=(fault,))


def _reads(pipe: Connection) -> None:
    """What the process does: read, answer, and again, until the page is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the page ends it, not the key that ends the page
    with contextlib.suppress(EOFError, OSError):
        pipe.send("ready")
        while True:
            path, instead = pipe.recv()
            pipe.send(looked(path, instead))
