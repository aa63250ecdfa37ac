"""How soon does each thing come back, by the aims, by the plan, and by what was seen?"""

from __future__ import annotations

import datetime
import math
import statistics
from dataclasses import dataclass
from enum import StrEnum

from falsework.where import Where

NEVER = math.inf


class Sort(StrEnum):
    """In which way a thing comes back."""

    INTERRUPTED = "interrupted"
    """A service that moves or restarts when a part is lost."""
    RESTORED = "restored"
    """Data out of a backup."""
    RAISED = "raised"
    """All that an aim names, after the power was out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One drill in which it had to come back.

    Attributes:
        run: its number in the record.
        drill: its name; empty for none.
        on: the day.
        foretold_s: how long the lab file as it is now says, seconds; None where it says nothing, infinity for not by itself.
        lasts_s: how long it took, seconds; infinity where it did not come back until it was put back.
        within_s: by how much that may be wrong either way.
        sure: whether the stopwatch ran all the time that matters.
        wrong: whether it went otherwise than foretold.
    """

    run: int
    drill: str
    on: datetime.date
    foretold_s: float | None
    lasts_s: float
    within_s: float
    sure: bool
    wrong: bool = False

    @property
    def came_back(self) -> bool:
        """Whether it came back by itself."""
        return math.isfinite(self.lasts_s)

    @property
    def proves(self) -> bool:
        """Whether it proves that it comes back: not where it went otherwise than foretold, or was foretold to stand."""
        return self.came_back and not self.wrong and self.foretold_s != 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """When it was last seen to come back: the day, and the run's number; 0 where the lab file says so."""

    on: datetime.date
    run: int
    drill: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that must come back.

    Attributes:
        of: the service or data; for what an aim says of a cold start, the aim.
        sort: in which way.
        aim: the name of the aim; empty for none, or where the data itself says it.
        aim_s: how long it may take, seconds; None where nobody says.
        foretold_s: the longest that the lab file foretells of what ends by itself, seconds; of data the copying alone,
            from the slowest of its backups; None where nothing does.
        foretold_by: the loss after which it takes longest; of data, the backup; of a cold start, what is up last.
        stays_out_by: a loss that the aim is about and after which it stays out; of a cold start, what stays down;
            empty for none.
        trials: drills in which it had to come back, oldest first.
        proof: when it was last seen to come back; None for never.
        where: in the lab file.
    """

    of: str
    sort: Sort
    aim: str
    aim_s: float | None
    foretold_s: float | None
    foretold_by: str
    stays_out_by: str
    trials: tuple[Trial, ...]
    proof: Proof | None
    where: Where

    @property
    def worst_s(self) -> float | None:
        """The longest that it took in any drill, seconds; None of none."""
        return max((each.lasts_s for each in self.trials), default=None)

    @property
    def usual_s(self) -> float | None:
        """The median, seconds; None of none."""
        return statistics.median(each.lasts_s for each in self.trials) if self.trials else None

    @property
    def failed(self) -> Trial | None:
        """The newest drill, if it did not come back in it."""
        newest = self.trials[-1] if self.trials else None
        return newest if newest is not None and not newest.came_back else None

    @property
    def bad(self) -> bool:
        """Whether the newest drill went wrong: it did not come back, or too late for its aim."""
        return self.failed is not None or self.met is False

    @property
    def met(self) -> bool | None:
        """Whether the newest drill kept the aim; None where there is no aim, no drill, or it is too close to tell."""
        if self.aim_s is None or not self.trials:
            return None
        newest = self.trials[-1]
        if not newest.came_back or newest.lasts_s - newest.within_s > self.aim_s:
            return False
        return True if newest.lasts_s + newest.within_s <= self.aim_s else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """All that must come back, stalest first.

    Attributes:
        rows: never proved first, then by the day; within a day in lab order.
        not_looked_at: how many single losses were left out of what is foretold, since there are too many.
    """

    rows: tuple[Row, ...]
    not_looked_at: int
