"""Which rows fall in each of many columns, when few sets of rows fall again and again?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import BoolArray
from falsework.engines.sparse import Ints


class Effects:
    """Numbers sets of rows in the order they are met."""

    def __init__(self, n_rows: int) -> None:
        """Know no set yet."""
        self._n_rows = n_rows
        self._number: dict[bytes, int] = {}

    def __len__(self) -> int:
        """How many sets there are so far."""
        return len(self._number)

    def numbers(self, fallen: BoolArray) -> Ints:
        """The number of each column's set, bool (n_rows, n) -> int (n,).

        Cost:
            Sorting the columns once for each 64 rows in which they differ.
        """
        keys = np.zeros((fallen.shape[1], -(-self._n_rows // 64) * 8), dtype=np.uint8)
        packed = np.packbits(fallen, axis=0)
        keys[:, : len(packed)] = packed.T
        first, which = _distinct(keys.view(np.uint64))
        known = [
            self._number.setdefault(key.tobytes(), len(self._number)) for key in keys[first, : len(packed)]
        ]
        return np.array(known, dtype=np.int64)[which]

    def table(self) -> BoolArray:
        """Bool (n_sets, n_rows): the rows in each set met so far."""
        packed = np.frombuffer(b"".join(self._number), dtype=np.uint8)
        packed = packed.reshape(len(self._number), -(-self._n_rows // 8))
        return np.unpackbits(packed, axis=1, count=self._n_rows).view(np.bool_)


def _distinct(keys: NDArray[np.uint64]) -> tuple[Ints, Ints]:
    """Where each different row comes first, and which of these each row equals."""
    code = np.zeros(len(keys), dtype=np.int64)
    first = np.zeros(min(len(keys), 1), dtype=np.int64)
    for column in keys.T:
        if (column == column[:1]).all():
            continue
        _, here = np.unique(column, return_inverse=True)
        _, first, code = np.unique(
            code * (int(here.max()) + 1) + here, return_index=True, return_inverse=True
        )
    return first, code
