"""Who works blocks on this machine, several at a time?"""

from __future__ import annotations

import signal
from collections import deque
from collections.abc import Generator, Iterable
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from typing import TypeVar

from falsework.engines.renewal.gather import Block

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Processes:
    """So many processes on this machine; the block must be picklable.

    Attributes:
        count: how many.
    """

    count: int

    def __call__(self, block: Block[T], numbers: Iterable[int]) -> Generator[T, None, None]:
        """The results in the order of the numbers; closing this stops the work."""
        pool = ProcessPoolExecutor(self.count, mp_context=get_context("spawn"), initializer=_leave_alone)
        waiting: deque[Future[T]] = deque()
        try:
            for number in numbers:
                waiting.append(pool.submit(block, number))
                if len(waiting) > 2 * self.count:  # far enough ahead that nobody idles
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


def _leave_alone() -> None:
    """The one who asked hears the Ctrl-C and stops the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
