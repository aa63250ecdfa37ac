"""In what proportion is time spent in the states of a chain, to full relative precision?"""

from __future__ import annotations

import numpy as np

from falsework.engines.reliability.checked import FloatArray


def eliminated(rates: FloatArray) -> FloatArray:
    """Shares of an irreducible chain, not yet made to add up to one, state by state taken out; never subtracts.

    Args:
        rates: (n, n) between states; the diagonal is not read.

    Returns:
        (n,) the time in each state, in some unit of time.

    Source:
        W. K. Grassmann, M. I. Taksar, D. P. Heyman (1985), Operations Research 33(5).

    Cost:
        O(n^3).
    """
    a = rates.copy()
    n = len(a)
    leaving = np.zeros(n)
    for k in range(n - 1, 0, -1):
        leaving[k] = a[k, :k].sum()
        # What goes through k goes on from it as k's rates are shared out.
        a[:k, :k] += np.outer(a[:k, k] / leaving[k], a[k, :k])
    found = np.zeros(n)
    found[0] = 1.0
    for k in range(1, n):
        found[k] = found[:k] @ a[:k, k] / leaving[k]
        if found[k] > 1e100:  # a long chain may run away from state 0
            found[: k + 1] /= found[k]
    return found
