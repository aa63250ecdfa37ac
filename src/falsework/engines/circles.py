"""Which rows lean on each other in circles, and how deep does each lie?

Rows that read nothing are peeled off, then those that read only such, and so on: how often says how deep a row
lies.
What circles hold up cannot be peeled, and is peeled from the other end; what is left is small, and there the
strongly connected components are found (R. Tarjan 1972, "Depth-first search and linear graph algorithms", SIAM
Journal on Computing 1(2)).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.engines.gates import BoolArray
from falsework.engines.sparse import Ints, grouped


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circles:
    """Where each of n rows lies.

    Attributes:
        knot: int (n,), the lowest of the rows with which each row lies on circles; itself where there is none.
        circular: bool (n,), whether it lies on a circle, if only with itself.
        depth: int (n,), steps of the longest way down to what reads nothing, a knot counted as one row.
    """

    knot: Ints
    circular: BoolArray
    depth: Ints


def circles(reader: Ints, source: Ints, n_rows: int) -> Circles:
    """The circles and depths of rows, where row ``reader[i]`` reads row ``source[i]``.

    Cost:
        O(rows + reads) in whole arrays, one round for each step of depth.
    """
    depth, left = _peeled(reader, source, n_rows)
    knot = np.arange(n_rows)
    circular = np.zeros(n_rows, dtype=np.bool_)
    if not left.any():
        return Circles(knot=knot, circular=circular, depth=depth)
    core = left[reader] & left[source]
    _, left = _peeled(source[core], reader[core], n_rows)
    core &= left[reader] & left[source]
    for rows in _components(reader[core], source[core]):
        knot[rows] = rows.min()
        circular[rows] = True
    circular[reader[reader == source]] = True
    apart = knot[reader] != knot[source]
    depth, _ = _peeled(knot[reader[apart]], knot[source[apart]], n_rows)
    return Circles(knot=knot, circular=circular, depth=depth[knot])


def _peeled(reader: Ints, source: Ints, n_rows: int) -> tuple[Ints, BoolArray]:
    """In which round each row is peeled off, int (n,), and which never are, bool (n,)."""
    waits = np.bincount(reader, minlength=n_rows)
    readers = grouped(source, reader, n_rows)
    depth = np.zeros(n_rows, dtype=np.int64)
    once = np.zeros(n_rows, dtype=np.int64)
    fresh, level = np.flatnonzero(waits == 0), 0
    while len(fresh):
        depth[fresh] = level
        _, above = readers.expand(fresh)
        np.subtract.at(waits, above, 1)
        ready = above[waits[above] == 0]
        once[ready] = np.arange(len(ready))  # each row once, without sorting them
        fresh, level = ready[once[ready] == np.arange(len(ready))], level + 1
    return depth, waits > 0


def _components(reader: Ints, source: Ints) -> list[Ints]:
    """Strongly connected components of more than one row."""
    # Only here: most graphs have no circle.
    import rustworkx as rx

    names, at = np.unique(np.concatenate((reader, source)), return_inverse=True)
    graph: rx.PyDiGraph[None, None] = rx.PyDiGraph()
    graph.add_nodes_from([None] * len(names))
    graph.add_edges_from_no_data(list(zip(*at.reshape(2, -1).tolist(), strict=True)))
    return [names[list(rows)] for rows in rx.strongly_connected_components(graph) if len(rows) > 1]
