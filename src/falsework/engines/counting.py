"""How many of the rows that each list names are true, in 64 scenarios at once?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from falsework.engines.scenarios import BITS, Words
from falsework.engines.sparse import Ints, Lists, where_true


class Count:
    """Counts true rows by list; prepared once, used for chunk after chunk."""

    def __init__(self, lists: Lists) -> None:
        """Put lists of equal length together, so that no list is gone through by itself.

        Args:
            lists: rows; one listed twice counts twice.
        """
        sizes = lists.sizes
        self._alike = [
            (which, lists.items[lists.indptr[which][:, np.newaxis] + np.arange(size)])
            for size in np.unique(sizes[sizes > 0]).tolist()
            for which in (np.flatnonzero(sizes == size),)
        ]

    def above_zero(self, words: Words, only: Words, n_scenarios: int) -> Iterator[tuple[Ints, Ints, Ints]]:
        """Lists, scenarios and counts, wherever the count is not zero and `only` is true.

        Args:
            words: words (n_rows, n_words).
            only: words (n_lists, n_words).
            n_scenarios: bits from here on do not count.
        """
        for which, items in self._alike:
            planes = _planes(words, items)
            counted = np.bitwise_or.reduce(planes, axis=0) & only[which]
            row, scenario = where_true(counted, n_scenarios)
            word, bit = scenario // BITS, (scenario % BITS).astype(np.uint64)
            count = np.zeros(len(row), dtype=np.int64)
            for place, plane in enumerate(planes):
                count += (plane[row, word] >> bit & np.uint64(1)).astype(np.int64) << place
            yield which[row], scenario, count


def _planes(words: Words, items: Ints) -> list[Words]:
    """Binary counters, lowest plane first, a bit of 64 counters to a word: (n, n_words) for items (n, size)."""
    planes: list[Words] = []
    for column in items.T:
        carry = words[column]
        for plane in planes:
            if not carry.any():
                break
            both = plane & carry
            plane ^= carry
            carry = both
        if not planes or carry.any():
            planes.append(carry)
    return planes
