"""What do few observations, or none, say about how often something fails?

Symbols: r failures seen, T time watched (unit-hours of all alike parts together), n trials,
alpha the chance to be wrong, confidence = 1 - alpha, all one-sided.
A two-sided 90 % interval is made of two one-sided 95 % bounds.
Rates are constant and trials independent; the time was fixed beforehand, not stopped at a failure.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray, IntArray
from falsework.engines.reliability.functions import beta_quantile, gamma_quantile
from falsework.errors import QuestionError


def rate_at_most(failures: ArrayLike, time: ArrayLike, confidence: ArrayLike) -> FloatArray:
    """The rate that is not exceeded with this confidence: chi2(confidence; 2r + 2) / (2T).

    Without a failure it is -ln(alpha) / T.

    Args:
        failures: r, whole, 0 or more.
        time: T, above 0.
        confidence: strictly between 0 and 1, one-sided.

    Raises:
        QuestionError: out of bounds.

    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, sec. 8.4.5.1.
    """
    r, watched, sure = _seen(failures, time, confidence)
    return np.asarray(gamma_quantile(r + 1, sure) / watched)


def rate_at_least(failures: ArrayLike, time: ArrayLike, confidence: ArrayLike) -> FloatArray:
    """The rate that is reached or exceeded with this confidence: chi2(alpha; 2r) / (2T); 0 without a failure.

    Args:
        failures: as `rate_at_most`.
        time: as `rate_at_most`.
        confidence: as `rate_at_most`.

    Raises:
        QuestionError: out of bounds.

    Source:
        As `rate_at_most`.
    """
    r, watched, sure = _seen(failures, time, confidence)
    return np.where(r > 0, gamma_quantile(np.maximum(r, 1), 1.0 - sure) / watched, 0.0)


def mtbf_at_least(failures: ArrayLike, time: ArrayLike, confidence: ArrayLike) -> FloatArray:
    """The mean time between failures that is reached with this confidence: 2T / chi2(confidence; 2r + 2).

    Without a failure it is T / -ln(alpha).

    Args:
        failures: as `rate_at_most`.
        time: as `rate_at_most`.
        confidence: as `rate_at_most`.

    Raises:
        QuestionError: out of bounds.

    Source:
        As `rate_at_most`.
    """
    return np.asarray(1.0 / rate_at_most(failures, time, confidence))


def chance_at_most(failures: ArrayLike, trials: ArrayLike, confidence: ArrayLike) -> FloatArray:
    """The chance to fail, per trial, that is not exceeded with this confidence; exact (binomial).

    Without a failure it is 1 - alpha^(1/n), which the rule of three, 3/n, stands for at 95 %.

    Args:
        failures: r, from 0 to n.
        trials: n, whole, 1 or more.
        confidence: strictly between 0 and 1, one-sided.

    Raises:
        QuestionError: out of bounds.

    Source:
        C. J. Clopper, E. S. Pearson (1934), Biometrika 26(4).
    """
    r, n, sure = _tried(failures, trials, confidence)
    return np.where(r < n, beta_quantile(r + 1, np.maximum(n - r, 1), sure), 1.0)


def chance_at_least(failures: ArrayLike, trials: ArrayLike, confidence: ArrayLike) -> FloatArray:
    """The chance to fail, per trial, that is reached or exceeded with this confidence; exact; 0 without a failure.

    Args:
        failures: as `chance_at_most`.
        trials: as `chance_at_most`.
        confidence: as `chance_at_most`.

    Raises:
        QuestionError: out of bounds.

    Source:
        As `chance_at_most`.
    """
    r, n, sure = _tried(failures, trials, confidence)
    return np.where(r > 0, beta_quantile(np.maximum(r, 1), n - r + 1, 1.0 - sure), 0.0)


def rule_of_three(trials: ArrayLike, confidence: ArrayLike = 0.95) -> FloatArray:
    """The chance to fail that no failure in n trials leaves possible, by the rule of thumb: -ln(alpha) / n.

    At 95 % the numerator is 3.00. Slightly above the exact `chance_at_most`; of use from n of about 30 on.

    Args:
        trials: n, whole, 1 or more.
        confidence: strictly between 0 and 1.

    Raises:
        QuestionError: out of bounds.

    Source:
        J. A. Hanley, A. Lippman-Hand (1983), If nothing goes wrong, is everything all right?, JAMA 249(13).
    """
    n, sure = (
        checked.count("number of trials", trials, least=1),
        checked.inner_chance("confidence", confidence),
    )
    return np.asarray(-np.log1p(-sure) / n)


def trials_needed(reliability: ArrayLike, confidence: ArrayLike) -> IntArray:
    """How many trials without a failure show a reliability with a confidence: ln(1 - C) / ln R, rounded up.

    Args:
        reliability: R, strictly between 0 and 1.
        confidence: C, strictly between 0 and 1.

    Raises:
        QuestionError: out of bounds.

    Source:
        The success-run rule, from memory; it follows from R^n <= 1 - C.
    """
    good, sure = (
        checked.inner_chance("reliability", reliability),
        checked.inner_chance("confidence", confidence),
    )
    exact = np.log1p(-sure) / np.log(good)
    # A whole number that rounding has lifted a hair must not cost one more trial.
    return np.ceil(exact * (1 - 1e-12)).astype(np.int64)


def longer_than_all(drills: ArrayLike) -> FloatArray:
    """The chance that the next drill takes longer than all n before: 1 / (n + 1).

    Each of the n + 1 is as likely as any other to be the longest, whatever the distribution,
    as long as nothing changes between them (exchangeable, no ties).

    Args:
        drills: n, whole, 0 or more.

    Raises:
        QuestionError: out of bounds.

    Source:
        Elementary: exchangeability.
    """
    return np.asarray(1.0 / (checked.count("number of drills", drills) + 1.0))


def _seen(
    failures: ArrayLike, time: ArrayLike, confidence: ArrayLike
) -> tuple[IntArray, FloatArray, FloatArray]:
    r, watched = checked.count("number of failures", failures), checked.positive("observed time", time)
    sure = checked.inner_chance("confidence", confidence)
    checked.same_shape(failures=r, time=watched, confidence=sure)
    return r, watched, sure


def _tried(
    failures: ArrayLike, trials: ArrayLike, confidence: ArrayLike
) -> tuple[IntArray, IntArray, FloatArray]:
    r, n = checked.count("number of failures", failures), checked.count("number of trials", trials, least=1)
    sure = checked.inner_chance("confidence", confidence)
    checked.same_shape(failures=r, trials=n, confidence=sure)
    if np.any(r > n):
        raise QuestionError(
            "there are more failures than trials", "Give failures of the trials that were made."
        )
    return r, n, sure
