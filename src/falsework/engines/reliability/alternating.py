"""How much of the time is something out that fails and is repaired, alone or together with others?

Symbols: MTBF mean time up (from repaired to the next failure), MTTR mean time down, A availability, q = 1 - A
unavailability, w outage frequency (outages per unit of time, seen over years), r mean length of an outage.

Everything here holds for any distribution of the times up and down, in the long run,
as long as the parts fail and are repaired independently: a shared cause or one pair of hands for all breaks it
(common_cause.py, queues.py).

Very small unavailabilities lose their digits in 1 - A, so the functions are given q and return q.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray
from falsework.engines.reliability.functions import beta_below
from falsework.errors import QuestionError

YEAR_DAYS = 365.25
"""Days in a year, as everywhere in this package (units.YEAR_S)."""

CALENDAR_YEAR_DAYS = 365.0
"""Days in a year as most printed tables of nines take it; it gives 0.07 % less time out."""


def availability(mtbf: ArrayLike, mttr: ArrayLike) -> FloatArray:
    """The share of time up: A = MTBF / (MTBF + MTTR).

    Args:
        mtbf: mean time up, above 0.
        mttr: mean time down, same unit, 0 or more and at most the time up.

    Raises:
        QuestionError: zero, negative or infinite where it may not be, or a repair longer than a life.

    Source:
        R. E. Barlow, F. Proschan, Statistical Theory of Reliability and Life Testing (1975), ch. 7; common practice.
    """
    life, repair = checked.repaired_within_life(mtbf, mttr)
    return np.asarray(life / (life + repair))


def unavailability(mtbf: ArrayLike, mttr: ArrayLike) -> FloatArray:
    """The share of time down, to full relative precision: q = MTTR / (MTBF + MTTR).

    Raises:
        QuestionError: as `availability`.
    """
    life, repair = checked.repaired_within_life(mtbf, mttr)
    return np.asarray(repair / (life + repair))


def frequency(mtbf: ArrayLike, mttr: ArrayLike) -> FloatArray:
    """Outages per unit of time, seen over years: w = 1 / (MTBF + MTTR).

    Raises:
        QuestionError: as `availability`.
    """
    life, repair = checked.repaired_within_life(mtbf, mttr)
    return np.asarray(1.0 / (life + repair))


def unreliability(rate: ArrayLike, time: ArrayLike) -> FloatArray:
    """The chance to have failed at least once by a time, at a constant rate: 1 - exp(-rate x time).

    Args:
        rate: failures per unit of time, 0 or more.
        time: in the same unit, 0 or more.

    Raises:
        QuestionError: negative, infinite or NaN.
    """
    return np.asarray(-np.expm1(-checked.not_negative("rate", rate) * checked.not_negative("time", time)))


def all_of(chances: ArrayLike, *, axis: int = 0) -> FloatArray:
    """The chance that all of several independent things are so: the product along an axis.

    Availability of a series from availabilities; unavailability of parallel parts from unavailabilities.

    Raises:
        QuestionError: a chance outside 0 to 1.
    """
    return np.asarray(np.prod(checked.chance("chance", chances), axis=axis))


def any_of(chances: ArrayLike, *, axis: int = 0) -> FloatArray:
    """The chance that any of several independent things is so: 1 - product of (1 - p), small ones to full precision.

    Unavailability of a series from unavailabilities; availability of parallel parts from availabilities.

    Raises:
        QuestionError: a chance outside 0 to 1.
    """
    with np.errstate(divide="ignore"):  # a certain one: log of 0, which comes out as certain
        return np.asarray(-np.expm1(np.log1p(-checked.chance("chance", chances)).sum(axis=axis)))


def at_least(k: ArrayLike, n: ArrayLike, chance: ArrayLike) -> FloatArray:
    """The chance that at least k of n alike and independent things are so.

    With p the chance of one: sum over j from k to n of C(n, j) p^j (1-p)^(n-j), which is I_p(k, n-k+1).
    For k-of-n parts that must be up this is the availability;
    its unavailability, to full precision, is ``at_least(n - k + 1, n, q)``.

    Args:
        k: from 0 to n.
        n: how many, 0 or more.
        chance: of one, 0 to 1.

    Raises:
        QuestionError: out of these bounds.

    Source:
        Binomial distribution; the incomplete beta form: M. Abramowitz, I. A. Stegun (1964), 26.5.24.
    """
    one = checked.chance("chance", chance)
    whole, least = checked.count("n", n), checked.count("k", k)
    shape = checked.same_shape(k=least, n=whole, chance=one)
    if np.any(least > whole):
        raise QuestionError(f"at least {_shown(k)} of {_shown(n)} can't be", "Give k from 0 to n.")
    inside = np.broadcast_to(least > 0, shape)
    found = beta_below(np.maximum(least, 1), np.maximum(whole - least + 1, 1), one)
    return np.where(inside, found, 1.0)


def counts(chances: ArrayLike) -> FloatArray:
    """The chance that exactly 0, 1, ..., n of n independent things are so, each with a chance of its own.

    The Poisson binomial distribution by its recursion, adding one thing at a time:
    P_i(j) = (1 - p_i) P_(i-1)(j) + p_i P_(i-1)(j-1).
    Only sums of products of what is not negative: small chances keep their digits.

    Args:
        chances: (n, ...).

    Returns:
        (n + 1, ...), summing to 1 along the first axis.

    Raises:
        QuestionError: a chance outside 0 to 1, or no axis to go along.

    Cost:
        O(n^2) per column.

    Source:
        R. E. Barlow, K. D. Heidtmann (1984), Computing k-out-of-n system reliability, IEEE Trans. Reliability R-33(4).
    """
    each = checked.chance("chance", chances)
    if each.ndim == 0:
        raise QuestionError(
            "one number is given, and several chances are wanted", "Give an array of chances."
        )
    n = len(each)
    found = np.zeros((n + 1, *each.shape[1:]))
    found[0] = 1.0
    for so_far, p in enumerate(each, 1):
        found[1 : so_far + 1] = found[1 : so_far + 1] * (1 - p) + found[:so_far] * p
        found[0] *= 1 - p
    return found


def at_least_of(k: int, chances: ArrayLike) -> FloatArray:
    """The chance that at least k of n independent things are so, each with a chance of its own.

    Args:
        k: from 0 to n.
        chances: (n, ...).

    Raises:
        QuestionError: as `counts`, or k out of bounds.
    """
    found = counts(chances)
    least = int(checked.count("k", k))
    if least > len(found) - 1:
        raise QuestionError(f"at least {k} of {len(found) - 1} can't be", "Give k from 0 to n.")
    return np.asarray(found[least:].sum(axis=0))


def overlap_frequency(unavailabilities: ArrayLike, frequencies: ArrayLike, *, axis: int = 0) -> FloatArray:
    """How often all of several independent parts come to be out at the same time, per unit of time.

    w = sum over i of w_i x product over j other than i of q_j: the last of them falls while all others are down.
    Exact for independent parts. With w_i about the failure rate and q_j about rate x repair it is
    the overlapping-outage formula L1 L2 (r1 + r2) of the trade.

    Args:
        unavailabilities: q of each.
        frequencies: outages per unit of time of each, 0 or more.
        axis: along which the parts lie.

    Raises:
        QuestionError: out of bounds, or shapes that don't go together.

    Source:
        R. Billinton, R. N. Allan, Reliability Evaluation of Engineering Systems (2nd ed. 1992), ch. 11 (from memory);
        W. E. Vesely (1970), A time-dependent methodology for fault tree evaluation.
    """
    q, w = checked.chance("unavailability", unavailabilities), checked.not_negative("frequency", frequencies)
    checked.same_shape(unavailabilities=q, frequencies=w)
    q, w = (np.moveaxis(each, axis, 0) for each in np.broadcast_arrays(q, w))
    # Products of all others, from both sides rather than by division, since a q may be 0.
    ones = np.ones((1, *q.shape[1:]))
    before = np.cumprod(np.concatenate((ones, q[:-1])), axis=0)
    after = np.cumprod(np.concatenate((ones, q[:0:-1])), axis=0)[::-1]
    return np.asarray((w * before * after).sum(axis=0))


def overlap_length(mttrs: ArrayLike, *, axis: int = 0) -> FloatArray:
    """How long it lasts on average that all of several independent parts are out: r = 1 / sum of 1/r_i.

    Equal to unavailability / frequency of the overlap, in the unit of the repairs.
    For two: r1 r2 / (r1 + r2).

    Args:
        mttrs: mean time to repair of each, above 0.
        axis: along which the parts lie.

    Raises:
        QuestionError: not above 0, or infinite.

    Source:
        As `overlap_frequency`.
    """
    return np.asarray(1.0 / (1.0 / checked.positive("mean time to repair", mttrs)).sum(axis=axis))


def minutes_out_per_year(unavailability: ArrayLike, *, year_days: float = YEAR_DAYS) -> FloatArray:
    """The expected minutes out in a year of the length that is named.

    Args:
        unavailability: q, 0 to 1.
        year_days: `YEAR_DAYS` (365.25) or `CALENDAR_YEAR_DAYS` (365); say in the output which.

    Raises:
        QuestionError: out of bounds.
    """
    return np.asarray(
        checked.chance("unavailability", unavailability) * checked.positive("year", year_days) * 1440.0
    )


def unavailability_of_nines(nines: ArrayLike) -> FloatArray:
    """The unavailability behind a number of nines, which may be fractional: q = 10^-nines; 3 is 99.9 % up.

    Raises:
        QuestionError: negative or infinite.
    """
    return np.asarray(10.0 ** -checked.not_negative("nines", nines))


def nines(unavailability: ArrayLike) -> FloatArray:
    """The number of nines of an unavailability: -log10 q; without end for 0.

    Raises:
        QuestionError: out of bounds.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(np.abs(np.log10(checked.chance("unavailability", unavailability))))


def _shown(values: ArrayLike) -> str:
    return f"{np.asarray(values).flat[0]}" if np.ndim(values) == 0 else "some"
