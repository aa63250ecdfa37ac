"""How does one job of the page run in a process of its own, and how does that process end?"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection

from falsework.errors import FalseworkError, LimitError, QuestionError
from falsework.faces.page.made import Made, made_of_error

Tell = Callable[[str, int, int], None]
"""Called with what is being done, how far it is, and how far it goes."""

Work = Callable[[str, str, tuple[str, ...], Tell], Made]
"""A job: what can be pickled and takes path, digest, parts that are out, and whom to tell how far it is."""

TOLD_EVERY_S = 0.2
"""Seconds between two tellings of how far a job is; more would only be work."""

NICENESS = 5
"""How far jobs stand back behind the page itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a job works on.

    Attributes:
        name: of the job and its question, as in "year 1000"; the first word is the command it tells the
            same as.
        path: of the lab.
        digest: of its files; the job tells of these and no others.
        out: parts that are out, sorted, each once.
    """

    name: str
    path: str
    digest: str
    out: tuple[str, ...] = ()

    @property
    def command(self) -> str:
        """The command that it tells the same as."""
        return self.name.partition(" ")[0]

    @property
    def key(self) -> str:
        """A short name for all of it, fit for an address."""
        said = "\0".join((self.name, self.path, self.digest, *self.out))
        return hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def run(work: Work, asked: Asked, pipe: Connection) -> None:
    """Do a job and send what it makes; the last thing that a child process does.

    Args:
        work: the job; a KeyboardInterrupt in it means that it shall end with what it has.
        asked: what it works on.
        pipe: takes tuples ("told", what, done, of) and ("early", pickled `Made`), and at the end ("made", pickled
            `Made`); when its other end closes, nobody waits any more and the process ends.
    """
    if hasattr(os, "setpgid"):
        # Ctrl-C reaches every process of the terminal's group; here the parent alone decides.
        with contextlib.suppress(OSError):
            os.setpgid(0, 0)
    if hasattr(os, "nice"):
        with contextlib.suppress(OSError):
            os.nice(NICENESS)
    taken = threading.Event()
    threading.Thread(target=_until_closed, args=(pipe, taken), daemon=True).start()
    made = pickle.dumps(made_by(work, asked, _Teller(pipe)))
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # there is nothing left to stop
    with contextlib.suppress(OSError):
        pipe.send(("made", made))
        taken.wait(60.0)  # what is still in the pipe must not go down with this process


def _until_closed(pipe: Connection, taken: threading.Event) -> None:
    with contextlib.suppress(EOFError, OSError):
        pipe.recv_bytes()
        taken.set()
        return
    os._exit(1)


def made_by(work: Work, asked: Asked, tell: Tell) -> Made:
    """What a job makes, be it only why there is nothing."""
    try:
        made = work(asked.path, asked.digest, asked.out, tell)
        pickle.dumps(made)
        return made
    except FalseworkError as error:
        return made_of_error(error, command=asked.command)
    except KeyboardInterrupt:
        stopped = QuestionError("the work was stopped before there was anything to show", "Begin it again.")
        return made_of_error(stopped, command=asked.command)
    except MemoryError:
        full = LimitError("the memory is used up", "Ask about a smaller lab, or on a larger machine.")
        return made_of_error(full, command=asked.command)
    except Exception as error:
        if os.environ.get("FALSEWORK_DEBUG"):
            import traceback

            traceback.print_exc()
        said = " ".join(str(error).split())[:200]
        defect = LimitError(
            f"this is a defect of falsework, not of your lab: {type(error).__name__}{': ' + said if said else ''}",
            "Please report it, with the lab file if you may share it;"
            " with FALSEWORK_DEBUG=1 set, the command shows where it happened.",
        )
        return made_of_error(defect, command=asked.command)


def early(tell: Tell, made: Made) -> None:
    """Hand over what is known already, while the work goes on; nothing where nobody could show it.

    Args:
        tell: as the job was given it.
        made: shown until all of it is there.
    """
    if isinstance(tell, _Teller):
        tell.early(made)


class _Teller:
    """Tells the parent how far the work is, but not more often than anybody reads."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._at = 0.0
        self._what = ""

    def __call__(self, what: str, done: int, of: int) -> None:
        now = time.monotonic()
        if what == self._what and done < of and now - self._at < TOLD_EVERY_S:
            return
        self._at, self._what = now, what
        with contextlib.suppress(OSError):
            self._pipe.send(("told", what, done, of))

    def early(self, made: Made) -> None:
        with contextlib.suppress(OSError):
            self._pipe.send(("early", pickle.dumps(made)))
