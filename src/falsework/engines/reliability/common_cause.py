"""What does it do to a group of alike parts that some faults take several of them at once?

Symbols: q chance that one part is down, or rate at which it fails (the total), beta the share of it that comes from
causes that take the whole group, m parts in the group.
The share is a judgement, rarely a measurement: two alike drives of one batch share more than two unlike ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import comb

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.alternating import at_least
from falsework.engines.reliability.checked import FloatArray
from falsework.errors import QuestionError


def split(rate: ArrayLike, beta: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """What takes one part alone, and what takes all: ((1 - beta) L, beta L).

    Args:
        rate: of one part, all causes; 0 or more.
        beta: 0 to 1.

    Raises:
        QuestionError: out of bounds.

    Source:
        K. N. Fleming (1974), A reliability model for common mode failures in redundant safety systems.
    """
    total, share = checked.not_negative("rate", rate), checked.chance("beta", beta)
    checked.same_shape(rate=total, beta=share)
    return np.asarray((1 - share) * total), np.asarray(share * total)


def pair(unavailability: ArrayLike, beta: ArrayLike) -> FloatArray:
    """The chance that both of a pair are down, the usual way: beta q + ((1 - beta) q)^2.

    A sum of two chances (rare events): slightly above `group`, by their overlap.

    Args:
        unavailability: q of one part, all causes, 0 to 1.
        beta: 0 to 1.

    Raises:
        QuestionError: out of bounds.

    Source:
        Beta-factor form of the trade, for example IEC 61508-6:2010, Annex D.
    """
    alone, shared = split(checked.chance("unavailability", unavailability), beta)
    return np.asarray(shared + alone**2)


def group(down: int, m: int, unavailability: ArrayLike, beta: ArrayLike) -> FloatArray:
    """The chance that at least so many of m alike parts are down: 1 - (1 - beta q)(1 - P), exactly under the model.

    P is the chance for independent parts with (1 - beta) q each.

    Args:
        down: 1 to m.
        m: parts in the group.
        unavailability: q of one part, all causes, 0 to 1.
        beta: 0 to 1.

    Raises:
        QuestionError: out of bounds.
    """
    checked.count("number down", down, least=1)
    alone, shared = split(checked.chance("unavailability", unavailability), beta)
    independent = at_least(down, m, alone)
    # a + b - ab keeps the digits of small chances, 1 - (1 - a)(1 - b) does not.
    return np.asarray(shared + independent - shared * independent)


def greek_letters(total: ArrayLike, letters: Sequence[float]) -> FloatArray:
    """The chances of the faults that take exactly 1, 2, ... m given parts, by the multiple Greek letter model.

    Q_k = 1 / C(m-1, k-1) x (product of r_1 to r_k) x (1 - r_(k+1)) x Q, with r_1 = 1, r_2 = beta, r_3 = gamma, ...,
    r_(m+1) = 0: beta is the share of a part's faults that take at least one more, gamma the share of those that take
    at least two more, and so on. One letter alone in a group of two is the beta factor.

    Args:
        total: Q of one part, chance or rate; any shape.
        letters: beta, gamma, ...; m - 1 of them, each 0 to 1.

    Returns:
        (m, ...): row k - 1 is Q_k, of one particular set of k parts.

    Raises:
        QuestionError: out of bounds, or no letter.

    Source:
        NUREG/CR-4780 (1988), Procedures for treating common cause failures, vol. 1 (from memory).
    """
    whole = checked.not_negative("total", total)
    if not len(letters):
        raise QuestionError("no letter is given", "Give at least beta.")
    ratios = [1.0, *checked.chance("letter", letters).tolist(), 0.0]
    m = len(letters) + 1
    reached = np.cumprod(ratios[:m])
    shares = [reached[k - 1] * (1 - ratios[k]) / comb(m - 1, k - 1) for k in range(1, m + 1)]
    return np.asarray(np.multiply.outer(np.array(shares), whole))
