"""Which assumption does a result hang on most?"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from falsework.analyses.odds.result import Hangs
from falsework.analyses.odds.sources import Floats, Opinion

LEAST = 0.02
"""What explains less of the spread than this is not told: a few hundred draws can't tell it from nothing."""


def hanging(opinions: Sequence[Opinion], result: Floats) -> tuple[Hangs, ...]:
    """The opinions that a result hangs on, most first.

    Args:
        opinions: with their draws.
        result: (n_columns,) the result for each draw, column 0 apart.

    Returns:
        Squared rank correlation of each opinion with the result (C. Spearman 1904), for those that are ranges:
        about the share of the spread that would go if that one figure were known.
    """
    if len(result) < 3 or np.ptp(result[1:]) == 0:
        return ()
    told = _ranks(result[1:])
    found = []
    for opinion in opinions:
        if np.ptp(opinion.values[1:]) == 0:
            continue
        share = float(np.corrcoef(_ranks(opinion.values[1:]), told)[0, 1] ** 2)
        if share >= LEAST:
            found.append(
                Hangs(of=opinion.of, names=opinion.names, key=opinion.key, said=opinion.said, share=share)
            )
    return tuple(sorted(found, key=lambda each: (-each.share, each.of)))


def _ranks(values: Floats) -> Floats:
    ranks = np.empty(len(values))
    ranks[np.argsort(values, kind="stable")] = np.arange(len(values))
    return ranks
