"""How are the lines of many files put in one order, with little memory?

Lines are sorted in heaps that fit into memory; each that is full is written to a temporary file as a run, and at the
end the runs are merged. A file that is nearly in order is sorted quickly, since Python's sort finds what is in order.
"""

from __future__ import annotations

import heapq
import marshal
import tempfile
from collections.abc import Iterable, Iterator
from typing import BinaryIO, cast

from falsework.logs.line import Line

MOST_HELD = 1 << 26
"""Bytes of lines that are held before a run is written: 64 MiB."""
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
        held.sort()
        if not runs:
            yield from held
            return
        # Few lines of each run are in memory, so that many runs do no harm.
        yield from heapq.merge(*(_again(run) for run in runs), held)
    finally:
        for run in runs:
            run.close()


def _written(held: list[Line]) -> BinaryIO:
    # Without a name in the folder: it is gone even if this process is killed.
    stream = cast("BinaryIO", tempfile.TemporaryFile(prefix="falsework-"))  # noqa: SIM115 - closed by `merged`
    for begin in range(0, len(held), _BATCH):
        batch = marshal.dumps([tuple(line) for line in held[begin : begin + _BATCH]])
        stream.write(len(batch).to_bytes(_WIDE, "big") + batch)
    stream.seek(0)
    return stream


def _again(stream: BinaryIO) -> Iterator[Line]:
    # Read whole: where it reads from a file itself, it asks for each number and text by itself.
    while size := int.from_bytes(stream.read(_WIDE), "big"):
        yield from map(Line._make, marshal.loads(stream.read(size)))
