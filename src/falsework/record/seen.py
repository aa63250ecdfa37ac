"""What does a stopwatch see, answer by answer, and who takes it down?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Protocol


class Told(IntEnum):
    """How a question was answered."""

    YES = 0
    NO = 1
    """Answered, but not well: refused, reset, a bad status, a wrong word, a certificate that is over."""
    SILENT = 2
    """Not answered in time."""
    UNKNOWN = 3
    """Nobody knows: the stopwatch itself did not run, or could not ask."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One answer; positional, since ten thousand a second are made.

    Attributes:
        probe: the probe's number, from 0.
        asked_s: when it was asked, seconds since the run began.
        told_s: when the answer was there, or was given up.
        told: how it was answered.
        says: a few words where it was not yes, such as `refused`; or a warning, such as `certificate ends in 3 days`.
    """

    probe: int
    asked_s: float
    told_s: float
    told: Told
    says: str = ""


class Why(StrEnum):
    """Why the stopwatch itself did not run."""

    ASLEEP = "asleep"
    """The machine was suspended."""
    STOPPED = "stopped"
    """The process was halted, or the machine did nothing for it."""
    BUSY = "busy"
    """It was late because there was too much to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A time in which the stopwatch did not run, or not in time; seconds since the run began."""

    from_s: float
    until_s: float
    why: Why


@dataclass(frozen=True, slots=True, kw_only=True)
class Jump:
    """The clock on the wall was set: at which second of the run, and by how many seconds (forward is above 0)."""

    at_s: float
    by_s: float


class Mark(StrEnum):
    """What somebody did, or what the stopwatch has to say of itself."""

    DONE = "done"
    """The drill's action: this is the moment that predictions count from."""
    PUT_BACK = "put back"
    SAID = "said"


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A moment worth keeping, seconds since the run began."""

    at_s: float
    mark: Mark
    says: str = ""


class TakesDown(Protocol):
    """Who takes down what a stopwatch sees. Each call is on disk when it returns."""

    def answers(self, batch: Sequence[Seen]) -> None:
        """All answers since the last call, in the order in which they came."""

    def beat(self, at_s: float, wall_s: float) -> None:
        """The stopwatch runs, and the clock on the wall says so many seconds since 1970; ten times a second or less."""

    def gap(self, gap: Gap) -> None:
        """The stopwatch did not run."""

    def jump(self, jump: Jump) -> None:
        """The clock on the wall was set."""

    def mark(self, marked: Marked) -> None:
        """Somebody did something."""
