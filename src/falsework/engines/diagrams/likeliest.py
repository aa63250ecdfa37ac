"""Which of very many cut sets are the likeliest, found without listing the others?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush

from falsework.engines.diagrams.sets import NONE, UNIT, Sets

Chosen = tuple[int, ...]


def likeliest(sets: Sets, chance: Sequence[float]) -> Iterator[tuple[Chosen, float]]:
    """Every set with its chance, likeliest first; ties in the order of their variables.

    Best-first search: a half-made set is taken up in the order of the best that can still become of it
    (P. E. Hart, N. J. Nilsson, B. Raphael 1968, "A formal basis for the heuristic determination of minimum cost
    paths", IEEE Transactions on Systems Science and Cybernetics 4(2)). A variable that stands for a family of its
    own is one set of that family, chosen on the way.

    Args:
        sets: the sets.
        chance: (n_variables,) of each variable by its number; those of families do not count.

    Yields:
        The numbers of the variables, rising, and the product of their chances; sets with no chance are left out.
    """
    p = [
        chance[variable] if inside < 0 else 0.0
        for variable, inside in zip(sets.variable, sets.inside, strict=True)
    ]
    best = [0.0, 1.0]
    for node in range(UNIT + 1, sets.n_nodes):
        level = sets.level[node]
        inside = sets.inside[level]
        # A family's nodes were made before those of what leans on it.
        step = best[inside] if inside >= 0 else p[level]
        best.append(max(best[sets.low[node]], step * best[sets.high[node]]))

    # What is to be chosen still: a node, and the nodes that follow once it has come to its end.
    waiting: list[tuple[float, Chosen, tuple[int, ...], float]] = []

    def put(nodes: tuple[int, ...], chosen: Chosen, so_far: float) -> None:
        bound = so_far
        for node in nodes:
            bound *= best[node]
        if NONE not in nodes and bound > 0:
            heappush(waiting, (-bound, chosen, nodes, so_far))

    put((sets.root,), (), 1.0)
    while waiting:
        _, chosen, nodes, so_far = heappop(waiting)
        while nodes and nodes[-1] == UNIT:
            nodes = nodes[:-1]
        if not nodes:
            yield tuple(sorted(chosen)), so_far
            continue
        *rest, node = nodes
        level = sets.level[node]
        inside = sets.inside[level]
        put((*rest, sets.low[node]), chosen, so_far)
        if inside >= 0:
            put((*rest, sets.high[node], inside), chosen, so_far)
        else:
            put((*rest, sets.high[node]), (*chosen, sets.variable[level]), so_far * p[level])
