"""Which smallest sets of parts stop a service?"""

from __future__ import annotations

from falsework.analyses.odds.result import CutSets
from falsework.analyses.odds.solved import Solved
from falsework.analyses.odds.sources import Sources


def cut_sets(sources: Sources, solved: Solved, *, listed: int) -> CutSets:
    """The likeliest cut sets of a service, how many there are, and a bound on the rest."""
    return CutSets(listed=(), total=None, by_order=(), rest=0.0)
