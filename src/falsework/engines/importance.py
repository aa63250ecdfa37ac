"""How much does each event matter to the top event?

Pure functions of the probability of the top event, P, of the same given that an event happens, P1, and given
that it does not, P0, and of the event's own probability q. The events are independent; P = q P1 + (1 - q) P0.

Shapes: P is (n_columns,); P1, P0 and q are (n_events, n_columns), or all without columns; results are shaped as q.

Where a quotient has no value it is not made up: 0 / 0 is nan, as when the top event can't happen; anything else
divided by 0 is inf. Some published tables print 0 for the latter.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def birnbaum(given: Floats, given_not: Floats) -> Floats:
    """Return P1 - P0: how much the top event's probability changes with the event's.

    It is dP/dq, and for a coherent tree the probability that the event decides.

    Source:
        Z. W. Birnbaum (1969), "On the importance of different components in a multicomponent system",
        Multivariate Analysis II.
    """
    return given - given_not


def criticality(top: Floats, given: Floats, given_not: Floats, q: Floats) -> Floats:
    """Return q (P1 - P0) / P: the probability that the event happened and decided, given the top event.

    It equals (P - P0) / P, the share of P that goes when the event can't happen; some call this Fussell-Vesely.

    Source:
        H. E. Lambert (1975), "Measures of importance of events and cut sets in fault trees", Reliability and
        Fault Tree Analysis, SIAM.
    """
    return _quotient(q * birnbaum(given, given_not), top)


def diagnosis(top: Floats, given: Floats, q: Floats) -> Floats:
    """Return q P1 / P, which is P(event | top): how often the event will be found to have happened.

    One of two usages of "Fussell-Vesely"; the other is `fussell_vesely`.

    Source:
        Bayes' rule; W. E. Vesely et al. (2002), Fault Tree Handbook with Aerospace Applications, section 7,
        there "diagnostic".
    """
    return _quotient(q * given, top)


def fussell_vesely(top: Floats, through: Floats) -> Floats:
    """Return P(some minimal cut set that holds the event happens) / P, for coherent trees.

    Args:
        top: P.
        through: shaped as q, the probability that at least one minimal cut set that holds the event happens.

    Returns:
        Never below `criticality`, as an event that happened and decided completes a cut set, and never above
        `diagnosis`, as a cut set that holds the event holds it happening.

    Source:
        J. B. Fussell (1975), "How to hand-calculate system reliability and safety characteristics", IEEE
        Transactions on Reliability R-24(3), 169-174.
    """
    return _quotient(through, top)


def achievement_worth(top: Floats, given: Floats) -> Floats:
    """Return P1 / P (RAW): how many times likelier the top event is once the event has happened.

    Source:
        W. E. Vesely et al. (1983), Measures of Risk Importance and Their Applications, NUREG/CR-3385.
    """
    return _quotient(given, top)


def reduction_worth(top: Floats, given_not: Floats) -> Floats:
    """Return P / P0 (RRW): how many times likelier the top event is than if the event could not happen.

    inf where the top event can't happen without the event.

    Source:
        W. E. Vesely et al. (1983), Measures of Risk Importance and Their Applications, NUREG/CR-3385.
    """
    return _quotient(np.broadcast_to(top, given_not.shape), given_not)


def differential(given: Floats, given_not: Floats, q: Floats, *, in_proportion: bool = True) -> Floats:
    """Return the share of each event in the change of P when all q change together.

    Args:
        given: P1.
        given_not: P0.
        q: of each event.
        in_proportion: every q changes by the same percentage; else by the same amount.

    Returns:
        Shares that sum to 1 over the events, so that those of a group of events may be added up.

    Source:
        E. Borgonovo, G. E. Apostolakis (2001), "A new importance measure for risk-informed decision making",
        Reliability Engineering and System Safety 72(2), 193-212: hypotheses H2 and H1.
    """
    change = birnbaum(given, given_not) * (q if in_proportion else 1.0)
    return _quotient(change, change.sum(axis=0))


def _quotient(above: Floats, below: Floats) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.divide(above, below)
