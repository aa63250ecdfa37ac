"""How likely is it that something that nobody looks at is broken when it is needed?

A standby, a restore, a spare path: its fault is found by a test only, every so often.
Symbols: L rate of hidden faults, T time between tests, x = L T, n parts tested together of which k are needed.
A test finds everything and what it finds is mended at once; voted.py reckons with repairs, with faults that show
themselves, with shared causes and with tests that miss some.
"""

from __future__ import annotations

from functools import lru_cache
from math import comb

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.alternating import at_least
from falsework.engines.reliability.checked import FloatArray
from falsework.errors import QuestionError

_SERIES_BELOW = 0.1
_SERIES_TERMS = 10
_NODES = 128


def hidden_share(rate: ArrayLike, interval: ArrayLike) -> FloatArray:
    """The share of time for which one part is broken without anybody knowing: 1 - (1 - exp(-x)) / x.

    Exact for a constant rate, at any x; keeps its digits for tiny x, where it is x/2 - x^2/6 + ...

    Args:
        rate: hidden faults per unit of time, 0 or more.
        interval: time between tests, same unit, 0 or more.

    Raises:
        QuestionError: negative, infinite or NaN.

    Source:
        The mean of 1 - exp(-L t) over 0 to T, by hand.
    """
    x = _x(rate, interval)
    # (x - (1 - e^-x)) / x loses its digits for small x: sum of (-1)^(j+1) x^j / (j+1)!, inside out.
    small = np.minimum(x, _SERIES_BELOW)
    series = np.zeros_like(small)
    for j in range(_SERIES_TERMS, 0, -1):
        series = small / (j + 1) * (1.0 - series)
    large = np.maximum(x, _SERIES_BELOW)
    return np.where(x < _SERIES_BELOW, series, (large + np.expm1(-large)) / large)


def hidden_share_linear(rate: ArrayLike, interval: ArrayLike) -> FloatArray:
    """The rule of thumb for `hidden_share`: x / 2; never below it, and above it by about x/3 of itself.

    Args:
        rate: as `hidden_share`.
        interval: as `hidden_share`.

    Raises:
        QuestionError: as `hidden_share`.

    Source:
        Common practice.
    """
    return np.asarray(_x(rate, interval) / 2.0)


def hidden_share_group(k: int, n: int, rate: ArrayLike, interval: ArrayLike) -> FloatArray:
    """The share of time for which fewer than k of n alike parts work, all tested together, exactly.

    The mean over the interval of the chance that at least n - k + 1 have failed, by Gauss-Legendre quadrature
    with 128 points: to 12 digits while n x is below 2,500, to 5 while it is below 15,000.
    1-of-2 is about x^2 / 3, 2-of-3 x^2, 1-of-3 x^3 / 4 (`hidden_share_group_simple`), as long as x is small.

    Args:
        k: how many are needed, 1 to n.
        n: how many there are.
        rate: hidden faults per unit of time of one, 0 or more.
        interval: time between tests, same unit, 0 or more.

    Raises:
        QuestionError: out of bounds.
    """
    _group(k, n)
    places, weights = _quadrature()
    x = _x(rate, interval)
    failed = -np.expm1(-x[..., np.newaxis] * places)
    return np.asarray((at_least(n - k + 1, n, failed) * weights).sum(axis=-1))


def hidden_share_group_simple(k: int, n: int, rate: ArrayLike, interval: ArrayLike) -> FloatArray:
    """The first term of `hidden_share_group`: C(n, m) x^m / (m + 1), m = n - k + 1 failures that are too many.

    1-of-1 x/2, 1-of-2 x^2/3, 2-of-3 x^2, 1-of-3 x^3/4. Of use for x below about 0.1; always on the dark side.

    Args:
        k: as `hidden_share_group`.
        n: as `hidden_share_group`.
        rate: as `hidden_share_group`.
        interval: as `hidden_share_group`.

    Raises:
        QuestionError: out of bounds.

    Source:
        IEC 61508-6:2010, Annex B, with undetected faults only, as derived in public texts; the general form by hand.
    """
    _group(k, n)
    m = n - k + 1
    return np.asarray(comb(n, m) * _x(rate, interval) ** m / (m + 1))


def hidden_frequency_group(k: int, n: int, rate: ArrayLike, interval: ArrayLike) -> FloatArray:
    """How often, per unit of time, the k-th last of n alike parts fails, all tested together, exactly.

    The chance to have failed by the end of an interval over its length: P(at least n - k + 1 failed at T) / T.

    Args:
        k: as `hidden_share_group`.
        n: as `hidden_share_group`.
        rate: as `hidden_share_group`.
        interval: above 0.

    Raises:
        QuestionError: out of bounds.
    """
    _group(k, n)
    length = checked.positive("interval", interval)
    return np.asarray(at_least(n - k + 1, n, -np.expm1(-_x(rate, length))) / length)


@lru_cache(maxsize=1)
def _quadrature() -> tuple[FloatArray, FloatArray]:
    """Places and weights for the mean over 0 to 1."""
    places, weights = np.polynomial.legendre.leggauss(_NODES)
    return (np.asarray(places) + 1.0) / 2.0, np.asarray(weights) / 2.0


def _x(rate: ArrayLike, interval: ArrayLike) -> FloatArray:
    often, length = checked.not_negative("rate", rate), checked.not_negative("interval", interval)
    checked.same_shape(rate=often, interval=length)
    return checked.not_negative("rate x interval", np.asarray(often * length))


def _group(k: int, n: int) -> None:
    checked.count("k", k, least=1)
    checked.count("n", n, least=1)
    if k > n:
        raise QuestionError(f"{k} of {n} can't be needed", "Give k from 1 to n.")
