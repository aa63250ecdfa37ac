"""How are the lines of many files put in one order, with little memory?

Lines are sorted in heaps that fit into memory; each that is full is written to a temporary file as a run, and at the
end the runs are merged. A file that is nearly in order is sorted quickly, since Python's sort finds what is in order.
"""

from __future__ import annotations

import contextlib
import heapq
import itertools
import marshal
import tempfile
from collections.abc import Iterable, Iterator
from typing import BinaryIO, cast

from falsework.errors import LimitError
from falsework.logs.line import Line

MOST_HELD = 1 << 26
"""Bytes of lines that are held before a run is written: 64 MiB."""
MOST_RUNS = 128
"""Runs that are open at once; more are merged into one, since a system has only so many open files."""
_OVERHEAD = 320
"""Bytes that a line takes besides its text."""
_WIDE = 4
"""Bytes of a number that says how long a batch is."""
_BATCH = 256
"""Lines of a run that are read at once."""


def merged(lines: Iterable[Line], *, most_held: int = MOST_HELD) -> Iterator[Line]:
    """The lines in order of time; of one time those of an earlier file first, and in a file as they stand there.

    Args:
        lines: in any order.
        most_held: bytes that may be held; about three times as much is used while a run is written.

    Raises:
        LimitError: there is no room on disk for what is not held.

    Cost:
        n log n; disk for what is not held, in the folder for temporary files, gone when the iteration ends or is
        given up.
    """
    runs: list[BinaryIO] = []
    held: list[Line] = []
    size = 0
    try:
        for line in lines:
            held.append(line)
            size += len(line.text) + _OVERHEAD
            if size > most_held:
                held.sort()
                runs.append(_written(held))
                held, size = [], 0
                if len(runs) >= MOST_RUNS:
                    runs = _joined(runs)
        held.sort()
        if not runs:
            yield from held
            return
        # Few lines of each run are in memory, so that many runs do no harm.
        yield from heapq.merge(*(_again(run) for run in runs), held)
    finally:
        for run in runs:
            run.close()


def _joined(runs: list[BinaryIO]) -> list[BinaryIO]:
    one = _written(heapq.merge(*(_again(run) for run in runs)))
    for run in runs:
        run.close()
    return [one]


def _written(lines: Iterable[Line]) -> BinaryIO:
    stream = None
    try:
        # Without a name in the folder: it is gone even if this process is killed.
        stream = cast("BinaryIO", tempfile.TemporaryFile(prefix="falsework-"))  # noqa: SIM115 - closed by `merged`
        rest = iter(lines)
        while batch := [tuple(line) for line in itertools.islice(rest, _BATCH)]:
            packed = marshal.dumps(batch)
            stream.write(len(packed).to_bytes(_WIDE, "big") + packed)
        stream.seek(0)
    except OSError as error:
        if stream is not None:
            with contextlib.suppress(OSError):
                stream.close()
        reason = (error.strerror or "unknown reason").lower()
        raise LimitError(
            f"more lines than fit into memory, and no room for them in {tempfile.gettempdir()!r} ({reason})",
            "Ask about a shorter time, or name another folder by the variable TMPDIR.",
        ) from error
    return stream


def _again(stream: BinaryIO) -> Iterator[Line]:
    # Read whole: where it reads from a file itself, it asks for each number and text by itself.
    while size := int.from_bytes(stream.read(_WIDE), "big"):
        yield from map(Line._make, marshal.loads(stream.read(size)))
