"""How long does one wait for a spare, with so many on the shelf?

Symbols: s on the shelf when none is on its way, L demand (parts used up per unit of time, of all that share the shelf),
T mean time until an ordered one arrives, m = L T mean number on the way.

One is ordered for each one taken, orders don't wait for each other, and demands come at random (Poisson).
Then the number on the way is Poisson with mean m whatever the distribution of the delivery time (Palm's theorem).
Parts that wait for a spare don't fail meanwhile; for few parts this makes the answers a little too dark.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray, IntArray
from falsework.engines.reliability.functions import gamma_above, gamma_below
from falsework.errors import LimitError

_MOST_SPARES = 10_000


def shelf_empty(spares: ArrayLike, demand: ArrayLike, resupply: ArrayLike) -> FloatArray:
    """The chance that a part that fails finds the shelf empty: P(X >= s), X Poisson with mean L T.

    Args:
        spares: s, whole, 0 or more.
        demand: parts used up per unit of time, 0 or more.
        resupply: mean time until an ordered one arrives, same unit, 0 or more.

    Raises:
        QuestionError: out of bounds.

    Source:
        C. Palm (1938); G. J. Feeney, C. C. Sherbrooke (1966), The (s-1, s) inventory policy under compound
        Poisson demand, Management Science 12(5); Poisson arrivals see time averages.
    """
    s, _, _, mean = _asked(spares, demand, resupply)
    return _at_least(s, mean)


def mean_wait(spares: ArrayLike, demand: ArrayLike, resupply: ArrayLike) -> FloatArray:
    """The mean wait for a spare, over all failures, those that find one at once included: W = B / L.

    B is the expected number of parts that wait for a spare: B = m P(X >= s) - s P(X >= s + 1).
    Without any on the shelf the wait is T. As demand goes to 0 it is T without a shelf and 0 with one.

    Args:
        spares: as `shelf_empty`.
        demand: as `shelf_empty`.
        resupply: as `shelf_empty`.

    Returns:
        In the unit of `resupply`, never more than it.

    Raises:
        QuestionError: out of bounds.

    Source:
        C. C. Sherbrooke (1968), METRIC, Operations Research 16(1), for B; J. D. C. Little (1961) for B / L.
    """
    s, rate, time, mean = _asked(spares, demand, resupply)
    waiting = expected_waiting(spares, demand, resupply)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(mean > 0, waiting / rate, np.where(s > 0, 0.0, time))
    # Rounding must not make waiting longer than ordering.
    return np.asarray(np.minimum(found, time))


def expected_waiting(spares: ArrayLike, demand: ArrayLike, resupply: ArrayLike) -> FloatArray:
    """The mean number of parts that wait for a spare (expected backorders): B = m P(X >= s) - s P(X >= s + 1).

    Args:
        spares: as `shelf_empty`.
        demand: as `shelf_empty`.
        resupply: as `shelf_empty`.

    Raises:
        QuestionError: out of bounds.

    Source:
        As `mean_wait`.
    """
    s, _, _, mean = _asked(spares, demand, resupply)
    # Of nearly equal size where m is small: s/(s+1) of the first is taken away, which costs no more than its digits.
    return np.asarray(np.maximum(mean * _at_least(s, mean) - s * _at_least(s + 1, mean), 0.0))


def enough_for(spares: ArrayLike, demand: ArrayLike, period: ArrayLike) -> FloatArray:
    """The chance that the shelf lasts for a period without any delivery: at most s demands, Poisson.

    Args:
        spares: s, whole, 0 or more.
        demand: parts used up per unit of time, 0 or more.
        period: in the same unit, 0 or more.

    Raises:
        QuestionError: out of bounds.

    Source:
        MIL-HDBK-338B, example 5.3.8.1.
    """
    s, _, _, mean = _asked(spares, demand, period)
    return np.asarray(gamma_above(s + 1, mean))


def shelf_for(empty_at_most: float, demand: float, resupply: float) -> int:
    """The fewest spares with which the chance of an empty shelf is at most this.

    Args:
        empty_at_most: above 0, below 1.
        demand: as `shelf_empty`.
        resupply: as `shelf_empty`.

    Raises:
        QuestionError: out of bounds.
        LimitError: more than 10,000 would be needed.
    """
    most = float(checked.inner_chance("chance of an empty shelf", empty_at_most))
    every = np.arange(_MOST_SPARES + 1)
    good = np.flatnonzero(shelf_empty(every, demand, resupply) <= most)
    if not good.size:
        raise LimitError(
            f"more than {_MOST_SPARES} spares would be needed", "Ask for less demand or a shorter delivery."
        )
    return int(good[0])


def _asked(
    spares: ArrayLike, demand: ArrayLike, time: ArrayLike
) -> tuple[IntArray, FloatArray, FloatArray, FloatArray]:
    s = checked.count("number of spares", spares)
    rate, length = checked.not_negative("demand", demand), checked.not_negative("time", time)
    checked.same_shape(spares=s, demand=rate, time=length)
    mean: FloatArray = np.asarray(rate * length)
    return s, rate, length, checked.not_negative("demand x time", mean)


def _at_least(k: IntArray, mean: FloatArray) -> FloatArray:
    """P(X >= k), X Poisson; certain for k = 0, where the incomplete gamma function is not defined."""
    return np.where(k > 0, gamma_below(np.maximum(k, 1), mean), 1.0)
