"""What is wrong with a text that somebody is typing, said within a second whatever they type?

A few words may stand for a hundred thousand machines, so the text is read in a process of its own, which can
be stopped; the page goes on meanwhile.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerContext, SpawnContext
from pathlib import Path
from queue import SimpleQueue

from falsework.errors import FalseworkError, Fault, LabError
from falsework.lab.read import read
from falsework.model.build import build

PATIENCE_S = 0.8
"""How long one question waits for its answer."""

LONGEST_S = 20.0
"""How long one text is read at the most."""

_GLANCE_S = 0.05
_ENDS_IN_S = 0.5

Texts = Mapping[str, str]
"""What files hold, by their names as places give them."""


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


def looked(path: Path, instead: Texts) -> Looked:
    """Read a lab as `falsework check` does, with texts in place of what some of its files hold."""
    try:
        lab = build(read(path, instead=instead))
    except LabError as error:
        return Looked(faults=error.faults, more=error.more)
    except FalseworkError as error:
        fault = Fault(where=None, what=getattr(error, "what", str(error)), mend=getattr(error, "mend", ""))
        return Looked(faults=(fault,))
    except Exception as error:
        what = f"this is a defect of falsework, not of your lab: {type(error).__name__}"
        return Looked(faults=(Fault(where=None, what=what, mend="Please report it, with the text."),))
    return Looked(things={str(name): thing.IS for name, thing in lab.things.items()})


class Looking:
    """Reads texts one after another; may be asked from several threads.

    A thread of its own does all that may take long, so that whoever asks waits no longer than they want.

    Args:
        path: the lab, a file or a folder of them.

    Attributes:
        things: what each thing is, by name, in the newest text that could be read; None before there is one.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._news = threading.Condition()
        self._wanted: Texts | None = None
        self._since_s = 0.0
        self._known: list[tuple[Texts, Looked]] = []
        self._thread: threading.Thread | None = None
        self._closed = False
        self.things: Mapping[str, str] | None = None

    def ask(self, instead: Texts, *, patience_s: float = PATIENCE_S) -> Looked | None:
        """What is wrong with the lab when files hold these texts; None where it takes longer.

        Asked again with the same texts, the reading goes on; other texts end it, once it has had a moment.
        """
        until_s = time.monotonic() + patience_s
        with self._news:
            while not self._closed:
                found = next((looked for texts, looked in self._known if texts == instead), None)
                if found is not None:
                    return found
                now_s = time.monotonic()
                if self._wanted is None or (self._wanted != instead and now_s - self._since_s > PATIENCE_S):
                    self._wanted, self._since_s = dict(instead), now_s
                    self._begin()
                if now_s >= until_s:
                    return None
                self._news.wait(until_s - now_s)
        return None

    def close(self) -> None:
        """End all that goes on; whoever waits gets no answer."""
        with self._news:
            self._closed = True
            self._news.notify_all()
            thread = self._thread
        if thread is not None:
            thread.join(_ENDS_IN_S)

    def _begin(self) -> None:
        self._news.notify_all()
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="falsework looks", daemon=True)
            self._thread.start()

    def _work(self) -> None:
        """Read what is wanted, as long as anybody wants anything."""
        reader: _Reader | None = None
        try:
            while True:
                with self._news:
                    while self._wanted is None and not self._closed:
                        self._news.wait()
                    if self._closed:
                        return
                    wanted = self._wanted
                if wanted is None:
                    continue
                reader = reader or _Reader()
                found = self._read(reader, wanted)
                if found is None or not reader.is_well:
                    reader.end()
                    reader = None
                with self._news:
                    if found is not None:
                        self._known = [*self._known[-3:], (wanted, found)]
                        self.things = self.things if found.things is None else found.things
                        if self._wanted is wanted:
                            self._wanted = None
                    self._news.notify_all()
        finally:
            if reader is not None:
                reader.end()

    def _read(self, reader: _Reader, wanted: Texts) -> Looked | None:
        """Read one text; None where it was left for a newer one."""
        reader.send(self._path, wanted)
        begun_s = time.monotonic()
        while True:
            found = reader.received(_GLANCE_S)
            if found is not None:
                return found
            with self._news:
                if self._closed or self._wanted is not wanted:
                    return None
            if time.monotonic() - begun_s > LONGEST_S:
                reader.is_well = False
                return _too_much("it takes too long to read it")


class _Reader:
    """The process that reads."""

    def __init__(self) -> None:
        context: SpawnContext | ForkServerContext
        context = get_context("forkserver") if sys.platform != "win32" else get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_reads, args=(theirs,), daemon=True, name="falsework reads")
        self._process.start()
        theirs.close()
        self.is_well = True

    def send(self, path: Path, instead: Texts) -> None:
        try:
            self._pipe.send((path, instead))
        except OSError:
            self.is_well = False

    def received(self, patience_s: float) -> Looked | None:
        """An answer, if there is one by then; where the process has died, that."""
        try:
            if self.is_well and not self._pipe.poll(patience_s):
                return None
            got = self._pipe.recv()
        except (EOFError, OSError):
            self.is_well = False
            return _too_much("reading it ended early, perhaps for want of memory")
        return got if isinstance(got, Looked) else None

    def end(self) -> None:
        self._pipe.close()
        self._process.kill()
        self._process.join()


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
    waiting: SimpleQueue[tuple[Path, Texts]] = SimpleQueue()
    threading.Thread(target=_hears, args=(pipe, waiting), daemon=True).start()
    with contextlib.suppress(OSError):
        while True:
            pipe.send(looked(*waiting.get()))


def _hears(pipe: Connection, waiting: SimpleQueue[tuple[Path, Texts]]) -> None:
    """Take what is asked; when the page is gone, however it went, end whatever is being read."""
    with contextlib.suppress(EOFError, OSError):
        while True:
            waiting.put(pipe.recv())
    os._exit(0)
