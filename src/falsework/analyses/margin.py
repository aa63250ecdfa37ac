"""How little has to be lost until this thing falls?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from falsework.analyses.verdicts import Verdict, single_verdicts
from falsework.engines.pairs import pairs
from falsework.support.standing import Standing

_INSIDE = frozenset(("supply", "card", "cable", "controller", "drive"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """How much one thing can lose.

    Attributes:
        thing: its id.
        stands: whether it stands, or can come back, with nothing lost.
        singles: other parts each of which brings it down alone; what one would pull comes before what sits inside.
        pairs: some pairs that bring it down only together, one for each sort of pair.
        n_pairs: how many such pairs there are in all.
    """

    thing: str
    stands: bool
    singles: tuple[str, ...]
    pairs: tuple[tuple[str, str], ...]
    n_pairs: int

    @property
    def least(self) -> int | None:
        """The fewest parts whose loss brings it down; 0 if it is down as it is, None if more than two."""
        if not self.stands:
            return 0
        return 1 if self.singles else 2 if self.n_pairs else None


def margin(
    standing: Standing, thing: str, *, most: int = 10, progress: Callable[[int, int], None] | None = None
) -> Margin:
    """The single points and pairs of any thing of the support graph.

    Args:
        standing: the lab, with what is out beforehand.
        thing: an id of the support graph.
        most: pairs named; all are counted.
        progress: called with how much of how much is done.

    Returns:
        Falling counts, and for a service the loss of its data by a single part; blinking does not.
        Of a thing that does not stand as it is nothing more is told.
    """
    if not standing.baseline.back(thing):
        return Margin(thing=thing, stands=False, singles=(), pairs=(), n_pairs=0)
    found = pairs(standing.gates.graph, (standing.gates.back[thing],), progress=progress)
    names = standing.gates.graph.leaf_names
    falls = {names[leaf] for leaf in np.flatnonzero(~found.classes.stands[0, found.classes.of_leaf])}
    if thing in standing.support.services:
        row = standing.support.services.index(thing)
        verdicts = single_verdicts(standing, standing.parts)[row]
        falls |= {
            part for part, verdict in zip(standing.parts, verdicts, strict=True) if verdict >= Verdict.FALLS
        }
    first = found.classes.representative
    left, right = found.together(0)
    together = tuple(
        (names[first[one]], names[first[other]])
        for one, other in zip(left[:most].tolist(), right[:most].tolist(), strict=True)
    )
    return Margin(
        thing=thing,
        stands=True,
        singles=_outside_first(standing, falls - {thing}),
        pairs=together,
        n_pairs=int(found.new_pairs[0]),
    )


def margins_left(
    standing: Standing, lost: tuple[str, ...], *, then: Standing | None = None
) -> tuple[Margin, ...]:
    """For each service that outlives a loss, the parts that would now bring it down and would not have before.

    Pairs are not looked at. Services without such a part are left out.

    Args:
        standing: the lab.
        lost: parts.
        then: the lab with these out too, where somebody has it.
    """
    then = then or Standing(standing.lab, out=[*standing.out, *lost])
    parts = then.parts
    before = single_verdicts(standing, parts)
    after = single_verdicts(then, parts)
    found = []
    for row, service in enumerate(standing.support.services):
        if not then.baseline.back(service):
            continue
        new = {
            parts[column]
            for column in np.flatnonzero((after[row] >= Verdict.FALLS) & (before[row] < Verdict.FALLS))
        }
        if new:
            found.append(
                Margin(thing=service, stands=True, singles=_outside_first(standing, new), pairs=(), n_pairs=0)
            )
    return tuple(found)


def _outside_first(standing: Standing, parts: set[str]) -> tuple[str, ...]:
    """Parts in lab order, those that sit inside another or join two last."""
    things = standing.support.things
    order = {part: number for number, part in enumerate(standing.support.parts)}
    return tuple(sorted(parts, key=lambda part: (things[part].word in _INSIDE, order[part])))
