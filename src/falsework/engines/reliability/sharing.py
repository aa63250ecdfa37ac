"""What do a guess and a few trials say together about how often something fails when it is asked for?

Each trial fails or does not, with a chance that is not known and is the same for all of them. A belief about the chance
that is a beta distribution stays one after every trial: the beta family is conjugate to the binomial one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from falsework.engines.reliability import checked
from falsework.engines.reliability.functions import beta_quantile
from falsework.errors import QuestionError

LOW, HIGH = 0.05, 0.95
_LEAST, _LARGEST = 1e-2, 1e9
_HALVINGS = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Beta:
    """What is believed about a chance.

    Density x^(a-1) (1-x)^(b-1) / B(a, b) for x from 0 to 1.

    Attributes:
        failed: a, above 0: how many failures it is worth.
        worked: b, above 0: how many trials that did not fail.
    """

    failed: float
    worked: float

    @property
    def trials(self) -> float:
        """How many trials it rests on, a + b."""
        return self.failed + self.worked

    @property
    def mean(self) -> float:
        """The chance that the next trial fails, a / (a + b)."""
        return self.failed / self.trials

    @property
    def between(self) -> tuple[float, float]:
        """The 5 and 95 percentiles of the chance."""
        low, high = beta_quantile(self.failed, self.worked, [LOW, HIGH])
        return float(low), float(high)

    def updated(self, failed: int, trials: int) -> Beta:
        """What is believed after so many more trials, of which so many failed: Beta(a + k, b + n - k).

        Raises:
            QuestionError: no whole numbers, negative, or more failures than trials.

        Source:
            A. Gelman and others (2013), Bayesian Data Analysis, 3rd edition, sec. 2.4, binomial data with a conjugate prior.
        """
        n = int(checked.count("number of trials", trials))
        k = int(checked.count("number of failures", failed))
        if k > n:
            raise QuestionError(f"{k} of {n} trials failed", "Give no more failures than trials.")
        return Beta(failed=self.failed + k, worked=self.worked + n - k)


def as_one(chance: float) -> Beta:
    """The belief of somebody who says one figure: it counts as one failure in so many trials, Beta(1, 1/p - 1).

    Args:
        chance: above 0, below 1; it is the mean.

    Raises:
        QuestionError: it is not.
    """
    p = float(checked.inner_chance("chance", chance))
    return Beta(failed=1.0, worked=1.0 / p - 1.0)


@lru_cache(maxsize=4096)
def beta_between(low: float, high: float) -> Beta:
    """The beta distribution whose 5 and 95 percentiles these are.

    For each a there is one b with the 95 percentile at `high`, and the 5 percentile grows with that a: both are found by
    halving, of their logarithms.

    Args:
        low: above 0.
        high: above `low`, below 1.

    Raises:
        QuestionError: not so, or so wide or so narrow a range that no such distribution can be told.

    Source:
        Definition of the percentiles; the family as in `Beta`.
    """
    bottom = float(checked.inner_chance("low end", low))
    top = float(checked.inner_chance("high end", high))
    if bottom >= top:
        raise QuestionError(f"the range {low:g}..{high:g} runs backwards", f"Write {high:g}..{low:g}.")

    def at(failed: float) -> Beta:
        few, many = math.log(_LEAST), math.log(_LARGEST)
        for _ in range(_HALVINGS):
            middle = (few + many) / 2
            if float(beta_quantile(failed, math.exp(middle), HIGH)) > top:
                few = middle
            else:
                many = middle
        return Beta(failed=failed, worked=math.exp(many))

    wide, narrow = math.log(_LEAST), math.log(_LARGEST)
    if not at(_LEAST).between[0] < bottom < at(_LARGEST / 1e3).between[0]:
        raise QuestionError(
            f"{low:g} to {high:g} is no range to work with", "Say one that is neither so wide nor so narrow."
        )
    for _ in range(_HALVINGS):
        middle = (wide + narrow) / 2
        if at(math.exp(middle)).between[0] < bottom:
            wide = middle
        else:
            narrow = middle
    return at(math.exp(narrow))
