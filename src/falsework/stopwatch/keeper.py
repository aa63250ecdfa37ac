"""How does what is seen reach the disk without holding up the next question?"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable

from falsework.errors import Fault, QuestionError, shortened
from falsework.record.seen import Gap, Jump, Marked, Seen, TakesDown
from falsework.stopwatch.thinning import thinned

EVERY_S = 0.02
"""Answers wait for at most this long, and for the batch before them."""
_BEAT_S = 0.25
_AGAIN_S = 0.5
_LAST_S = 5.0
MOST = 200_000
"""As many answers are kept in memory while the record takes none; about 40 MB."""

Note = Gap | Jump | Marked


class Keeper:
    """A thread of its own that hands everything on, and keeps it in memory while that fails.

    Args:
        into: who takes down.
        told: where the answers are put; emptied from the left.
        now: seconds since the run began.
        wall: seconds since 1970.
    """

    def __init__(
        self,
        into: TakesDown,
        told: deque[Seen],
        *,
        now: Callable[[], float],
        wall: Callable[[], float],
        taken: Callable[[list[Seen]], None],
    ) -> None:
        self._into = into
        self._told = told
        self._now = now
        self._wall = wall
        self._taken = taken
        self._notes: deque[tuple[Note, threading.Event]] = deque()
        self._batch: list[Seen] = []  # given as it is until it is taken: who takes it down knows it again
        self._later: list[Seen] = []
        self._beat_s = -_BEAT_S
        self._fault: Fault | None = None
        self._dropped = 0
        self._over = threading.Event()
        self._wake = threading.Event()
        self._thread = threading.Thread(target=self._run, name="keeper", daemon=True)
        self.until_s = 0.0

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Why nothing is taken down at this moment, if so, and what could not be kept."""
        faults = [self._fault] if self._fault else []
        if self._dropped:
            faults.append(
                Fault(
                    None,
                    f"{self._dropped:,} answers could not be kept: the record took none for too long",
                    "Make room on its disk; changes were kept before repetitions.",
                )
            )
        return tuple(faults)

    def begin(self) -> None:
        """Start handing on."""
        self._thread.start()

    def note(self, note: Note) -> threading.Event:
        """Hand on something that is no answer; the event is set once it is taken down."""
        done = threading.Event()
        self._notes.append((note, done))
        if isinstance(note, Marked):
            self._wake.set()
        return done

    def end(self) -> None:
        """Hand on everything that is left, trying for at most a few seconds, and stop."""
        self._over.set()
        self._wake.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._over.is_set():
            self._wake.wait(EVERY_S if self._fault is None else _AGAIN_S)
            self._wake.clear()
            self._hand_on()
        last_s = self._now() + _LAST_S
        while not self._hand_on() and self._now() < last_s:
            threading.Event().wait(_AGAIN_S / 5)

    def _hand_on(self) -> bool:
        """Whether everything that was there is taken down."""
        now_s = self._now()
        told = self._told
        new = [told.popleft() for _ in range(len(told))]
        if new:
            self._taken(new)
            self._later.extend(new)
        try:
            while self._notes:
                note, done = self._notes[0]
                self._take_note(note)
                self._notes.popleft()
                done.set()
            while self._batch or self._later:
                if not self._batch:
                    self._batch, self._later = self._later, []
                self._into.answers(self._batch)
                self._batch = []
            if now_s - self._beat_s >= _BEAT_S:
                self._into.beat(now_s, self._wall())
                self._beat_s = now_s
        except Exception as error:  # whatever the record's trouble is, the watch goes on
            self._fault = _told(error)
            if len(self._later) > MOST:
                many = len(self._later)
                self._later = thinned(self._later, most=MOST // 2)
                self._dropped += many - len(self._later)
            return False
        self._fault = None
        self.until_s = now_s
        return True

    def _take_note(self, note: Note) -> None:
        if isinstance(note, Gap):
            self._into.gap(note)
        elif isinstance(note, Jump):
            self._into.jump(note)
        else:
            self._into.mark(note)


def _told(error: Exception) -> Fault:
    if isinstance(error, QuestionError):
        return Fault(None, error.what, error.mend)
    said = shortened(str(error) or type(error).__name__, 200)
    return Fault(
        None,
        f"the record takes nothing down: {said}",
        "The stopwatch goes on and keeps what it sees in memory; make room, or end whatever holds the record.",
    )
