"""How are many scenarios packed, 64 to a machine word?

Scenario j is bit ``j % 64`` (lowest first) of word ``j // 64``; a row of words belongs to one leaf or gate.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import BoolArray

Words = NDArray[np.uint64]
BITS = 64
ONES = np.uint64(0xFFFF_FFFF_FFFF_FFFF)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Failures:
    """Which leaves fail in each of many scenarios: scenario j fails ``leaves[indptr[j]:indptr[j + 1]]``."""

    indptr: NDArray[np.int64]  # (n_scenarios + 1,)
    leaves: NDArray[np.int64]  # rows of leaves

    def __len__(self) -> int:
        """How many scenarios there are."""
        return len(self.indptr) - 1


def failures_of(listed: Iterable[Collection[int]]) -> Failures:
    """The same scenarios as one pair of arrays."""
    rows = [tuple(failed) for failed in listed]
    return Failures(
        indptr=np.cumsum([0, *map(len, rows)], dtype=np.int64),
        leaves=np.array([leaf for failed in rows for leaf in failed], dtype=np.int64),
    )


def singles(n_leaves: int) -> Failures:
    """Scenario j fails leaf j and nothing else."""
    return Failures(
        indptr=np.arange(n_leaves + 1, dtype=np.int64), leaves=np.arange(n_leaves, dtype=np.int64)
    )


def checked(failures: Failures, n_leaves: int) -> Failures:
    """The same scenarios, if all leaves they name are there.

    Raises:
        ValueError: a row is negative or not below `n_leaves`.
    """
    outside = failures.leaves[(failures.leaves < 0) | (failures.leaves >= n_leaves)]
    if len(outside):
        raise ValueError(f"there is no leaf row {outside[0]}: rows are 0 to {n_leaves - 1}")
    return failures


def n_words(n_scenarios: int) -> int:
    """How many words so many scenarios take."""
    return -(-n_scenarios // BITS)


def leaf_words(failures: Failures, n_leaves: int) -> Words:
    """The leaves' words (n_leaves, n_words); past the last scenario nothing fails, so bits are true."""
    rows = np.full((n_leaves, n_words(len(failures))), ONES, dtype=np.uint64)
    fail(checked(failures, n_leaves), rows, 0)
    return rows


def fail(failures: Failures, rows: Words, first: int) -> NDArray[np.intp]:
    """Clear, in rows that show words `first` and after, the bits of the leaves that fail there.

    Returns:
        The rows in which a bit was cleared, ascending.
    """
    start, stop = (min(word * BITS, len(failures)) for word in (first, first + rows.shape[1]))
    bounds = failures.indptr[start : stop + 1]
    scenario = np.repeat(np.arange(stop - start), np.diff(bounds))
    leaf = failures.leaves[bounds[0] : bounds[-1]]
    bit = np.uint64(1) << (scenario % BITS).astype(np.uint64)
    np.bitwise_and.at(rows.reshape(-1), leaf * rows.shape[1] + scenario // BITS, ~bit)
    return np.unique(leaf)


def unpack(rows: Words, n_scenarios: int) -> BoolArray:
    """Bool (n_rows, n_scenarios) from words (n_rows, n_words)."""
    octets = np.ascontiguousarray(rows).astype("<u8", copy=False).view(np.uint8)
    shaped = octets.reshape(len(rows), rows.shape[1] * 8)
    return np.unpackbits(shaped, axis=1, count=n_scenarios, bitorder="little").view(np.bool_)


def pack(values: BoolArray) -> Words:
    """Words (n_rows, n_words) from bool (n_rows, n_scenarios); bits past the last scenario are false."""
    octets = np.zeros((len(values), n_words(values.shape[1]) * 8), dtype=np.uint8)
    packed = np.packbits(values, axis=1, bitorder="little")
    octets[:, : packed.shape[1]] = packed
    return octets.view("<u8").astype(np.uint64, copy=False)
