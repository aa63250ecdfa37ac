"""Which sets of independent events are likely enough to look at, and how much do all the others weigh?

Events happen each by itself, event i with odds o_i = p_i / (1 - p_i).
A set S of them happens, and nothing else does, with the chance P0 * prod(o_i for i in S), P0 = prod(1 - p_i).
All sets with a product of at least some threshold are found size by size: with the odds falling, a set goes on
with the events behind its last one for as long as the product stays above.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.sparse import Ints, Lists

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_STEP = 8.0  # by which the threshold falls from one try to the next
_LEAST = 1e-30  # odds of a set that nobody will ever ask about


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sets:
    """The likeliest sets of events.

    Attributes:
        members: by set, the events in it, ascending; the empty set comes first.
        odds: (n_sets,) against the empty set.
        whole: whether these are all sets there are.
    """

    members: Lists
    odds: Floats
    whole: bool


def likely_sets(odds: Floats, *, most: int) -> Sets:
    """As many of the likeliest sets as `most` allows; all that are as likely as the least likely one found.

    Args:
        odds: (n,) of each event, above 0.
        most: how many sets at most; at least 1 + n are found anyway, the empty one and the single ones.
    """
    n = len(odds)
    if n < 60 and 1 << n <= most:
        return _sets(odds, _levels(odds, 0.0, 1 << n) or [], whole=True)
    found: list[Ints] = [np.zeros((1, 0), dtype=np.int64)]
    threshold = float(odds.max(initial=1.0))
    while threshold > _LEAST:
        threshold /= _STEP
        tried = _levels(odds, threshold, most)
        if tried is None:
            break
        found = tried
    # The single ones are always there, however unlikely some are.
    return _sets(odds, [found[0], np.arange(n)[:, np.newaxis], *found[2:]], whole=False)


def _levels(odds: Floats, threshold: float, most: int) -> list[Ints] | None:
    """All sets of at least these odds, an array (n_sets, size) by size; None if they are more than `most`."""
    order = np.argsort(-odds, kind="stable")
    ranked = odds[order]
    falling = -ranked
    level: Ints = np.zeros((1, 0), dtype=np.int64)
    weight: Floats = np.ones(1)
    found = [level]
    total = 1
    while len(level):
        after = level[:, -1] + 1 if level.shape[1] else np.zeros(1, dtype=np.int64)
        # How far down the row the odds are still enough: they fall, so a search tells.
        with np.errstate(divide="ignore"):
            enough = np.searchsorted(falling, -threshold / weight, side="right")
        counts = np.maximum(enough - after, 0)
        total += int(counts.sum())
        if total > most:
            return None
        which = np.repeat(np.arange(len(level)), counts)
        starts = np.cumsum(counts) - counts
        added = np.arange(len(which)) - starts[which] + after[which]
        level = np.concatenate((level[which], added[:, np.newaxis]), axis=1)
        weight = weight[which] * ranked[added]
        if len(level):
            found.append(level)
    return [np.sort(order[each], axis=1) if each.shape[1] else each for each in found]


def _sets(odds: Floats, levels: list[Ints], *, whole: bool) -> Sets:
    sizes = np.concatenate([np.full(len(each), each.shape[1], dtype=np.int64) for each in levels])
    items = np.concatenate([each.reshape(-1) for each in levels])
    members = Lists(indptr=np.concatenate(([0], np.cumsum(sizes))), items=items)
    weights = np.concatenate([odds[each].prod(axis=1) for each in levels])
    return Sets(members=members, odds=weights, whole=whole)


def all_odds(odds: Floats) -> float:
    """The odds of all sets together, the empty one with odds of 1 among them: prod(1 + o_i)."""
    return float(np.exp(np.log1p(odds).sum()))


def left_out(sets: Sets, odds: Floats, harmful: Bools, factor: float) -> float:
    """What all the sets that were not found weigh at the most, where a set with a harmful event counts less.

    Args:
        sets: those found.
        odds: (n,) of each event.
        harmful: bool (n,), events with which a set's weight is multiplied by no more than `factor`.
        factor: 0 to 1.

    Returns:
        A bound on the sum of odds times weight, a weight being at most 1.
    """
    if sets.whole:
        return 0.0
    spoiled = np.zeros(len(sets.odds), dtype=np.bool_)
    which = np.repeat(np.arange(len(sets.members)), sets.members.sizes)
    spoiled[which[harmful[sets.members.items]]] = True
    clean = max(all_odds(odds[~harmful]) - float(sets.odds[~spoiled].sum()), 0.0)
    rest = max(all_odds(odds) - float(sets.odds.sum()) - clean, 0.0)
    return clean + factor * rest
