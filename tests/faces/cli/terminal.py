"""A program run in a terminal of its own, by somebody who waits for words and then types, or sends a signal."""

import contextlib
import os
import pty
import select
import signal
import sys
import time
import traceback
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[3]
SILENT_S, LONGEST_S = 60, 600
"""Who shows nothing for so long, or has not ended by then, hangs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What a program showed, and how it ended."""

    text: str
    status: int


def ran(program, steps, *, folder=None):
    """Run a program, given as its words or as a function; each step is what is waited for and what is done then: text to type, a signal, or a function.

    A step that waits for something waits for it in what was shown after the step before. `None` closes the terminal.
    """
    process, terminal = pty.fork()
    if process == 0:
        _become(program, folder or ROOT)
    try:
        shown, left = _typed(process, terminal, list(steps))
    except BaseException:
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        raise
    _, status = os.waitpid(process, 0)
    assert not left, f"never seen: {left[0][0]!r} in:\n{shown}"
    return Ran(text=shown.replace("\r\n", "\n"), status=os.waitstatus_to_exitcode(status))


def _typed(process, terminal, steps):
    """What it shows until it closes its terminal, or the last step does, and the steps that are left; closes the terminal."""
    shown, since = "", 0
    ends = time.monotonic() + LONGEST_S
    with open(terminal, "rb", buffering=0) as there:  # noqa: PTH123
        while True:
            if not select.select([there], [], [], SILENT_S)[0] or time.monotonic() > ends:
                raise AssertionError(f"it does not end; the last of what it showed:\n{shown[-4000:]}")
            try:
                more = os.read(terminal, 65_536)
            except OSError:
                break
            if not more:
                break
            shown += more.decode("utf-8", "replace")
            while steps and (found := shown.find(steps[0][0], since)) >= 0:
                waited, what = steps.pop(0)
                since = found + len(waited)
                if what is None:
                    return shown, steps
                if isinstance(what, str):
                    os.write(terminal, what.encode())
                elif callable(what) and not isinstance(what, signal.Signals):
                    what()
                else:
                    os.kill(process, what)
    return shown, steps


def _become(program, folder):
    """Be the program, in the child; never returns."""
    status = 70
    try:
        os.chdir(folder)
        os.environ |= {"TERM": "xterm", "COLUMNS": "100", "LINES": "30"}
        os.environ.pop("NO_COLOR", None)
        # Who began the tests may have had these ignored.
        for each in (signal.SIGHUP, signal.SIGQUIT, signal.SIGTERM):
            signal.signal(each, signal.SIG_DFL)
        if not callable(program):
            os.execvp(program[0], program)
        signal.signal(signal.SIGINT, signal.default_int_handler)
        # Streams of their own, since those of the tests lead elsewhere.
        sys.stdin, sys.stdout, sys.stderr = (
            os.fdopen(number, mode, closefd=False) for number, mode in ((0, "r"), (1, "w"), (2, "w"))
        )
        status = 0
        program()
    except SystemExit as left:
        status = left.code if isinstance(left.code, int) else 1
    except BaseException:
        status = 1
        traceback.print_exc()
    finally:
        with contextlib.suppress(OSError):
            sys.stdout.flush()
        os._exit(status)
