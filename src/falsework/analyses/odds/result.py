"""What is said of how often and how long each service is out?"""

from __future__ import annotations

from dataclasses import dataclass

MINUTES = 365.25 * 24 * 60
"""Minutes of the year that every figure here means: 365.25 days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Within:
    """A figure and the range in which it is believed to lie.

    Attributes:
        best: with every rate and time at its mean.
        low, high: 5 and 95 percent of what is believed; equal to `best` where no ranges were asked for.
    """

    best: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Out:
    """One member of a cut set: a part (or what several have in common) that is out, and for how long by then.

    Attributes:
        name: id of a part, or the name of a shared cause, such as "batch k7".
        age_s: it matters once it has been out for so long, seconds.
    """

    name: str
    age_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSet:
    """A smallest set of parts that stops the service while they are out together.

    Attributes:
        out: its members, in lab order.
        chance: that all of them are out at a random moment.
        per_year: how often that begins, a year.
        minutes: `chance` in minutes a year.
    """

    out: tuple[Out, ...]
    chance: float
    per_year: float
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSets:
    """The smallest sets of parts that stop a service.

    Attributes:
        listed: the likeliest, likeliest first.
        total: how many there are in all, exactly; 0 where the service is out already; None where they could not
            be counted.
        by_order: how many have one member, two, ...; empty where they could not be counted.
        rest: an upper bound on the chance that the service is out for a reason not listed.
    """

    listed: tuple[CutSet, ...]
    total: int | None
    by_order: tuple[int, ...]
    rest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """How much one part (or shared cause) weighs in a service's time out.

    With U the chance that the service is out, q that the part is, and U(1), U(0) the chance of the service given
    that the part is out, or is not:

    Attributes:
        name: id of the part or name of the shared cause.
        birnbaum: U(1) - U(0).
        criticality: (U(1) - U(0)) q / U.
        fussell_vesely: q U(1) / U, the chance that the part is out given that the service is.
        achievement: U(1) / U, risk achievement worth.
        reduction: U / U(0), risk reduction worth; infinity where the part is behind every outage.
        minutes_off: minutes a year less if the part never failed: short interruptions counted too.
    """

    name: str
    birnbaum: float
    criticality: float
    fussell_vesely: float
    achievement: float
    reduction: float
    minutes_off: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Hangs:
    """An assumption and how much the result hangs on it.

    Attributes:
        of: what it is about, as people say it: "how often a sled fails".
        names: the things it is about, in lab order.
        key: the key of the lab file that says it.
        said: whether the lab file says it; else it was assumed.
        share: of the spread of the result, 0 to 1 (squared rank correlation).
    """

    of: str
    names: tuple[str, ...]
    key: str
    said: bool
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceOdds:
    """One service.

    Attributes:
        service: id.
        minutes: a year in all: out, rising, interrupted, and stumbled; planned work apart.
        out: minutes a year out until somebody mends something.
        out_lower, out_upper: proven bounds of `out.best`; equal to it where it is exact.
        per_year: how often that begins, a year.
        lasts_s: how long it lasts on the average, seconds; 0 where it never begins.
        rise_minutes: minutes a year of coming up again once what was out is mended, as after a power cut.
        blinks_per_year: interruptions that end by themselves.
        blink_minutes: their minutes a year.
        stumble_minutes: minutes a year because a take-over or restart did not work when it was asked for.
        upkeep_minutes: minutes a year of planned work, at most: the windows as written. Not in `minutes`.
        cut_sets: what stops it.
        weights: parts, what helps most first.
        hangs: assumptions, what the result hangs on most first; empty where no ranges were asked for.
    """

    service: str
    minutes: Within
    out: Within
    out_lower: float
    out_upper: float
    per_year: float
    lasts_s: float
    rise_minutes: float
    blinks_per_year: float
    blink_minutes: float
    stumble_minutes: float
    upkeep_minutes: float
    cut_sets: CutSets
    weights: tuple[Weight, ...]
    hangs: tuple[Hangs, ...]

    @property
    def exact(self) -> bool:
        """Whether `out` is exact, given rates and times; else it is bounded."""
        return self.out_lower == self.out_upper


@dataclass(frozen=True, slots=True, kw_only=True)
class DataOdds:
    """One set of data.

    Attributes:
        data: id.
        lost_per_year: how often it is gone, its backups too.
        restored_per_year: how often it is gone where it lies, and has to come from a backup.
        work_lost_s: work lost when it does, on the average, seconds: half the time between backups.
    """

    data: str
    lost_per_year: float
    restored_per_year: float
    work_lost_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """How often, how long, and what matters most.

    Attributes:
        services: worst first.
        data: in lab order.
        weights: over all services together: minutes off summed, what helps most first; the other figures are
            those of the service in which the part weighs most.
        draws: how many draws the ranges come from; 0 for none.
        assumed: sentences on what was assumed besides what the lab file leaves to defaults.
    """

    services: tuple[ServiceOdds, ...]
    data: tuple[DataOdds, ...]
    weights: tuple[Weight, ...]
    draws: int
    assumed: tuple[str, ...]

    def of(self, service: str) -> ServiceOdds:
        """The odds of one service."""
        return next(each for each in self.services if each.service == service)
