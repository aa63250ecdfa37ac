"""Which pairs of parts bring a service down that either alone leaves standing, and what is thin after each loss?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from falsework.analyses.verdicts import Singles, Verdict, single_verdicts
from falsework.engines.pairs import Pairs, pairs
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PairLosses:
    """Every pair of parts, exactly.

    Attributes:
        parts, services: ids.
        falls: for each service, how many of all pairs of parts make it fall.
        only_together: for each service, how many of those pairs do so though neither part alone does.
        n_pairs: how many pairs there are.
        found: the engine's answer; leaves are parts, watched rows are services.
    """

    parts: tuple[str, ...]
    services: tuple[str, ...]
    falls: tuple[int, ...]
    only_together: tuple[int, ...]
    n_pairs: int
    found: Pairs

    def together(self, service: str, most: int = 10) -> Iterator[tuple[str, str]]:
        """Pairs that bring a service down only together, one for each pair of kinds of part, in lab order."""
        first = self.found.classes.representative
        a, b = self.found.together(self.services.index(service))
        for left, right in zip(a[:most].tolist(), b[:most].tolist(), strict=True):
            yield self.parts[first[left]], self.parts[first[right]]


def all_pairs(standing: Standing, *, progress: Callable[[int, int], None] | None = None) -> PairLosses:
    """What losing any two parts does to each service.

    Args:
        standing: the lab.
        progress: called with how much of how much is done.
    """
    graph = standing.gates.services
    count = len(standing.support.services)
    found = pairs(graph, range(count, 2 * count), progress=progress)
    leaves = len(graph.leaf_names)
    return PairLosses(
        parts=graph.leaf_names,
        services=standing.support.services,
        falls=tuple(int(each) for each in found.false_pairs),
        only_together=tuple(int(each) for each in found.new_pairs),
        n_pairs=leaves * (leaves - 1) // 2,
        found=found,
    )


def singles(standing: Standing, together: PairLosses) -> Singles:
    """Every single loss, with `thin` where one more part would then bring a service down that it alone does not."""
    parts = standing.parts
    verdicts = single_verdicts(standing, parts)
    column = {part: number for number, part in enumerate(parts)}
    thin = np.zeros(verdicts.shape, dtype=np.bool_)
    thin[:, [column[part] for part in together.parts]] = together.found.thin()[
        :, together.found.classes.of_leaf
    ]
    verdicts[(verdicts == Verdict.STANDS) & thin] = Verdict.THIN
    return Singles(parts=parts, services=standing.support.services, verdicts=verdicts)
