"""Which distribution does a range such as 2..5 %/year, or 1..3 days, stand for?

The ends of a range are taken as its 5 and 95 percentiles.
A rate gets a gamma distribution, since observed failures then update it by plain addition;
a repair time gets a lognormal one, since repairs are skewed: most are quick, a few drag on.
Both are choices, common in the trade, and not laws.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray
from falsework.engines.reliability.functions import gamma_below, gamma_quantile, normal_quantile
from falsework.errors import QuestionError

LOW, HIGH = 0.05, 0.95

# Shapes from which the percentiles are still told apart, and at which both ends are not yet the same number.
_LEAST_SHAPE, _LARGEST_SHAPE = 1e-2, 1e12
_HALVINGS = 200


class Spread(Protocol):
    """A number that is not known exactly."""

    @property
    def mean(self) -> float:
        """The mean."""

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """The value that is not exceeded with this chance, strictly between 0 and 1."""

    def sample(self, generator: np.random.Generator, size: int) -> FloatArray:
        """So many independent draws, (size,)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """A number that is known, or taken as known."""

    value: float

    @property
    def mean(self) -> float:
        """The number itself."""
        return self.value

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """The number itself, in the shape of the chances."""
        return np.full(np.shape(checked.inner_chance("chance", chance)), self.value)

    def sample(self, generator: np.random.Generator, size: int) -> FloatArray:
        """The number itself, so many times; draws nothing from the generator."""
        return np.full(size, self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gamma:
    """A gamma distribution, mostly of a failure rate.

    Density b^a x^(a-1) exp(-b x) / Gamma(a).

    Attributes:
        shape: a, above 0; as a prior, how many failures it is worth.
        rate: b, above 0; as a prior, in how much observed time.
    """

    shape: float
    rate: float

    @property
    def mean(self) -> float:
        """The mean, a / b."""
        return self.shape / self.rate

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """The value that is not exceeded with this chance, strictly between 0 and 1."""
        return np.asarray(gamma_quantile(self.shape, checked.inner_chance("chance", chance)) / self.rate)

    def below(self, value: ArrayLike) -> FloatArray:
        """The chance that the value is not exceeded."""
        return gamma_below(self.shape, self.rate * checked.not_negative("value", value))

    def sample(self, generator: np.random.Generator, size: int) -> FloatArray:
        """So many independent draws, (size,)."""
        return generator.gamma(self.shape, 1.0 / self.rate, size)

    def updated(self, failures: float, time: float) -> Gamma:
        """What is known after so many more failures in so much more time: Gamma(a + r, b + T).

        Raises:
            QuestionError: negative or infinite, or a count that is not whole.

        Source:
            NIST/SEMATECH e-Handbook of Statistical Methods, sec. 8.4.6.
        """
        seen = int(checked.count("number of failures", failures))
        return Gamma(
            shape=self.shape + seen, rate=self.rate + float(checked.not_negative("observed time", time))
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lognormal:
    """A number whose logarithm is normal, mostly a repair time.

    Attributes:
        median: above 0.
        sigma: standard deviation of the natural logarithm, above 0.
    """

    median: float
    sigma: float

    @property
    def mean(self) -> float:
        """The mean, median x exp(sigma^2 / 2): above the median, the more so the wider the range."""
        return self.median * math.exp(self.sigma**2 / 2)

    def quantile(self, chance: ArrayLike) -> FloatArray:
        """The value that is not exceeded with this chance, strictly between 0 and 1."""
        return np.asarray(
            self.median * np.exp(self.sigma * normal_quantile(checked.inner_chance("chance", chance)))
        )

    def sample(self, generator: np.random.Generator, size: int) -> FloatArray:
        """So many independent draws, (size,)."""
        return generator.lognormal(math.log(self.median), self.sigma, size)


@lru_cache(maxsize=4096)  # a thousand machines have a dozen ranges between them, and each takes many trials
def gamma_between(
    low: float, high: float, *, low_chance: float = LOW, high_chance: float = HIGH
) -> Gamma | Fixed:
    """The gamma distribution with these two percentiles; what is known exactly stays so.

    The ratio of two percentiles depends on the shape a alone and falls as it grows, so a is found by halving
    (of its logarithm), and b = G(a, p_low) / low with G the quantile of the gamma distribution of rate 1.

    Args:
        low: not exceeded with the chance `low_chance`; above 0.
        high: not exceeded with the chance `high_chance`; at least `low`.
        low_chance: strictly between 0 and 1.
        high_chance: above `low_chance`, below 1.

    Raises:
        QuestionError: not so, or a ratio of the two so wide that no such distribution can be told.

    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, sec. 8.3.1.5.
    """
    ends = _ends(low, high, low_chance, high_chance)
    if ends is None:
        return Fixed(value=float(low))
    bottom, top, p_low, p_high = ends
    ratio = top / bottom

    def too_wide(shape: float) -> bool:
        small = float(gamma_quantile(shape, p_low))
        return small == 0.0 or float(gamma_quantile(shape, p_high)) / small > ratio

    if not too_wide(_LEAST_SHAPE):
        raise QuestionError(
            f"from {low:g} to {high:g} is too wide a range to work with", "Say it closer, such as 1..10."
        )
    if too_wide(_LARGEST_SHAPE):  # the two ends are one number but for rounding
        return Fixed(value=math.sqrt(bottom * top))
    narrow, wide = math.log(_LARGEST_SHAPE), math.log(_LEAST_SHAPE)
    for _ in range(_HALVINGS):
        middle = (narrow + wide) / 2
        if middle in (narrow, wide):
            break
        if too_wide(math.exp(middle)):
            wide = middle
        else:
            narrow = middle
    shape = math.exp(narrow)
    return Gamma(shape=shape, rate=float(gamma_quantile(shape, p_low)) / bottom)


@lru_cache(maxsize=4096)
def lognormal_between(
    low: float, high: float, *, low_chance: float = LOW, high_chance: float = HIGH
) -> Lognormal | Fixed:
    """The lognormal distribution with these two percentiles; what is known exactly stays so.

    sigma = ln(high / low) / (z(p_high) - z(p_low)), median = low x exp(-sigma z(p_low)); for the 5 and 95 percentiles
    the median is sqrt(low x high).

    Args:
        low: as `gamma_between`.
        high: as `gamma_between`.
        low_chance: as `gamma_between`.
        high_chance: as `gamma_between`.

    Raises:
        QuestionError: as `gamma_between`.

    Source:
        Elementary; the error factor of the trade is sqrt(high / low).
    """
    ends = _ends(low, high, low_chance, high_chance)
    if ends is None:
        return Fixed(value=float(low))
    bottom, top, p_low, p_high = ends
    z_low, z_high = float(normal_quantile(p_low)), float(normal_quantile(p_high))
    sigma = math.log(top / bottom) / (z_high - z_low)
    return Lognormal(median=bottom * math.exp(-sigma * z_low), sigma=sigma)


def latin_hypercube(spreads: Sequence[Spread], size: int, generator: np.random.Generator) -> FloatArray:
    """Draws of several numbers that fill each one's range evenly, (len(spreads), size).

    Each number's range of chances is cut into `size` equal slices, one draw falls into each,
    and the slices of different numbers are matched at random.
    Means settle with fewer draws than independent ones need.

    Args:
        spreads: any number of them.
        size: draws, 1 or more.
        generator: seeded by the caller; the same seed gives the same draws.

    Raises:
        QuestionError: size is not a whole number of 1 or more.

    Source:
        M. D. McKay, R. J. Beckman, W. J. Conover (1979), Technometrics 21(2).
    """
    n = int(checked.count("number of draws", size, least=1))
    found = np.empty((len(spreads), n))
    # The very ends have no quantile; a draw can round onto them.
    edge = np.finfo(np.float64).eps / 4
    for row, spread in zip(found, spreads, strict=True):
        places = (generator.permutation(n) + generator.random(n)) / n
        row[:] = spread.quantile(np.clip(places, edge, 1 - 2 * edge))
    return found


def _ends(
    low: float, high: float, low_chance: float, high_chance: float
) -> tuple[float, float, float, float] | None:
    """The ends and their chances, checked; None where there is no range."""
    p_low = float(checked.inner_chance("chance of the low end", low_chance))
    p_high = float(checked.inner_chance("chance of the high end", high_chance))
    if p_low >= p_high:
        raise QuestionError(
            f"the chances {p_low:g} and {p_high:g} run backwards", "Give the chance of the low end first."
        )
    if low == high:
        checked.not_negative("value", low)
        return None
    bottom, top = float(checked.positive("low end", low)), float(checked.positive("high end", high))
    if bottom > top:
        raise QuestionError(f"the range {low:g}..{high:g} runs backwards", f"Write {high:g}..{low:g}.")
    return bottom, top, p_low, p_high
