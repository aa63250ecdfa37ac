"""Where in a large file in order of time does a moment begin, without reading all of it?"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import BinaryIO

from falsework.logs.framing import lines

CLOSE = 1 << 16
"""Bytes that are rather read than looked through."""
NEAR = 1 << 13
"""Bytes in which the next line mostly ends."""
FARTHEST = 1 << 20
"""Bytes that are read in search of one line with a time."""
LOOKS = 33
"""Places at which a file is asked whether it is in order."""

When = Callable[[bytes], int | None]
"""The time of a line, or None."""


def first_at(stream: BinaryIO, size: int, moment_us: int, when: When) -> int:
    """Where to begin to read so that no line at or after a moment is missed, if the file is in order.

    Returns:
        The beginning of a line, bytes.

    Cost:
        About log2(size / 64 KiB) reads.
    """
    low, high = 0, size
    while high - low > CLOSE:
        middle = (low + high) // 2
        found = next_time(stream, middle, high, when)
        if found is None or found[1] >= moment_us:
            high = middle
        else:
            low = found[0]
    return low


def in_order(stream: BinaryIO, size: int, slack_us: int, when: When) -> bool:
    """Whether the times at evenly spread places never go back by more than a slack; False where too few have a time.

    A stretch between two places that is out of order is not seen.
    """
    latest, seen, asked = None, 0, 0
    for look in range(LOOKS):
        begin = size * look // LOOKS
        asked += 1
        found = next_time(stream, begin, size, when)
        if found is None:
            continue
        if latest is not None and found[1] < latest - slack_us:
            return False
        latest = found[1] if latest is None else max(latest, found[1])
        seen += 1
    return seen * 2 > asked


def next_time(stream: BinaryIO, begin: int, end: int, when: When) -> tuple[int, int] | None:
    """The first whole line at or after a place that has a time: where it begins, and the time."""
    limit = min(end, begin + FARTHEST)
    read = NEAR
    while begin < limit:
        stream.seek(begin)
        block = stream.read(min(read, limit - begin + 1))
        skipped = 0
        if begin:
            # The line that a place is in the middle of belongs to what is before it.
            skipped = block.find(b"\n") + 1
            if not skipped:
                begin += max(len(block), 1)
                read = CLOSE
                continue
        cut = (
            block.rfind(b"\n") + 1
            if len(block) == min(read, limit - begin + 1) and begin + len(block) < end
            else len(block)
        )
        for offset, raw in lines(io.BytesIO(block[skipped:cut]), offset=begin + skipped):
            at = when(raw)
            if at is not None:
                return offset, at
        begin += max(cut - 1, 1)
        read = CLOSE
    return None


def numbers(path: Path, offsets: Sequence[int], most: int = 1 << 28) -> dict[int, int]:
    """Which line of a file begins at each of these places, from 1.

    Left out are those farther in than `most` bytes, and those that can't be read any more.
    """
    found: dict[int, int] = {}
    wanted = sorted(each for each in set(offsets) if each <= most)
    if not wanted:
        return found
    with contextlib.suppress(OSError), path.open("rb") as stream:
        count, begin = 1, 0
        for each in wanted:
            while begin < each:
                block = stream.read(min(each - begin, 1 << 20))
                if not block:
                    return found
                count += block.count(b"\n")
                begin += len(block)
            found[each] = count
    return found
