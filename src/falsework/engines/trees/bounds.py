"""What do minimal cut sets alone say about the probability of the top event?"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from falsework.engines.trees.engine import Floats


def rare_event_sum(cut_sets: Iterable[frozenset[int]], q: Floats) -> Floats:
    """Return (n_columns,) the sum of the cut sets' probabilities; it may exceed 1.

    Args:
        cut_sets: minimal cut sets of a coherent tree.
        q: (n_events, n_columns), independent events.

    Returns:
        Never below the probability of the top event (Boole's inequality), and close to it while that is small.

    Source:
        W. E. Vesely et al. (1981), Fault Tree Handbook, NUREG-0492, section XI.
    """
    return np.array([math.fsum(column) for column in _products(cut_sets, q).T], dtype=np.float64)


def min_cut_upper_bound(cut_sets: Iterable[frozenset[int]], q: Floats) -> Floats:
    """Return (n_columns,) 1 - product over cut sets of (1 - its probability).

    Args:
        cut_sets: minimal cut sets of a coherent tree.
        q: (n_events, n_columns), independent events.

    Returns:
        Never below the probability of the top event, never above the rare-event sum or 1; exact when no two
        cut sets share an event.

    Source:
        J. D. Esary, F. Proschan (1963), "Coherent structures of non-identical components", Technometrics 5(2),
        191-209.
    """
    with np.errstate(divide="ignore"):  # a cut set that is certain makes the bound 1
        logs = np.log1p(-_products(cut_sets, q))
    bound: Floats = -np.expm1(logs.sum(axis=0))
    return bound


def _products(cut_sets: Iterable[frozenset[int]], q: Floats) -> Floats:
    rows = [np.prod(q[sorted(cut_set)], axis=0) for cut_set in cut_sets]
    return np.array(rows, dtype=np.float64).reshape(-1, q.shape[1])
