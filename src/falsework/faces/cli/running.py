"""What does a command leave behind when it ends, well or badly: which words, which exit status?"""

from __future__ import annotations

import json
import math
import os
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

from falsework.errors import FalseworkError, QuestionError
from falsework.faces.cli.lines import put_text
from falsework.faces.errors import error_answer

MET, BROKEN, FAILED, STOPPED = 0, 1, 2, 130
"""Exit statuses: aims met, aims broken, could not read or compute, stopped by the person at the keyboard."""

LONGEST_S = 86_400.0
"""A search that is asked to last longer than a day is a slip."""

_kept: list[Path] = []  # files that this run has written, to be named if it is stopped


def run(work: Callable[[], int], *, command: str, as_json: bool = False) -> int:
    """Do a command's work and return its exit status; every error becomes words.

    Args:
        work: does everything, prints the answer, returns the status.
        command: its name, for the answer in JSON.
        as_json: whether an error is told on standard output too, as JSON.
    """
    try:
        return work()
    except FalseworkError as error:
        put_text(f"{error}\n", sys.stderr)
        if as_json:
            put_text(json.dumps(error_answer(error, command=command), indent=2) + "\n")
        return FAILED
    except KeyboardInterrupt:
        put_text(f"\nStopped. {_what_is_kept()}\n", sys.stderr)
        return STOPPED
    except MemoryError:
        put_text("The memory is used up. Ask about a smaller lab, or on a larger machine.\n", sys.stderr)
        return FAILED
    except Exception as error:  # whatever is left is ours; the words say so
        if os.environ.get("FALSEWORK_DEBUG"):
            traceback.print_exc()
        put_text(_defect(error), sys.stderr)
        return FAILED


def check_seconds(seconds: float, what: str) -> None:
    """Refuse a time that nobody means.

    Args:
        seconds: as given by `--seconds`.
        what: is looked for, such as `an order`.

    Raises:
        QuestionError: it is none, or longer than a day.
    """
    if not (math.isfinite(seconds) and 0 < seconds <= LONGEST_S):
        raise QuestionError(
            f"--seconds {seconds:g} is no time to look for {what}",
            f"Ask for more than 0 and up to {LONGEST_S:,.0f} seconds.",
        )


def write(path: Path, text: str | bytes, *, over: bool) -> None:
    """Write a whole file in one step: it is there whole, or not at all.

    Args:
        path: where to.
        text: what it shall hold.
        over: whether a file that is there may be replaced.

    Raises:
        QuestionError: it can't be written, or is there and may not be replaced.
    """
    if not over and (path.exists() or path.is_symlink()):
        raise QuestionError(f"'{path}' is there already and stays as it is", "Name another file.")
    if path.is_dir():
        raise QuestionError(f"'{path}' is a folder", "Name a file in it.")
    began = False
    target = path.with_name(f".{path.name[:80]}.{os.getpid()}.new") if over else path
    try:
        with target.open("wb" if over else "xb") as stream:
            began = True
            stream.write(text.encode("utf-8") if isinstance(text, str) else text)
        if over:
            target.replace(path)
    except BaseException as error:
        if began:
            target.unlink(missing_ok=True)
        if not isinstance(error, OSError):
            raise
        reason = (error.strerror or "unknown reason").lower()
        raise QuestionError(
            f"'{path}' cannot be written ({reason})", "Name a file in a folder that you may write to."
        ) from error
    kept(path)


def kept(path: Path) -> None:
    """Note a file that was written, so that it is named if the run is stopped after it."""
    _kept.append(path)


def _what_is_kept() -> str:
    if not _kept:
        return "No file was written or changed."
    return f"Kept: {', '.join(str(path) for path in _kept)}. Nothing else was written or changed."


def _defect(error: Exception) -> str:
    how = (
        "the lines above say where"
        if os.environ.get("FALSEWORK_DEBUG")
        else "set FALSEWORK_DEBUG=1 and run the same again to see where"
    )
    said = " ".join(str(error).split())[:200]
    return (
        f"This is a defect of falsework, not of your lab: {type(error).__name__}{': ' + said if said else ''}. "
        f"Please report it with the command, the lab file if you may share it, and the trace; {how}.\n"
    )
