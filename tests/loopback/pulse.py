"""Was a process held up? A thread of its own notes by how much it came late at worst, for all who share its memory."""

import mmap
import struct
import threading
import time

_STEP_S = 0.02
_LAST, _WORST, _SINCE = 0, 8, 16


def now_s() -> float:
    """The clock that the wall clock cannot move, and that goes on while the machine sleeps."""
    return time.clock_gettime(time.CLOCK_BOOTTIME)


class Pulse:
    """How late a process was; made before it is forked off, so that both sides see it."""

    def __init__(self) -> None:
        self._memory = mmap.mmap(-1, 24)
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._beat, daemon=True)

    def begin(self) -> None:
        """Watch over this process from now on."""
        self._put(_LAST, now_s())
        self._thread.start()

    def end(self) -> None:
        """Watch no longer."""
        self._over.set()
        self._thread.join()

    def forget(self) -> None:
        """What was until now was meant."""
        self._put(_SINCE, now_s())
        self._put(_WORST, 0.0)

    @property
    def worst_s(self) -> float:
        """For how long it was held up at worst, seconds; also if it still is."""
        last_s = self._get(_LAST)
        return max(self._get(_WORST), now_s() - last_s - _STEP_S if last_s else 0.0)

    def _beat(self) -> None:
        while not self._over.wait(_STEP_S):
            before_s, at_s = self._get(_LAST), now_s()
            if before_s >= self._get(_SINCE):
                self._put(_WORST, max(self._get(_WORST), at_s - before_s - _STEP_S))
            self._put(_LAST, at_s)

    def _get(self, place: int) -> float:
        return float(struct.unpack_from("d", self._memory, place)[0])

    def _put(self, place: int, value: float) -> None:
        struct.pack_into("d", self._memory, place, value)
