"""Which pairs of parts bring a service down that either alone leaves standing, and what is thin after each loss?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from falsework.analyses.verdicts import Singles, Verdict, data_of, single_verdicts
from falsework.engines.gates import BoolArray
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
        found: the engine's answer; leaves are parts, the first watched rows are services, then data sets.
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
    watched = [*range(count, 2 * count), *(2 * count + row for row in _data_rows(standing).values())]
    found = pairs(graph, watched, progress=progress)
    leaves = len(graph.leaf_names)
    return PairLosses(
        parts=graph.leaf_names,
        services=standing.support.services,
        falls=tuple(int(each) for each in found.false_pairs[:count]),
        only_together=tuple(int(each) for each in found.new_pairs[:count]),
        n_pairs=leaves * (leaves - 1) // 2,
        found=found,
    )


def singles(standing: Standing, together: PairLosses) -> Singles:
    """Every single loss, with `thin` where one more part would then bring a service down that it alone does not."""
    parts = standing.parts
    verdicts = single_verdicts(standing, parts)
    column = {part: number for number, part in enumerate(parts)}
    thin = np.zeros(verdicts.shape, dtype=np.bool_)
    thin[:, [column[part] for part in together.parts]] = _thin(standing, together.found)
    verdicts[(verdicts == Verdict.STANDS) & thin] = Verdict.THIN
    return Singles(parts=parts, services=standing.support.services, verdicts=verdicts)


def _thin(standing: Standing, found: Pairs) -> BoolArray:
    """Bool (n_services, n_leaves): after this loss one more, harmless to the service alone, is too much."""
    services = standing.support.services
    place = {name: len(services) + at for at, name in enumerate(_data_rows(standing))}
    owned = data_of(standing)
    thin = np.zeros((len(services), len(found.classes)), dtype=np.bool_)
    for number, service in enumerate(services):
        rows = [number, *(place[name] for name in owned.get(service, ()) if name in place)]
        harmless: BoolArray = np.logical_and.reduce(found.classes.stands[rows], axis=0)
        for row in rows:
            a, b = found.together(row)
            thin[number, a[harmless[b]]] = True
            thin[number, b[harmless[a]]] = True
    return thin[:, found.classes.of_leaf]


def _data_rows(standing: Standing) -> Mapping[str, int]:
    """Where each data set that is there to be lost stands among the keepings."""
    return {
        name: row
        for row, name in enumerate(standing.support.keepings)
        if name.startswith("kept:") and standing.baseline.kept(name)
    }
