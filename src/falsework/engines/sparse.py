"""How are lists of numbers kept, one list to a row, and how does a truth table become such lists?"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import BoolArray
from falsework.engines.scenarios import BITS, Words, unpack

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lists:
    """Row i lists ``items[indptr[i]:indptr[i + 1]]``."""

    indptr: Ints  # (n_rows + 1,)
    items: Ints

    def __len__(self) -> int:
        """How many rows there are."""
        return len(self.indptr) - 1

    @property
    def sizes(self) -> Ints:
        """Int (n_rows,): how many items each row lists."""
        return np.diff(self.indptr)

    def row(self, number: int) -> Ints:
        """What one row lists."""
        return self.items[self.indptr[number] : self.indptr[number + 1]]

    def some(self, rows: Ints) -> Lists:
        """The lists of these rows alone, in this order."""
        sizes = self.indptr[rows + 1] - self.indptr[rows]
        return Lists(indptr=np.concatenate(([0], np.cumsum(sizes))), items=self.expand(rows)[1])

    def expand(self, rows: Ints) -> tuple[Ints, Ints]:
        """All items of the given rows, in order, each with the position of its row in `rows`."""
        which, at = self.places(rows)
        return which, self.items[at]

    def places(self, rows: Ints) -> tuple[Ints, Ints]:
        """As `expand`, with the places of the items instead of the items."""
        sizes = self.indptr[rows + 1] - self.indptr[rows]
        ends = np.cumsum(sizes)
        shift = np.repeat(self.indptr[rows] - ends + sizes, sizes)
        return np.repeat(np.arange(len(rows)), sizes), shift + np.arange(len(shift))


def lists_of(rows: Iterable[Collection[int]]) -> Lists:
    """The same rows as one pair of arrays."""
    listed = [tuple(row) for row in rows]
    return Lists(
        indptr=np.cumsum([0, *map(len, listed)], dtype=np.int64),
        items=np.array([item for row in listed for item in row], dtype=np.int64),
    )


def grouped(row: Ints, item: Ints, n_rows: int) -> Lists:
    """Lists from pairs in any order; each list ascending if `item` is, pair after pair."""
    order = np.argsort(row, kind="stable")
    counts = np.bincount(row, minlength=n_rows)
    return Lists(indptr=np.concatenate(([0], np.cumsum(counts))), items=item[order])


def where_true(words: Words, n_scenarios: int) -> tuple[Ints, Ints]:
    """Rows and scenarios of all true bits of words (n_rows, n_words), scenarios below `n_scenarios` only.

    Cost:
        One pass over the words, then 64 bytes for each word that is not zero.
    """
    row, word = np.nonzero(words)
    bits = as_bools(words[row, word][:, np.newaxis], BITS)
    which, bit = np.nonzero(bits)
    scenario = word[which] * BITS + bit
    inside = scenario < n_scenarios
    return row[which][inside], scenario[inside]


def as_bools(words: Words, n_scenarios: int) -> BoolArray:
    """Bool (n_rows, n_scenarios) from words (n_rows, n_words), of which there may be no rows.

    Raises:
        ValueError: there are more scenarios than bits.
    """
    if n_scenarios > words.shape[1] * BITS:
        raise ValueError(f"{words.shape[1]} words do not hold {n_scenarios} scenarios")
    return unpack(words, n_scenarios) if len(words) else np.zeros((0, n_scenarios), dtype=np.bool_)


class Pool:
    """Or's the rows of words that each list names; prepared once, used for chunk after chunk."""

    def __init__(self, lists: Lists) -> None:
        """Put lists of equal length together, so that no list is gone through by itself."""
        self._n = len(lists)
        sizes = lists.sizes
        self._alike = [
            (which, lists.items[lists.indptr[which][:, np.newaxis] + np.arange(size)])
            for size in np.unique(sizes[sizes > 0]).tolist()
            for which in (np.flatnonzero(sizes == size),)
        ]

    def any_of(self, words: Words) -> Words:
        """Words (n_lists, n_words): the or of the rows each list names; of none, zero."""
        result = np.zeros((self._n, words.shape[1]), dtype=np.uint64)
        for which, items in self._alike:
            if len(which) < items.shape[1]:
                for one, rows in zip(which.tolist(), items, strict=True):
                    result[one] = np.bitwise_or.reduce(words[rows], axis=0)
                continue
            some = words[items[:, 0]]
            for column in items.T[1:]:
                some |= words[column]
            result[which] = some
        return result
