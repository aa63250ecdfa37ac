"""Which pairs of losses may make a black box say other than both of them allow?

A box is monotone: what it still gives when all losses of two groups come together, it gives for each pair.
So groups are tried before pairs, and split only where something would be missing.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from falsework.engines.gates import BoolArray
from falsework.engines.sparse import Ints

_LARGEST = 16  # losses in a group; a power of two
_SMALLEST = 2  # groups of this size are not split: trying their pairs costs as much as working them out
_COLUMNS = 1 << 12  # asked at a time


def unsettled(answer: Callable[[BoolArray], BoolArray], given: BoolArray) -> tuple[Ints, Ints]:
    """Pairs of losses that the box may not answer by the `and` of its two answers.

    Args:
        answer: the box: bool (n_inputs, n) -> bool (n_outputs, n), monotone, column by column.
        given: bool (n_inputs, n_losses), what the box reads under each loss.

    Returns:
        Two arrays of losses x <= y; every such pair is there, once, and some others are.

    Cost:
        If the box bears any two groups, (n_losses / 16)^2 / 2 columns; if it bears none, n_losses^2 / 6.
    """
    n = given.shape[1]
    gives = answer(given)
    size = _LARGEST
    x, y = np.triu_indices(-(-n // size))
    while True:
        starts = np.arange(0, n, size)
        together = np.logical_and.reduceat(given, starts, axis=1)
        alive = np.logical_or.reduceat(gives, starts, axis=1)
        kept = np.zeros(len(x), dtype=np.bool_)
        for first in range(0, len(x), _COLUMNS):
            one, other = x[first : first + _COLUMNS], y[first : first + _COLUMNS]
            left = answer(together[:, one] & together[:, other])
            kept[first : first + _COLUMNS] = (alive[:, one] & alive[:, other] & ~left).any(axis=0)
        if size == _SMALLEST:
            return _split(x[kept], y[kept], size, n)
        x, y = _split(x[kept], y[kept], 2, -(-n // (size // 2)))
        size //= 2


def _split(x: Ints, y: Ints, parts: int, n: int) -> tuple[Ints, Ints]:
    """From pairs of groups all pairs of their parts, the lower first; parts from `n` on do not exist."""
    step = np.arange(parts)
    left, right = np.broadcast_arrays(
        x[:, np.newaxis, np.newaxis] * parts + step[:, np.newaxis],
        y[:, np.newaxis, np.newaxis] * parts + step,
    )
    exists = (left <= right) & (right < n)
    return left[exists], right[exists]
