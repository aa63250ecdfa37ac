"""How often is an alternating source out, and how often has it been out for so long?

A source works, fails, and works again; times up and times out are independent of each other and of all else
(an alternating renewal process), and it has run for long. Then, with T the mean time up, D the time out and
m = E[D], by the renewal-reward theorem:

    it has been out for at least a:        x(a) = E[(D - a)+] / (T + m)
    that age is reached so often:          w(a) = P(D > a)    / (T + m)

whatever the distribution of the time up; x(0) is the unavailability, w(0) the failure frequency
(A. Birolini, Reliability Engineering, 8th ed. 2017, appendix A7.3, for a = 0; the same argument for a > 0).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.reliability.functions import normal_below

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outages:
    """How long a source is out each time: a fixed wait, then a lognormal (or fixed) time.

    Several columns stand for several opinions about the same source.

    Attributes:
        wait: (n_columns,) the fixed part.
        mean: (n_columns,) mean of what follows.
        sigma: standard deviation of its logarithm; 0 where it is fixed.
    """

    wait: Floats
    mean: Floats
    sigma: float

    @property
    def whole(self) -> Floats:
        """Mean time out."""
        return self.wait + self.mean

    def longer(self, age: float) -> Floats:
        """P(D > age), (n_columns,)."""
        left = age - self.wait
        if not self.sigma:
            return np.where(left < self.mean, 1.0, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            z = (np.log(left / self.mean) + self.sigma**2 / 2) / self.sigma
        return np.where(left > 0, normal_below(-np.where(left > 0, z, 0.0)), 1.0)

    def beyond(self, age: float) -> Floats:
        """E[(D - age)+], (n_columns,): what is left of outages once they are so old, on the average of all.

        For the lognormal part X and k > 0, E[(X - k)+] = mean N(d) - k N(d - sigma) with
        d = (ln(mean / k) + sigma^2 / 2) / sigma.
        """
        left = age - self.wait
        if not self.sigma:
            return np.maximum(self.mean - left, 0.0) if age > 0 else self.whole
        with np.errstate(divide="ignore", invalid="ignore"):
            d = (np.log(self.mean / left) + self.sigma**2 / 2) / self.sigma
        d = np.where(left > 0, d, 0.0)
        later = self.mean * normal_below(d) - np.maximum(left, 0.0) * normal_below(d - self.sigma)
        return np.where(left > 0, np.maximum(later, 0.0), self.mean - left)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stages:
    """A source seen at rising ages, as a chain of independent events: "out", "and for a1", "and for a2", ...

    Attributes:
        chance: (n_ages, n_columns) of each event, given the ones before.
        per_year: (n_ages, n_columns) how often each age is reached.
    """

    chance: Floats
    per_year: Floats


def stages(per_year: Floats, outages: Outages, ages: Sequence[float], *, year: float) -> Stages:
    """The chain of one source.

    Args:
        per_year: (n_columns,) failures in a year of working: 1 / T.
        outages: in the unit of `year`.
        ages: rising, the first 0.
        year: its length.

    Returns:
        See `Stages`; an age that is never reached has chance 0.
    """
    cycle = year / per_year + outages.whole
    reached = np.array([outages.beyond(age) / cycle for age in ages])
    before = np.concatenate([np.ones((1, reached.shape[1])), reached[:-1]])
    chance = np.divide(reached, before, out=np.zeros_like(reached), where=before > 0)
    often = np.array([outages.longer(age) * year / cycle for age in ages])
    return Stages(chance=np.minimum(chance, 1.0), per_year=often)


def stage_effects(gradient: Floats, chance: Floats) -> Floats:
    """What reaching each age of a source adds to the chance of an event: (n_ages, n_columns).

    Args:
        gradient: (n_ages, n_columns) derivatives of the event's chance by each `Stages.chance`.
        chance: (n_ages, n_columns), as `Stages.chance`.

    Returns:
        In row k, P(event | age k reached, not k + 1) - P(event | age k - 1 reached, not k); the first row is
        against "not out". Summed with `Stages.per_year` over all sources it gives how often the event begins.

    Derivation:
        The event's chance P is linear in each chance p_k, and p_k matters only where all earlier hold, so
        dP/dp_k = p_0 ... p_(k-1) (A_k - B_(k-1)) with A_k = P(event | age k reached) and
        B_k = P(event | age k reached, not k + 1). From A_(k-1) = p_k A_k + (1 - p_k) B_(k-1), downwards from
        the last age, where A = B. Only differences are wanted, so that one may be taken as 0.
    """
    n = len(chance)
    reached = np.cumprod(np.concatenate([np.ones((1, chance.shape[1])), chance[:-1]]), axis=0)
    gain = np.divide(gradient, reached, out=np.zeros_like(gradient), where=reached > 0)
    effect = np.empty_like(gradient)
    here = exact = np.zeros(chance.shape[1])  # A_k and B_k
    for k in range(n - 1, -1, -1):
        before = here - gain[k]  # B_(k-1)
        effect[k] = exact - before
        exact = before
        here = chance[k] * here + (1 - chance[k]) * before
    return effect
