"""Does something happen more often, or less, than it did before?

Counts of two stretches are compared by the exact test that conditions on their sum: if both come from Poisson
processes of one rate, the count of one stretch is binomial given the sum, with the share of that stretch in the time
of both (J. Przyborowski and H. Wilenski, 1940, Homogeneity of results in testing samples from Poisson series,
Biometrika 31, 313-323). Nothing is assumed about the rate.
"""

from __future__ import annotations

import math

_SMALL = 1e-17


def at_least(count: int, stretch_s: float, before: int, before_s: float) -> float:
    """The chance of so many or more in a stretch, if the rate is what it was.

    Args:
        count: in the stretch.
        stretch_s: its length, above 0.
        before: in the stretch that it is compared with.
        before_s: the length of that, above 0.
    """
    share = stretch_s / (stretch_s + before_s)
    return _tail(count, count + before, share)


def at_most(count: int, stretch_s: float, before: int, before_s: float) -> float:
    """The chance of so few or fewer; arguments as of `at_least`."""
    share = before_s / (stretch_s + before_s)
    return _tail(before, count + before, share)


def _tail(least: int, trials: int, share: float) -> float:
    """P(X >= least) where X is binomial; the sum is taken from its largest term, where it falls fastest."""
    if least <= 0:
        return 1.0
    if least <= trials * share:
        # The other tail is the shorter sum, and no difference of near numbers as that tail is not near 1.
        return 1.0 - _sum(least - 1, trials, share, down=True)
    return _sum(least, trials, share, down=False)


def _sum(start: int, trials: int, share: float, *, down: bool) -> float:
    log_first = (
        math.lgamma(trials + 1)
        - math.lgamma(start + 1)
        - math.lgamma(trials - start + 1)
        + start * math.log(share)
        + (trials - start) * math.log1p(-share)
    )
    odds = share / (1 - share)
    term = total = 1.0
    at = start
    while True:
        if down:
            if at == 0:
                break
            term *= at / ((trials - at + 1) * odds)
            at -= 1
        else:
            if at == trials:
                break
            term *= (trials - at) * odds / (at + 1)
            at += 1
        total += term
        if term < _SMALL * total:
            break
    return min(math.exp(log_first) * total, 1.0)
