"""How long until a chain of states is absorbed, and how likely is that within a time, to full relative precision?

Nothing here subtracts two rates or two chances, so that a chance of 1e-15 is as exact as one of a half.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, exp, log2

import numpy as np

from falsework.engines.reliability.checked import FloatArray
from falsework.engines.reliability.eliminating import eliminated

_SMALL_STEP = 1 / 256
"""Rate x time of the step that is summed as a series; the rest is squaring."""
_TERMS = 10
"""Terms of that series where many steps follow: more jumps than that hardly ever fall into one of them, even of the
few ways that lead far."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Absorbing:
    """A chain of n states that ends in one of k ways; it starts in state 0.

    Attributes:
        rates: (n, n) rates between states; the diagonal is 0. Each state can be reached from state 0.
        ends: (n, k) rates of ending in each way.
        counted: (n,) 1.0 where time is counted, else 0.0.
        depth: the most steps that it takes to reach any state from any other that can reach it.
    """

    rates: FloatArray
    ends: FloatArray
    counted: FloatArray
    depth: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Within:
    """What happens within a time.

    Attributes:
        ended: (k,) the chance that it has ended in each way.
        counted: mean time spent where time is counted, in the unit of the time.
    """

    ended: FloatArray
    counted: float


def mean_time(chain: Absorbing) -> float:
    """The mean time from state 0 until the chain ends; infinite where it never does.

    The ends lead back to state 0 by a made-up state in which one stays a time of 1 on average: the mean time is the
    time spent elsewhere for each visit there. States are taken out one by one without subtraction.

    Source:
        As `falsework.engines.reliability.eliminating.eliminated`; the cycle: renewal-reward.
    """
    into = chain.ends.sum(axis=1)
    if not into.any():
        return float("inf")
    n = len(chain.rates)
    a = np.zeros((n + 1, n + 1))
    a[:n, :n], a[:n, n], a[n, 0] = chain.rates, into, 1.0
    found = eliminated(a)
    return float(found[:n].sum() / found[n])


def within(chain: Absorbing, time: float) -> Within:
    """What has happened to the chain after a time.

    exp(Q t) by uniformisation of a short step, then squaring: all terms are 0 or more, so small chances keep their
    digits. The relative error is about n 1e-16 x largest rate x time x 256: 1e-8 for an hour's rebuild over a year.

    Source:
        J. Xue, Q. Ye (2013), Computing exponentials of essentially non-negative matrices entrywise to high relative
        accuracy, Mathematics of Computation 82 (from memory).
    """
    n, k = chain.ends.shape
    whole = np.zeros((n + k + 1, n + k + 1))
    whole[:n, :n], whole[:n, n : n + k], whole[:n, -1] = chain.rates, chain.ends, chain.counted
    leaving = np.zeros(n + k + 1)
    leaving[:n] = chain.rates.sum(axis=1) + chain.ends.sum(axis=1)
    largest = float(leaving.max())
    squarings = max(0, ceil(log2(largest * time / _SMALL_STEP))) if largest * time > 0 else 0
    step = time / 2**squarings
    # Q + largest I has nothing below 0; what was added is taken away again as a factor.
    positive = (whole + np.diag(largest - leaving)) * step
    power = np.eye(n + k + 1)
    for term in range(_TERMS if squarings >= 8 else 2 * chain.depth + 12, 0, -1):
        power = np.eye(n + k + 1) + positive @ power / term
    power *= exp(-largest * step)
    power[n:, n:] = np.eye(k + 1)  # an end is an end, to the last digit
    for _ in range(squarings):
        power = power @ power
    return Within(ended=power[0, n : n + k].copy(), counted=float(power[0, -1]))
