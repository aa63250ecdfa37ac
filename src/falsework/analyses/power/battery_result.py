"""What is said of a battery: how long it lasts at which load, and what that hangs on?"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from falsework.support.taken import Taken
from falsework.where import Where


class From(StrEnum):
    """What a runtime is reckoned from."""

    CURVE = "its curve"
    ENERGY = "its energy"
    NOTHING = "nothing that is told"


class Age(StrEnum):
    """Where it comes from how much of its new capacity a battery has left."""

    SAID = "said"
    HOURS = "by its hours"
    UNSAID = "unsaid"


@dataclass(frozen=True, slots=True, kw_only=True)
class Runtime:
    """How long a battery lasts at one load.

    Attributes:
        when: a draw (idle, usual, busy), or the part whose loss brings that load.
        watts: at its outlets, W.
        lasts_s: seconds; 0 where it is more than it carries.
        new_s: seconds that a new battery would last; None where a curve says it, or nothing.
        share: of what it carries, W; None where nobody says.
    """

    when: str
    watts: float
    lasts_s: float
    new_s: float | None
    share: float | None

    @property
    def over(self) -> bool:
        """Whether it is more than it carries."""
        return self.share is not None and self.share > 1 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """A battery and how long it lasts.

    Attributes:
        ups: its name.
        reckoned: from what.
        carries: W; None where nobody says.
        cut: at idle, usual and busy, when the power of all is cut: what hangs on it and elsewhere draws all from it.
        alone: the same when only its own feed fails, and everything else stands.
        losses: of parts that bring more load to it than `alone` when busy, worst first; its feed fails after them.
        left: of its new capacity, 0 to 1.
        age: where that comes from.
        aged_s: at the cut, busy, if its curve is of a new battery and counts only by what is `left`; None where either
            is not told.
        where: its place in the lab file.
    """

    ups: str
    reckoned: From
    carries: float | None
    cut: tuple[Runtime, ...]
    alone: tuple[Runtime, ...]
    losses: tuple[Runtime, ...]
    left: float
    age: Age
    aged_s: float | None
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Batteries:
    """All batteries.

    Attributes:
        batteries: in lab order.
        taken: figures that were taken where the owner gave none.
    """

    batteries: tuple[Battery, ...]
    taken: tuple[Taken, ...]

    @property
    def bad(self) -> bool:
        """Whether any is asked for more than it carries when the power is cut."""
        return any(each.over for battery in self.batteries for each in battery.cut)
