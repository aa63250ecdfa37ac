"""Which pairs of numbers meet somewhere?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from falsework.engines.gates import BoolArray
from falsework.engines.sparse import Ints, Lists, grouped

Octets = np.ndarray[tuple[int, int], np.dtype[np.uint8]]
_WIDE = 64  # numbers in a list, from which on a bit for every number there is costs less than the list
_SIDE = 256  # of a square of pairs
_BLOCK_BYTES = 16 << 20  # of the table of pairs at a time


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meetings:
    """Who meets whom: each number in row i of `one` meets each in row i of `other`; listed both ways round."""

    one: Lists
    other: Lists


def meeting(meetings: Meetings, chosen: BoolArray) -> Iterator[tuple[int, Ints, Ints]]:
    """Pairs of chosen numbers a < b that meet, each pair once, a square of them at a time.

    Who works on many pairs together sees few different numbers in a square.

    Args:
        meetings: of numbers below n.
        chosen: bool (n,), the numbers that count.

    Yields:
        How many a are done before this square, and its pairs, sorted by a, then b.

    Cost:
        For each a either the lengths of the rows it meets or n / 8 bytes for each row, whichever is less.
    """
    n = len(chosen)
    lists = meetings.other
    lists_with = grouped(meetings.one.items, np.repeat(np.arange(len(lists)), meetings.one.sizes), n)
    wide = lists.sizes >= _WIDE
    place = np.zeros(len(lists), dtype=np.int64)
    place[wide] = np.arange(wide.sum())
    table = _table(lists, np.flatnonzero(wide), n)
    height = max(_SIDE, _BLOCK_BYTES // max(n, 1))
    for first in range(0, n, height):
        block = np.arange(first, min(first + height, n))
        row, number = lists_with.expand(block)
        near: BoolArray = np.zeros((len(block), n), dtype=np.bool_)
        long = wide[number]
        for start, stop, one in _runs(row[long]):
            bits = np.bitwise_or.reduce(table[place[number[long][start:stop]]], axis=0)
            near[one] = np.unpackbits(bits, count=n).view(np.bool_)
        which, other = lists.expand(number[~long])
        near[row[~long][which], other] = True
        near &= chosen & (np.arange(n) > block[:, np.newaxis])
        near[~chosen[block]] = False
        for top in range(0, len(block), _SIDE):
            for left in range((first + top) // _SIDE * _SIDE, n, _SIDE):
                a, b = np.nonzero(near[top : top + _SIDE, left : left + _SIDE])
                yield first + top, a + (first + top), b + left


def _table(lists: Lists, rows: Ints, n: int) -> Octets:
    """A bit for each number in each of the given lists."""
    table = np.zeros((len(rows), -(-n // 8)), dtype=np.uint8)
    for place, row in enumerate(rows.tolist()):
        bits = np.zeros(n, dtype=np.bool_)
        bits[lists.items[lists.indptr[row] : lists.indptr[row + 1]]] = True
        table[place] = np.packbits(bits)
    return table


def _runs(values: Ints) -> Iterator[tuple[int, int, int]]:
    """Start, stop and value of each run of equal values."""
    starts = np.flatnonzero(np.diff(values, prepend=-1))
    for start, stop in zip(starts.tolist(), [*starts[1:].tolist(), len(values)], strict=False):
        yield start, stop, int(values[start])
