"""What do a guess and a few measured times say together about how long something takes?

The logarithm of one time is taken as normal around a middle that is not known, with a spread that is: then a normal
belief about the middle is updated by plain averaging, and a guess counts like so many times that were measured.

Symbols: y_i = ln t_i; sigma the spread of the logarithm of a single time; mu the logarithm of the middle; n_0 how many
measured times the guess is worth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from falsework.errors import QuestionError

Z = 1.6448536269514722
"""The 95th percentile of the standard normal distribution: from 5 to 95 percent is Z to both sides."""
SINGLE = math.log(1.5) / Z
"""Taken for how much single times of one thing differ: nine in ten within a factor of 1.5 of their middle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed about how long something takes.

    Attributes:
        middle: half of all times are shorter, above 0; any unit.
        spread: standard deviation of the natural logarithm of a single time (sigma), 0 or more.
        weight: how many measured times it rests on, the guess counted as it weighs; above 0.
    """

    middle: float
    spread: float
    weight: float

    @property
    def next(self) -> tuple[float, float]:
        """The 5 and 95 percentiles of the next time, the doubt about the middle counted in.

        ln t ~ Normal(ln middle, sigma^2 (1 + 1/n)).

        Source:
            A. Gelman and others (2013), Bayesian Data Analysis, 3rd edition, sec. 2.5, normal data with known variance,
            posterior predictive distribution.
        """
        factor = math.exp(Z * self.spread * math.sqrt(1.0 + 1.0 / self.weight))
        return self.middle / factor, self.middle * factor

    def updated(self, times: Sequence[float]) -> Belief:
        """What is believed after these were measured: ln middle = (n_0 ln m_0 + sum of y_i) / (n_0 + n).

        Raises:
            QuestionError: a time is not above 0, or not finite.

        Source:
            As `next`: posterior mean of the middle, with the guess written as n_0 times measured.
        """
        if not times:
            return self
        weight = self.weight + len(times)
        total = self.weight * math.log(self.middle) + math.fsum(_logarithms(times))
        return Belief(middle=math.exp(total / weight), spread=self.spread, weight=weight)


def believed(figure: float, weight: float, *, spread: float = SINGLE) -> Belief:
    """The belief of somebody who says one figure.

    Args:
        figure: above 0; any unit.
        weight: how many measured times it is worth, above 0.
        spread: of single times around it, as in `Belief`.
    """
    return Belief(middle=figure, spread=spread, weight=weight)


def believed_between(low: float, high: float, weight: float) -> Belief:
    """The belief of somebody who says a range: its ends are the 5 and 95 percentiles of the next time.

    sigma = ln(high / low) / (2 Z) / sqrt(1 + 1/n_0), middle = sqrt(low x high).

    Args:
        low: above 0.
        high: at least `low`.
        weight: as `believed`.
    """
    wide = math.log(high / low) / (2.0 * Z)
    return Belief(middle=math.sqrt(low * high), spread=wide / math.sqrt(1.0 + 1.0 / weight), weight=weight)


def measured(times: Sequence[float], *, spread: float = SINGLE) -> Belief:
    """The belief where nobody guessed anything: the times alone.

    Raises:
        QuestionError: there are none, or one is not above 0.
    """
    if not times:
        raise QuestionError("nothing was measured", "Give a time.")
    middle = math.exp(math.fsum(_logarithms(times)) / len(times))
    return Belief(middle=middle, spread=spread, weight=float(len(times)))


def _logarithms(times: Sequence[float]) -> list[float]:
    for each in times:
        if not (math.isfinite(each) and each > 0):
            raise QuestionError(f"{each:g} is no time that was measured", "Give times above 0.")
    return [math.log(each) for each in times]
