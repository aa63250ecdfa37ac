"""What is said of the moment when power returns: how much comes on at once, and what bears it?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What comes on together, at one source.

    Attributes:
        at_s: seconds after the power is back.
        machines: what comes on then, in lab order.
        surge_a: the surges of all of it, A.
        said_a: of these, those that the lab file says, A.
        running_a: what came on before draws, busy, A.
    """

    at_s: float
    machines: tuple[str, ...]
    surge_a: float
    said_a: float
    running_a: float

    @property
    def amperes(self) -> float:
        """All of it, A."""
        return self.surge_a + self.running_a


@dataclass(frozen=True, slots=True, kw_only=True)
class Rush:
    """A circuit or strip at the return of power.

    Attributes:
        source: its name.
        word: circuit or strip.
        breaker_a: what its breaker is rated for, A; None where it has none that is told of.
        bears: how many times its rating it bears for a moment.
        bears_said: whether the lab file says so.
        moments: each moment at which something comes on, in order of time.
        where: its place in the lab file.
    """

    source: str
    word: str
    breaker_a: float | None
    bears: float
    bears_said: bool
    moments: tuple[Moment, ...]
    where: Where | None

    @property
    def limit_a(self) -> float | None:
        """What it bears for a moment, A."""
        return None if self.breaker_a is None else self.breaker_a * self.bears

    @property
    def worst(self) -> Moment:
        """The moment at which most is asked of it."""
        return max(self.moments, key=lambda each: each.amperes)

    @property
    def over(self) -> bool:
        """Whether it may trip: more comes on together than it bears."""
        return self.limit_a is not None and self.worst.amperes > self.limit_a * (1 + 1e-9)

    @property
    def told(self) -> bool:
        """Whether it may trip by the surges that the lab file tells alone; others were only taken."""
        limit = self.limit_a
        return limit is not None and any(each.said_a > limit * (1 + 1e-9) for each in self.moments)

    @property
    def sure(self) -> bool:
        """Whether that holds by the figures of the lab file alone, with nothing that was taken."""
        return self.bears_said and self.told


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """When a machine should come on.

    Attributes:
        machine: its name.
        group: which group it is in, from 1.
        at_s: seconds after the power is back.
        after_s: what its `comes on after` would be: seconds after its own feed is live.
    """

    machine: str
    group: int
    at_s: float
    after_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A start in groups, each of which every breaker bears while all before it run.

    Attributes:
        groups: how many.
        gap_s: seconds between one and the next.
        later: when each machine comes on, in order of time and lab order.
        proved: whether fewer groups would not do.
        alone: machines of which one by itself is more than a breaker before it bears while the others run; in no group.
        fits: whether every source bears every moment of it, looked at anew; not those with a machine of `alone`.
    """

    groups: int
    gap_s: float
    later: tuple[Later, ...]
    proved: bool
    alone: tuple[str, ...]
    fits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Inrush:
    """The return of power, every battery empty.

    Attributes:
        sources: circuits and strips behind which something comes on, in lab order.
        start: a start in groups; None where no source may trip.
        silent: machines of which nobody says what they draw, nor their surge; they count for nothing.
        taken: figures that were taken where the owner gave none.
    """

    sources: tuple[Rush, ...]
    start: Start | None
    silent: tuple[str, ...]
    taken: tuple[Taken, ...]

    @property
    def bad(self) -> bool:
        """Whether any breaker trips by the figures of the lab file alone."""
        return any(each.sure for each in self.sources)
