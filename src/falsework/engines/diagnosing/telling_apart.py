"""Which fewest questions tell every one of some cases apart from every other?

A question splits the cases in two. Each pair of cases wants one of the questions that split it: a cover
(`falsework.engines.covering`), exact where the pairs are not too many. Else the question that splits most pairs is
taken, again and again; no fewer than log2 of the cases that are together can ever do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.covering import cover
from falsework.engines.sparse import Ints

Bools = NDArray[np.bool_]
MOST_PAIRS = 6_000
"""Pairs of cases up to which the fewest questions are looked for exactly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """Questions that tell cases apart as far as any can.

    Attributes:
        chosen: numbers of the questions, those that are asked anyway left out; ascending.
        least: fewer than this would not do.
    """

    chosen: tuple[int, ...]
    least: int

    @property
    def fewest(self) -> bool:
        """Whether no fewer would do."""
        return len(self.chosen) == self.least


def tell_apart(
    answers: Bools, costs: Sequence[int], *, asked: Sequence[int], wanted: Bools, seconds: float = 10.0
) -> Apart:
    """The fewest further questions after which every pair is told apart that any question tells apart.

    Args:
        answers: bool (n_questions, n_cases); the first case is the one that all others are told from.
        costs: of each question; of as few questions the cheapest are taken.
        asked: numbers of questions that are asked anyway.
        wanted: bool (n_cases,), cases to be told from each other; the others only from the first.
        seconds: about how long may be searched.
    """
    before = _blocks(answers[list(asked)])
    one, other = _pairs(before, wanted)
    splits = answers[:, one] != answers[:, other]
    possible = splits.any(axis=0)
    if not possible.any():
        return Apart(chosen=(), least=0)
    if int(possible.sum()) <= MOST_PAIRS:
        splits = splits[:, possible]
        sets = [np.flatnonzero(row).tolist() for row in splits]
        found = cover(sets, costs, seconds=seconds)
        useful = tuple(number for number in found.chosen if sets[number])
        return Apart(chosen=useful, least=min(found.least, len(useful)))
    chosen = _greedy(answers, costs, before, wanted)
    # Cases that nothing tells apart count as one.
    mine = wanted | (np.arange(len(wanted)) == 0)
    kinds = np.unique(np.stack((before, _blocks(answers)))[:, mine], axis=1)
    largest = int(np.bincount(kinds[0]).max())
    return Apart(chosen=tuple(sorted(chosen)), least=max(math.ceil(math.log2(largest)), 1))


def _blocks(answers: Bools) -> Ints:
    """The block of each case: cases with the same answers are in one."""
    if not len(answers):
        return np.zeros(answers.shape[1], dtype=np.int64)
    _, found = np.unique(answers.T, axis=0, return_inverse=True)
    return np.asarray(found, dtype=np.int64).reshape(-1)


def _pairs(block: Ints, wanted: Bools) -> tuple[Ints, Ints]:
    """The pairs of cases of one block that are to be told apart."""
    mine = np.flatnonzero(wanted | (np.arange(len(wanted)) == 0))
    one, other = (mine[each] for each in np.triu_indices(len(mine), k=1))
    seen = np.flatnonzero(~wanted[1:]) + 1  # only from the first
    one = np.concatenate((one, np.zeros(len(seen), dtype=np.int64)))
    other = np.concatenate((other, seen))
    together = block[one] == block[other]
    return one[together], other[together]


def _greedy(answers: Bools, costs: Sequence[int], block: Ints, wanted: Bools) -> list[int]:
    """The question that splits most pairs, again and again."""
    chosen: list[int] = []
    wanted = wanted.copy()
    wanted[0] = True
    cost = np.array(costs)
    while True:
        n_blocks = int(block.max()) + 1
        total = np.bincount(block[wanted], minlength=n_blocks)
        gains = np.empty(len(answers), dtype=np.int64)
        for number, row in enumerate(answers):
            yes = np.bincount(block[wanted & row], minlength=n_blocks)
            gains[number] = int((yes * (total - yes)).sum())
            # Cases that are only to be told from the first one.
            gains[number] += int(((block == block[0]) & ~wanted & (row != row[0])).sum())
        best = int(np.lexsort((cost, -gains))[0])
        if gains[best] == 0:
            return chosen
        chosen.append(best)
        _, block = np.unique(block * 2 + answers[best], return_inverse=True)
        block = block.reshape(-1)
