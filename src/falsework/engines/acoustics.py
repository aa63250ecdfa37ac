"""How loud is it where several sources are heard, and for how long may one stay there?

Levels are in dB, A-weighted and re 20 µPa where they are of pressure, re 1 pW where they are of power.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf, isfinite, log2, log10, pi

from falsework.errors import QuestionError

SILENCE = -inf
"""The level of nothing."""

HALF_SPACE = 2.0
"""The directivity Q of a source on a floor: all its sound goes into half of the space."""

LEAST_DB = 80.0
"""Both published limits count nothing below this level."""

OSHA_CEILING_DB = 115.0
"""Steady sound above this is not permitted at all (29 CFR 1910.95, Table G-16)."""

NIOSH_CEILING_DB = 140.0
"""No exposure, steady or not, should be above this (NIOSH 98-126, section 1.1; from memory)."""


def summed(levels: Iterable[float]) -> float:
    """The level of several sources together: 10 log10(sum of 10^(L/10)); SILENCE for none.

    Holds for sounds that have nothing to do with each other, as machines have not.

    Source:
        Definition of the level; in every textbook of acoustics.
    """
    every = [level for level in levels if level > SILENCE]
    if not every:
        return SILENCE
    loudest = max(every)
    return loudest + 10 * log10(sum(10 ** ((level - loudest) / 10) for level in every))


def at_distance(level: float, *, told_at_m: float, distance_m: float) -> float:
    """The level of a small source at another distance, nothing around it: L - 20 log10(r / r0).

    Args:
        level: at `told_at_m`.
        told_at_m: r0, metres.
        distance_m: r, metres.

    Raises:
        QuestionError: a distance that is not above 0.

    Source:
        The inverse square law; 6 dB less for each doubling.
    """
    _positive("distance", told_at_m, distance_m)
    return level - 20 * log10(distance_m / told_at_m)


def power_level(level: float, *, told_at_m: float = 1.0, directivity: float = HALF_SPACE) -> float:
    """The sound power level of a source whose pressure level is told at a distance, over a floor and without echo.

    Lw = Lp + 10 log10(4 pi r^2 / Q).

    Raises:
        QuestionError: a distance or directivity that is not above 0.

    Source:
        As `in_room`, with nothing that comes back.
    """
    _positive("distance", told_at_m)
    _positive("directivity", directivity)
    return level + 10 * log10(4 * pi * told_at_m**2 / directivity)


def in_room(
    power: float, *, distance_m: float, absorbs_m2: float | None, directivity: float = HALF_SPACE
) -> float:
    """The level at a distance in a room: Lp = Lw + 10 log10(Q / (4 pi r^2) + 4 / A).

    The first part comes straight, the second from everywhere after many turns. It holds for rooms that are about as
    long as wide and high; it leaves out what shades the source.

    Args:
        power: Lw.
        distance_m: r, metres.
        absorbs_m2: A, the area of open window that would swallow as much as all of the room does; None where
            nothing comes back.
        directivity: Q.

    Raises:
        QuestionError: a distance, an area or a directivity that is not above 0.

    Source:
        L. L. Beranek, Acoustics (1954), chapter on rooms (from memory), A for the room constant R, which holds where
        little is absorbed at each turn.
    """
    _positive("distance", distance_m)
    _positive("directivity", directivity)
    straight = directivity / (4 * pi * distance_m**2)
    if absorbs_m2 is None:
        return power + 10 * log10(straight)
    _positive("absorption area", absorbs_m2)
    return power + 10 * log10(straight + 4 / absorbs_m2)


def behind(level: float, *, takes_off: float) -> float:
    """The level behind a wall that takes off so many dB; a single figure, as it is measured on site.

    Source:
        The level difference D of two rooms, as in ISO 16283-1.
    """
    return level - takes_off


def osha_hours(level: float) -> float:
    """For how many hours a day a steady level is permitted: 8 / 2^((L - 90) / 5); without end below 80 dBA.

    Levels above 115 dBA have a figure in the formula only: see `OSHA_CEILING_DB`.

    Source:
        29 CFR 1910.95, Table G-16, and Table G-16a of its Appendix A.
    """
    return inf if level < LEAST_DB else 8 / 2 ** ((level - 90) / 5)


def niosh_hours(level: float) -> float:
    """For how many hours a day a steady level is recommended at the most: 8 / 2^((L - 85) / 3); without end below 80.

    Source:
        NIOSH publication 98-126, Table 1-1: 480 / 2^((L - 85) / 3) minutes.
    """
    return inf if level < LEAST_DB else 8 / 2 ** ((level - 85) / 3)


def osha_level(hours: float) -> float:
    """The steady level that is permitted for so many hours a day: the inverse of `osha_hours`, up to 115 dBA.

    Args:
        hours: 0 or more.

    Source:
        As `osha_hours`, and its ceiling.
    """
    return OSHA_CEILING_DB if hours <= 0 else min(90 + 5 * log2(8 / hours), OSHA_CEILING_DB)


def niosh_level(hours: float) -> float:
    """The steady level that is recommended at the most for so many hours a day: the inverse of `niosh_hours`.

    Args:
        hours: 0 or more; none gives the ceiling of 140 dBA.

    Source:
        As `niosh_hours`; NIOSH 98-126, section 1.1, for the ceiling (from memory).
    """
    return NIOSH_CEILING_DB if hours <= 0 else min(85 + 3 * log2(8 / hours), NIOSH_CEILING_DB)


def dose(hours: float, allowed: float) -> float:
    """The share of a day's dose that hours at one level make: C / T; 1 is all of it.

    Args:
        hours: C, 0 or more.
        allowed: T, above 0, as `osha_hours` or `niosh_hours` give it.

    Raises:
        QuestionError: out of bounds.

    Source:
        29 CFR 1910.95, Appendix A, and NIOSH 98-126, section 1.1; both tell it in percent.
    """
    if not (hours >= 0 and isfinite(hours)):
        raise QuestionError(f"{hours!r} hours are spent there", "Give 0 or more.")
    _positive("time that is allowed", allowed)
    return hours / allowed


def osha_mean(share: float) -> float:
    """The steady level over 8 h that makes a dose: 16.61 log10(D / 100) + 90, D in percent.

    The printed 16.61 is 5 / log10(2).

    Raises:
        QuestionError: a dose that is not above 0.

    Source:
        29 CFR 1910.95, Appendix A.
    """
    _positive("dose", share)
    return 5 * log2(share) + 90


def niosh_mean(share: float) -> float:
    """The steady level over 8 h that makes a dose: 10 log10(D / 100) + 85, D in percent.

    Raises:
        QuestionError: a dose that is not above 0.

    Source:
        NIOSH publication 98-126, Table 1-2.
    """
    _positive("dose", share)
    return 10 * log10(share) + 85


def _positive(name: str, *values: float) -> None:
    for value in values:
        if not value > 0:
            raise QuestionError(f"the {name} is {value!r}", "Give more than 0.")
