"""What was seen in one run of the stopwatch?"""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

from falsework.record.seen import Gap, Jump, Mark, Marked, Told

NEVER = math.inf
BEGUN = "begun"
"""A mark that begins so says when the work of a drill began."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outage:
    """One time in which a probe was not answered well; seconds since the run began.

    The truth lies between: it began after `good_s` and at the latest at `bad_s`, and ended after `last_bad_s` and at
    the latest at `good_again_s`.

    Attributes:
        good_s: when the last question before it was asked that was answered well; minus infinity if none was.
        bad_s: when the first question was asked that was not.
        last_bad_s: when the last question was asked that was not.
        good_again_s: when the next was asked that was answered well; infinity while it lasts.
        told: how the first was answered.
        says: a few words on it.
        unsure: whether a gap of the stopwatch's own touches either end, so that the bounds are wider than usual.
    """

    good_s: float
    bad_s: float
    last_bad_s: float
    good_again_s: float
    told: Told
    says: str = ""
    unsure: bool = False

    @property
    def from_s(self) -> float:
        """When it most likely began: half way between the last good question and the first bad one."""
        return self.bad_s if math.isinf(self.good_s) else (self.good_s + self.bad_s) / 2

    @property
    def until_s(self) -> float:
        """When it most likely ended; infinity while it lasts."""
        return NEVER if math.isinf(self.good_again_s) else (self.last_bad_s + self.good_again_s) / 2

    @property
    def lasts_s(self) -> float:
        """How long it most likely lasted; infinity while it lasts."""
        return self.until_s - self.from_s

    @property
    def within_s(self) -> float:
        """By how much `lasts_s` may be wrong either way; infinity where an end was not seen."""
        if math.isinf(self.good_s) or math.isinf(self.good_again_s):
            return NEVER
        return (self.bad_s - self.good_s) / 2 + (self.good_again_s - self.last_bad_s) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeSeen:
    """What one probe saw in a run.

    Attributes:
        probe: its name.
        sees: the thing that stands if it is answered; empty where nobody knows.
        asks: what it asks, as it is written in a lab file.
        every_s: how often it asks, seconds.
        asked: how many times it asked.
        yes: how many times it was answered well.
        outages: in order of time.
        usual_s: the median time to a good answer, seconds; NaN if none was.
        worst_s: the longest time to a good answer, seconds; NaN if none was.
        warning: the last warning of a good answer, such as a certificate that ends soon; empty if none.
    """

    probe: str
    sees: str
    asks: str
    every_s: float
    asked: int
    yes: int
    outages: tuple[Outage, ...]
    usual_s: float
    worst_s: float
    warning: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run of the stopwatch.

    Attributes:
        number: from 1, unique in its record.
        lab: the name of the lab.
        digest: of the text of the lab's files as it began.
        drill: the name of the drill, or empty.
        tries: what the drill tries, as `model.drilling.TRIED`; empty for none.
        lost: the parts that the drill takes out.
        out: the parts that were out beforehand.
        machine: the name of the machine that the stopwatch ran on.
        began: by the clock on the wall, in UTC.
        until_s: the last moment it is known to have run, seconds since it began.
        ended: whether it came to its own end; False while it runs, or if it was killed.
        marks: what was done and when.
        gaps: when the stopwatch itself did not run.
        jumps: when the clock on the wall was set.
    """

    number: int
    lab: str
    digest: str
    drill: str
    tries: str
    lost: tuple[str, ...]
    out: tuple[str, ...]
    machine: str
    began: datetime.datetime
    until_s: float
    ended: bool
    marks: tuple[Marked, ...]
    gaps: tuple[Gap, ...]
    jumps: tuple[Jump, ...]

    @property
    def done_s(self) -> float | None:
        """When the drill's action was done, seconds since the run began; None if none was."""
        return next((each.at_s for each in self.marks if each.mark is Mark.DONE), None)

    @property
    def begun_s(self) -> float | None:
        """When the work of it began that was done in the end, by the last mark that says so; None if none does."""
        done_s = self.done_s
        begun = [
            each.at_s
            for each in self.marks
            if each.mark is Mark.SAID
            and each.says.startswith(BEGUN)
            and (done_s is None or each.at_s <= done_s)
        ]
        return begun[-1] if begun else None

    @property
    def put_back_s(self) -> float | None:
        """When it was put back; None if it was not."""
        return next((each.at_s for each in self.marks if each.mark is Mark.PUT_BACK), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """A run and what each of its probes saw."""

    run: Run
    probes: tuple[ProbeSeen, ...]
