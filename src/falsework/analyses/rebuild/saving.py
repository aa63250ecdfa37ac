"""What is the least that must be saved so that all data and keys can be read again?"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from falsework.analyses.rebuild.knowing import Wants, readable

MOST_NODES = 20_000
"""Branches that are looked at before the best list so far is taken without proof."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortest:
    """The shortest list.

    Attributes:
        of: data and keys to save, in the order of `wants`.
        proven: whether no list has fewer bytes, or as many bytes and fewer things.
    """

    of: tuple[str, ...]
    proven: bool


def shortest(wants: Wants, goals: Collection[str], sizes: Mapping[str, float]) -> Shortest:
    """The data and keys to save: fewest bytes, then fewest things.

    What nothing else brings back has to be on every list and is put there first, again and again; the rest is
    searched by taking or leaving one after the other, and left where it can't be shorter than the best so far
    or where the goals can't be reached any more.

    Args:
        wants: how each may be got at, nothing saved.
        goals: what must be read in the end; other names of `wants` may be saved if that helps.
        sizes: bytes by name; what is not in it takes none.

    Cost:
        One fixed point a branch; exponential in what is not forced, which is little in labs.
    """
    names = tuple(wants.ways)
    search = _Search(wants, frozenset(goals), sizes)
    base = readable(wants)
    left = [name for name in names if name not in base]
    # Save greedily for a first bound: everything, then drop what is not needed, the largest first.
    first = set(left)
    for name in sorted(left, key=lambda each: (-sizes.get(each, 0.0), names.index(each))):
        if search.reaches(first - {name}):
            first.discard(name)
    search.best, search.weight = frozenset(first), search.weighs(first)
    search.branch(
        frozenset(), tuple(sorted(left, key=lambda each: (-sizes.get(each, 0.0), names.index(each))))
    )
    return Shortest(
        of=tuple(name for name in names if name in search.best), proven=search.nodes <= MOST_NODES
    )


class _Search:
    def __init__(self, wants: Wants, goals: frozenset[str], sizes: Mapping[str, float]) -> None:
        self.wants, self.goals, self.sizes = wants, goals, sizes
        self.best: frozenset[str] = frozenset()
        self.weight = (0.0, 0)
        self.nodes = 0

    def weighs(self, names: Collection[str]) -> tuple[float, int]:
        return sum(self.sizes.get(name, 0.0) for name in names), len(names)

    def reaches(self, given: Collection[str]) -> bool:
        return self.goals <= readable(self.wants, given)

    def branch(self, taken: frozenset[str], open_: tuple[str, ...]) -> None:
        """Look at all lists that hold `taken` and more of `open_`."""
        self.nodes += 1
        if self.nodes > MOST_NODES or self.weighs(taken) >= self.weight:
            return
        there = readable(self.wants, taken)
        if self.goals <= there:
            self.best, self.weight = taken, self.weighs(taken)
            return
        open_ = tuple(name for name in open_ if name not in there)
        forced = {name for name in open_ if not self.reaches({*taken, *open_} - {name})}
        if forced:
            self.branch(taken | forced, tuple(name for name in open_ if name not in forced))
            return
        if not open_:
            return
        # Leaving the largest comes first: lists without it are the shorter ones.
        self.branch(taken, open_[1:])
        self.branch(taken | {open_[0]}, open_[1:])
