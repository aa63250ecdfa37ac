"""How does a diagram get out of the library that built it, quickly?

One call from Python for each node would take longer than building; so the library writes all nodes as text
(the exchange format DDDMP, ascii mode: number, variable, then, else), and the text is read as one array.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from oxidd.bdd import BDDFunction, BDDManager

from falsework.engines.diagrams.flat import FALSE, TRUE, Flat

_TERMINALS = 2


def flat(manager: BDDManager, roots: Sequence[BDDFunction], order: Sequence[int]) -> Flat:
    """Read functions out.

    Args:
        manager: keeps the functions; its variable k stands at level k.
        roots: the functions.
        order: names of the variables from the top down, for the result.
    """
    constants = [FALSE if not f.satisfiable() else TRUE if f.valid() else None for f in roots]
    wanted = [f for f, constant in zip(roots, constants, strict=True) if constant is None]
    if not wanted:
        return _made(np.zeros((0, 4), dtype=np.int64), [], constants, [], order)
    with tempfile.TemporaryDirectory(prefix="falsework-") as folder:
        path = Path(folder) / "diagram"
        manager.export_dddmp(str(path), wanted, ascii=True)
        text = path.read_bytes()
    head, _, rest = text.partition(b".nodes\n")
    body = rest[: rest.rindex(b".end")]
    del text, rest
    fields = dict(line[1:].split(b" ", 1) for line in head.splitlines() if b" " in line)
    first = body.index(b"T 0 0\n") + len(b"T 0 0\n")  # false and true are written first, in this order
    table = np.fromstring(body[first:], dtype=np.int64, sep=" ").reshape(-1, 4)
    levels = [int(word) for word in fields[b"permids"].split()]
    ids = [int(word) - 1 for word in fields[b"rootids"].split()]
    return _made(table, levels, constants, ids, order)


def _made(
    table: np.ndarray[tuple[int, ...], np.dtype[np.int64]],
    levels: Sequence[int],
    constants: Sequence[int | None],
    ids: Sequence[int],
    order: Sequence[int],
) -> Flat:
    n = len(table) + _TERMINALS
    level = np.full(n, len(order), dtype=np.int32)
    low = np.arange(n, dtype=np.int32)
    high = np.arange(n, dtype=np.int32)
    if len(table):
        level[_TERMINALS:] = np.asarray(levels, dtype=np.int32)[table[:, 1]]
        high[_TERMINALS:] = table[:, 2] - 1
        low[_TERMINALS:] = table[:, 3] - 1
    left = iter(ids)
    roots = np.asarray([next(left) if c is None else c for c in constants], dtype=np.int32)
    return Flat(level=level, low=low, high=high, roots=roots, variable=np.asarray(order, dtype=np.int32))
