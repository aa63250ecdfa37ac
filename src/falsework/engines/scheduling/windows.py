"""When does work begin and end, if it is done in a worker's windows only?"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from falsework.engines.scheduling.tasks import Span, Worker


def work_end(worker: Worker, start: int, work: int) -> int | None:
    """When work that begins at a moment ends.

    Args:
        worker: whose windows.
        start: the moment; must lie in a window, not at its end.
        work: units of work, positive.

    Returns:
        The moment, or None if it can't begin then: outside of the windows, no room for what is done in one go, or
        the windows end before it does.
    """
    at = bisect_right(worker.windows, (start, _NEVER)) - 1
    if at < 0 or start >= worker.windows[at][1]:
        return None
    left = work - (worker.windows[at][1] - start)
    if left <= 0:
        return start + work
    if work <= worker.whole:
        return None
    for begin, end in worker.windows[at + 1 :]:
        if left <= end - begin:
            return begin + left
        left -= end - begin
    return None


def begins(worker: Worker, work: int) -> Iterator[tuple[int, int, int]]:
    """All moments at which work may begin, in order, as runs (first, last, shift): it ends at start + work + shift."""
    if work <= worker.whole:
        yield from ((begin, end - work, 0) for begin, end in worker.windows if end - begin >= work)
        return
    for begin, end in worker.windows:
        start = begin
        while start < end:
            done = work_end(worker, start, work)
            if done is None:
                return
            # It ends in some window after `room` more units of it; the shift is the same for as many begins.
            here = bisect_right(worker.windows, (done - 1, _NEVER)) - 1
            room = min(worker.windows[here][1] - done, end - 1 - start)
            yield start, start + room, done - start - work
            start += room + 1


def earliest(worker: Worker, after: int, work: int, busy: Sequence[Span] = ()) -> Span | None:
    """The earliest begin and end of work from a moment on, beside what the worker does already.

    Args:
        worker: whose windows.
        after: it does not begin before.
        work: units of work, positive.
        busy: when the worker is taken, in order.

    Returns:
        Begin and end, or None where the windows end before.
    """
    start, at = after, 0
    windows = worker.windows
    index = max(0, bisect_right(windows, (start, _NEVER)) - 1)
    while index < len(windows):
        begin, end = windows[index]
        start = max(start, begin)
        while at < len(busy) and busy[at][1] <= start:
            at += 1
        if at < len(busy) and busy[at][0] <= start:
            start = busy[at][1]
            continue
        if start >= end:
            index += 1
            continue
        done = work_end(worker, start, work)
        if done is None:
            start, index = end, index + 1
        elif at < len(busy) and busy[at][0] < done:
            start = busy[at][1]
        else:
            return start, done
    return None


def pieces(worker: Worker, start: int, end: int) -> tuple[Span, ...]:
    """The parts of the worker's windows from a moment to another."""
    return tuple(
        (max(begin, start), min(stop, end)) for begin, stop in worker.windows if begin < end and stop > start
    )


_NEVER = 1 << 60
"""After any moment."""
