"""Which clocks does a stopwatch read, and what does each of them leave out?"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

_BOOT = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)


def boot_s() -> float:
    """Seconds since the machine was started, sleep counted in; nobody can set it, and every process reads the same."""
    return time.clock_gettime(_BOOT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks:
    """The clocks of one machine, in seconds; tests put their own in their place.

    Attributes:
        boot: goes on while the machine sleeps, and cannot be set: all times of a run are read from it.
        awake: stands still while the machine sleeps, and cannot be set.
        wall: the clock on the wall, seconds since 1970; can be set at any moment.
        worked: the time that a processor has worked for this thread.
    """

    boot: Callable[[], float] = boot_s
    awake: Callable[[], float] = time.monotonic
    wall: Callable[[], float] = time.time
    worked: Callable[[], float] = time.thread_time


CLOCKS = Clocks()
