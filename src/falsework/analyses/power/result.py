"""What is said of who carries how much, now and when something is lost?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What goes through something.

    Attributes:
        watts: W.
        volt_amperes: VA.
        amperes: A; None where the voltage is not known.
        share: of what it can carry, 1 for all of it; by its watts, and by its volt-amperes where all power factors were
            said and that is more; None without a limit.
    """

    watts: float
    volt_amperes: float
    amperes: float | None
    share: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a source can carry; None where nobody says so.

    Attributes:
        watts: W, above which it falls in the verdicts.
        volt_amperes: VA.
        amperes: of its breaker, A.
        lasting: the share of `watts` and `volt_amperes` that a load of three hours or more may take; 1 for a
            battery, which is told for lasting loads.
    """

    watts: float | None
    volt_amperes: float | None
    amperes: float | None
    lasting: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterLoss:
    """What a source carries when something else is lost, all machines at their busiest.

    Attributes:
        lost: the part.
        carried: what it would have to carry, itself still standing.
        trips: whether that is more than it can, so that the verdicts let it fall.
        last: whether others had tripped before it was asked for so much.
    """

    lost: str
    carried: Carried
    trips: bool
    last: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A circuit, strip or battery, and what goes through it.

    Attributes:
        id: its name.
        word: circuit, strip or ups.
        fed_by: the source before it; empty where nobody says.
        machines: those with a supply whose power comes through it, in lab order.
        volts: V.
        volts_said: whether the lab file says so.
        limits: what it can carry.
        idle, usual, busy: what it carries with nothing lost but what is out; 0 where it has no power.
        worst: after the loss, of one other thing, that asks most of it; None where no loss asks it for more than now.
        factor_said: whether every machine behind it says its power factor.
        dark: whether it has no power as it is.
        where: its place in the lab file.
    """

    id: str
    word: str
    fed_by: str
    machines: tuple[str, ...]
    volts: float
    volts_said: bool
    limits: Limits
    idle: Carried
    usual: Carried
    busy: Carried
    worst: AfterLoss | None
    factor_said: bool
    dark: bool
    where: Where | None

    @property
    def most(self) -> Carried:
        """What it carries at the worst: after the loss that asks most of it, else as it is, all machines busy."""
        return self.worst.carried if self.worst is not None else self.busy

    @property
    def over_va(self) -> bool:
        """Whether it is asked for more volt-amperes than it carries, although not for more watts."""
        limit = self.limits.volt_amperes
        return not self.over and limit is not None and self.most.volt_amperes > limit * (1 + 1e-9)

    @property
    def over_lasting(self) -> bool:
        """Whether it would carry more than a load of three hours or more may be, although it does not trip."""
        share = self.most.share
        if self.over or share is None or self.limits.lasting >= 1:
            return False
        return share > self.limits.lasting * (1 + 1e-9)

    @property
    def over(self) -> bool:
        """Whether it is asked for more watts than it carries, as it is or after a loss."""
        return bool(self.worst and self.worst.trips) or (
            self.limits.watts is not None and self.busy.watts > self.limits.watts * (1 + 1e-9)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """What one loss does to power.

    Attributes:
        lost: the part.
        word: what it is.
        trips: sources that fall since they would have to carry too much, in lab order.
        carries: what each other source that stands, or trips, would have to carry then, W, busy; only those for which it is not
            what they carry now.
        dark: machines without enough supplies then, that had enough before, in lab order.
    """

    lost: str
    word: str
    trips: tuple[str, ...]
    carries: tuple[tuple[str, float], ...]
    dark: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Give:
    """One supply of a machine, or several that are alike.

    Attributes:
        supplies: their names.
        source: what it is plugged into.
        volts: at that source, V; None where it is not known.
        gives: what it can give at that voltage, W to the machine; None where nobody says, or not for so low a voltage.
        now: W that it gives with all supplies in, the machine busy.
        alone: W that it gives when no more supplies are left than the machine needs.
    """

    supplies: tuple[str, ...]
    source: str
    volts: float | None
    gives: float | None
    now: float
    alone: float

    @property
    def share(self) -> float | None:
        """Of what it can give, when no more supplies are left than the machine needs; 1 for all of it."""
        return self.alone / self.gives if self.gives else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplied:
    """The supplies of a machine.

    Attributes:
        machine: its name.
        enough: supplies that it can't run without.
        draws: what it draws at its plugs when busy, W.
        gives: by source, in the order of its supplies.
        efficiency: share of what they take that they give at the usual draw, all of them in.
        level: the level that they are certified for; empty where a share was said or taken.
        efficiency_said: whether the lab file says either.
        loss: W that become heat in them at the usual draw.
        where: its place in the lab file.
    """

    machine: str
    enough: int
    draws: float
    gives: tuple[Give, ...]
    efficiency: float
    level: str
    efficiency_said: bool
    loss: float
    where: Where | None

    @property
    def too_small(self) -> bool:
        """Whether it does not run on as few supplies as it says are enough."""
        return any(give.share is not None and give.share > 1 + 1e-9 for give in self.gives)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cord:
    """A cord that would take more than the common coupler is rated for.

    Attributes:
        machine: at its end.
        source: that it is plugged into.
        amperes: through it when no more supplies are left than the machine needs, all of it busy.
        volts: at it.
    """

    machine: str
    source: str
    amperes: float
    volts: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeds:
    """Who carries how much.

    Attributes:
        feeds: every circuit, strip and battery, in lab order.
        lost: each loss that was looked at, in lab order.
        asked: whether these losses were asked for by name.
        supplied: machines of which something is known about their supplies, in lab order.
        cords: those that would take more than 10 A, in lab order.
        silent: machines that take power and of which nobody says how much; they count for nothing.
        taken: figures that were taken where the owner gave none.
    """

    feeds: tuple[Feed, ...]
    lost: tuple[Lost, ...]
    asked: bool
    supplied: tuple[Supplied, ...]
    cords: tuple[Cord, ...]
    silent: tuple[str, ...]
    taken: tuple[Taken, ...]

    @property
    def bad(self) -> bool:
        """Whether anything is asked for more than it can carry or give; not by a power factor that was taken."""
        over = any(feed.over or (feed.over_va and feed.factor_said) for feed in self.feeds)
        return over or any(each.too_small for each in self.supplied)
