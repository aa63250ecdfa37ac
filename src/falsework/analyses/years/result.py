"""What is known after so many years were drawn?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.analyses.years.story import Story

PERCENTS = (5, 25, 50, 75, 90, 95, 99)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceYears:
    """How a service fared.

    Attributes:
        service: its id.
        mean_min: minutes down in a year, on average.
        error_min: standard error of that, from runs that don't know of each other; None with one run.
        low_min, high_min: the 95 % interval of the mean; as far as it is known.
        percentiles_min: for each of `PERCENTS`, the minutes that so many percent of years stay within.
        outages: outages in a year on average, short ones counted too.
        longest_min: the longest single one of all years.
        spotless: share of years without any.
        stumbled: outages in a year that should have ended by themselves and did not.
    """

    service: str
    mean_min: float
    error_min: float | None
    low_min: float
    high_min: float
    percentiles_min: tuple[float, ...]
    outages: float
    longest_min: float
    spotless: float
    stumbled: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DataYears:
    """How a data set fared.

    Attributes:
        data: its id.
        restores: how often in a thousand years it had to be restored from a backup.
        gone: how often in a thousand years no backup had survived either.
        none_in: where neither happened: with 95 % confidence it happens less than once in so many years (the
            rule of three: drawn years over 3); else None.
        work_lost_h: hours of work lost in a restore: the middle one, and what 95 % stay within; None without any.
    """

    data: str
    restores: float
    gone: float
    none_in: float | None
    work_lost_h: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartYears:
    """How often a part failed in a year, on average."""

    part: str
    failures: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Years:
    """So many drawn years of a lab.

    Attributes:
        lab: its name.
        years: how many were counted; each run of ten begins after one that is not.
        asked: how many were asked for.
        seed: the same seed gives the same years.
        services: each once, in lab order.
        data: each once, in lab order.
        parts: each once, in lab order.
        wanted: the precision asked for: half the 95 % interval over the mean; None if none was.
        of: the service it was asked for; "" for the least sure of all that were ever down.
        off: that figure, as reached; None where it is not known or nothing was ever down.
        reached: whether `wanted` was reached; None if none was asked.
        stopped: whether somebody said stop, so that there are fewer years than asked.
        story: a typical bad year; None without any year.
        assumed: sentences on what was assumed.
    """

    lab: str
    years: int
    asked: int
    seed: int
    services: tuple[ServiceYears, ...]
    data: tuple[DataYears, ...]
    parts: tuple[PartYears, ...]
    wanted: float | None
    of: str
    off: float | None
    reached: bool | None
    stopped: bool
    story: Story | None
    assumed: tuple[str, ...]

    def service(self, name: str) -> ServiceYears:
        """How one service fared."""
        return next(each for each in self.services if each.service == name)
