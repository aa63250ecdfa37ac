"""How sure is a mean drawn from runs, and is that sure enough?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from falsework.engines.renewal.hours import Floats

SURE_95 = 1.959964
"""Of normally distributed values 95 % lie within so many standard deviations of the mean."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mean:
    """A mean and how sure it is.

    Attributes:
        value: the mean.
        error: its standard error; infinite with fewer than two runs.
    """

    value: float
    error: float

    @property
    def low(self) -> float:
        """The lower end of the 95 % interval."""
        return self.value - SURE_95 * self.error

    @property
    def high(self) -> float:
        """The upper end of the 95 % interval."""
        return self.value + SURE_95 * self.error

    @property
    def off(self) -> float:
        """Half the width of the 95 % interval over the mean; 0 where the mean is 0 and never varied."""
        if self.value == 0.0:
            return 0.0 if self.error == 0.0 else math.inf
        return SURE_95 * self.error / abs(self.value)


def mean(by_run: Floats) -> Mean:
    """The mean over runs, which do not know of each other; years of one run do, so they are no samples.

    Args:
        by_run: (n_runs,) one figure a run.
    """
    n = len(by_run)
    error = float(np.std(by_run, ddof=1) / math.sqrt(n)) if n > 1 else math.inf
    return Mean(value=float(np.mean(by_run)) if n else 0.0, error=error)
