"""What is on the time line of an event?"""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from falsework.analyses.verdicts import Verdict

NEVER = math.inf


class Sort(StrEnum):
    """What a point of the time line is."""

    DONE = "done"
    """Somebody did something: a mark of the stopwatch."""
    FORETOLD = "foretold"
    """The plan says that something falls or is interrupted."""
    SEEN = "seen"
    """A probe was not answered well."""
    SAID = "said"
    """A line of a log, or several alike."""
    SILENT = "silent"
    """Lines that come at other times stopped."""
    SET = "clock set"
    """A host says that its clock was set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """What the plan says of a thing; seconds after the moment.

    Attributes:
        thing: a service, or a machine.
        verdict: of a service; of a machine `FALLS`, or `BLINKS` if it comes back by itself.
        at_s: when.
        back_s: when it is back; infinity if it does not come back by itself.
    """

    thing: str
    verdict: Verdict
    at_s: float
    back_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """The foretold fall that a point is nearest to.

    Attributes:
        foretold: the fall.
        after_s: how long after it the point is; below 0 if before.
    """

    foretold: Foretold
    after_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One point of the time line; seconds after the moment, clocks set right.

    Attributes:
        at_s: when.
        within_s: by how much that may be wrong either way; infinity where nobody can know.
        until_s: when it ended; `at_s` if it is a moment, infinity while it lasts.
        sort: what it is.
        whose: the host, probe or thing.
        thing: the thing of the lab that this is; empty if it has none of that name.
        service: the service that it is about; empty if none.
        app: what wrote the line; empty if that is not known.
        why: why a line is told: new, more, stopped, severe, or uncompared.
        says: a few words; of lines the first.
        count: how many lines are folded into it.
        usual: how many of such lines an ordinary window has.
        severity: 0 to 7, or 8 if it is not said.
        file: of a line; None of what is none.
        line: its number in the file; 0 if not known.
        offset: where it begins in the file, bytes.
        near: the foretold fall of its thing or service that it is nearest to; None if nothing of it was foretold.
    """

    at_s: float
    within_s: float
    until_s: float
    sort: Sort
    whose: str
    thing: str = ""
    service: str = ""
    app: str = ""
    why: str = ""
    says: str = ""
    count: int = 1
    usual: float = 0.0
    severity: int = 8
    file: Path | None = None
    line: int = 0
    offset: int = 0
    near: Near | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """How far a host's clock is ahead of the one of reference, seconds.

    Attributes:
        host: whose.
        ahead_s: best guess, taken off its times.
        low_s, high_s: bounds; infinite where nothing bounds that side.
        ties: pairs of lines that tell of it.
        clash: whether what ties it to others contradicts itself.
        set: how often it was set in the window, as it says itself.
    """

    host: str
    ahead_s: float
    low_s: float
    high_s: float
    ties: int
    clash: bool
    set: int

    @property
    def known(self) -> bool:
        """Whether both sides are bounded."""
        return math.isfinite(self.low_s) and math.isfinite(self.high_s)

    @property
    def off(self) -> bool:
        """Whether it differs for sure."""
        return self.low_s > 0 or self.high_s < 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A file that was not read, or not to its end: what is wrong, and how to mend it."""

    file: Path
    what: str
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the logs say around an event.

    Attributes:
        moment: the event, in UTC.
        before_s, after_s: the window around it.
        ordinary_s: the stretch before the window that it was compared with.
        run: the number of the stopwatch's run; None if there is none.
        lost: the parts that were lost, or are asked about.
        points: the time line, in order.
        first: the first line that differs at or after the moment; None if there is none.
        rivals: other hosts that may have spoken before it, since clocks are not known well enough.
        foretold: what the plan says, in order of time; nothing if nothing was lost.
        unforetold: things and services that lines or probes tell of after the moment and the plan says stand, each with
            the first point that tells of it.
        clocks: of each host, those that are off first.
        reference: whose clock all are held against; empty if nothing ties two clocks.
        tied: whether the stopwatch's clock is tied to the reference; True without a run.
        lines, ordinary_lines: that were read in the window, and before it.
        kinds: of lines in the window; those of one kind say the same but for numbers.
        chance_new: how many new kinds an ordinary window would have.
        uncompared: hosts whose logs do not go back far enough to know what is ordinary.
        unknown: hosts that the lab does not name.
        files: how many were read.
        refused: files that were not, or not to the end.
        dropped: lines that found no room.
        full: whether there were more kinds than are told apart.
        passed: files of folders that are no logs, or are empty.
        quiet: files without a line in the time asked about.
        guessed: whether times said no offset, and were taken to be in the zone asked for.
    """

    moment: datetime.datetime
    before_s: float
    after_s: float
    ordinary_s: float
    run: int | None
    lost: tuple[str, ...]
    points: tuple[Point, ...]
    first: Point | None
    rivals: tuple[str, ...]
    foretold: tuple[Foretold, ...]
    unforetold: tuple[tuple[str, Point], ...]
    clocks: tuple[Clock, ...]
    reference: str
    tied: bool
    lines: int
    ordinary_lines: int
    kinds: int
    chance_new: float
    uncompared: tuple[str, ...]
    unknown: tuple[str, ...]
    files: int
    refused: tuple[Refusal, ...]
    dropped: int
    full: bool
    passed: tuple[Path, ...]
    quiet: tuple[Path, ...]
    guessed: bool
