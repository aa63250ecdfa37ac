"""How do the bytes of a fault-tree file get in, without waiting and without end?"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from pathlib import Path

from falsework.errors import Fault, LabError, shortened
from falsework.where import Where

LARGEST_BYTES = 200 * 2**20
"""Of one file."""

MOST_NODES = 1_000_000
"""Gates and events of one file, with the gates that stand for formulas inside formulas."""

MOST_INPUTS = 5_000_000
"""Of all gates together."""

_CHUNK = 2**16
_MARK = b"\xef\xbb\xbf"
_NAME_A_FILE = "Name a fault-tree file: Open-PSA XML or Galileo text."


def chunks(path: Path, most: int = LARGEST_BYTES) -> Iterator[bytes]:
    """Yield what the file holds, in order, without a byte order mark; the pieces are small.

    Args:
        path: as the user typed it.
        most: bytes that it may hold.

    Raises:
        LabError: it cannot be read, is no file, is empty, is too large, or is not text.
    """
    try:
        # O_NONBLOCK: opening a pipe would otherwise wait for someone to write.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0))
    except (OSError, ValueError) as error:
        raise fault(None, *_why_not(path, error)) from None
    start = Where(str(path), 1, 1)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise fault(None, f"'{shortened(str(path), 200)}' is not a file", _NAME_A_FILE)
    with os.fdopen(handle, "rb") as stream:
        total = 0
        while True:
            try:
                piece = stream.read(_CHUNK)
            except OSError as error:
                raise fault(None, *_why_not(path, error)) from None
            if total == 0:
                if piece.startswith((b"\xff\xfe", b"\xfe\xff")):
                    raise fault(start, "the file is written in UTF-16", "Save it as UTF-8.")
                if not piece.strip():
                    raise fault(start, "the file is empty or begins with nothing but blanks", _NAME_A_FILE)
            if not piece:
                return
            if b"\0" in piece:
                raise fault(start, "the file is not text: it holds a zero byte", _NAME_A_FILE)
            total += len(piece)
            if total > most:
                raise fault(
                    start,
                    f"the file is larger than {most // 2**20} MiB",
                    "Split the model, or leave out what the top event does not lean on.",
                )
            yield piece.removeprefix(_MARK) if total == len(piece) else piece


def fault(where: Where | None, what: str, mend: str) -> LabError:
    """The error for one fault that ends the reading."""
    return LabError((Fault(where, what, mend),))


def _why_not(path: Path, error: OSError | ValueError) -> tuple[str, str]:
    shown = shortened(str(path), 200)
    if isinstance(error, ValueError):
        return f"'{shown}' cannot be the name of a file", _NAME_A_FILE
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return f"there is no file '{shown}'", _NAME_A_FILE
    if error.errno == errno.EISDIR:  # where a folder cannot be opened at all
        return f"'{shown}' is not a file", _NAME_A_FILE
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"'{shown}' may not be read", "Give yourself the permission to read it, or name another."
    reason = (error.strerror or "unknown reason").lower()
    return f"'{shown}' cannot be read ({reason})", _NAME_A_FILE
