"""Is this a chain of states, and which of its states does a question mean?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import sparse  # type: ignore[import-untyped]  # the library ships no types
from scipy.sparse import csgraph  # type: ignore[import-untyped]  # as above

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray
from falsework.errors import QuestionError

# The sparse classes of the library have no types of their own.
Generator: TypeAlias = Any
"""A dense (n, n) array or a sparse one: rates off the diagonal, rows that sum to 0."""

States: TypeAlias = Iterable[int]
"""Numbers of states, counted from 0."""


def rates_between(chain: Generator) -> Generator:
    """The rates between states, without the diagonal, as a sparse array; checked to come from a generator."""
    try:
        matrix = sparse.csr_array(chain, dtype=np.float64)
    except (TypeError, ValueError):
        raise QuestionError("this is not a matrix of rates", "Give an (n, n) array.") from None
    if matrix.ndim != 2 or matrix.shape[0] != matrix.shape[1] or matrix.shape[0] == 0:
        raise QuestionError(
            f"a matrix of shape {matrix.shape} has no rates between states", "Give it square."
        )
    if not np.isfinite(matrix.data).all():
        raise QuestionError("a rate is not a finite number", "Give finite rates.")
    diagonal = matrix.diagonal()
    rates = (matrix - sparse.diags_array(diagonal)).tocsr()
    rates.eliminate_zeros()
    if (rates.data < 0).any():
        raise QuestionError(
            f"a rate between states is {rates.data[rates.data < 0][0]:g}",
            "Rates between states are 0 or more.",
        )
    sums = np.asarray(rates.sum(axis=1)).ravel()
    wrong = np.abs(sums + diagonal) > 1e-9 * np.maximum(sums, np.abs(diagonal))
    if wrong.any():
        row = int(np.flatnonzero(wrong)[0])
        raise QuestionError(
            f"row {row} sums to {sums[row] + diagonal[row]:g}",
            "Put minus the sum of its rates on the diagonal, so that it sums to 0.",
        )
    return rates


def generator_of(rates: Generator) -> Generator:
    """The generator with these rates between states, sparse."""
    return (rates - sparse.diags_array(np.asarray(rates.sum(axis=1)).ravel())).tocsr()


def reached_from(rates: Generator, begin: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The states that can be come to from these, these included."""
    n = rates.shape[0]
    # One more state that leads to all of the beginning, so that one search does.
    first = sparse.csr_array(begin[np.newaxis, :].astype(np.float64))
    whole = sparse.block_array([[rates, None], [first, sparse.csr_array((1, 1))]]).tocsr()
    order = csgraph.breadth_first_order(whole, n, directed=True, return_predecessors=False)
    found = np.zeros(n + 1, dtype=np.bool_)
    found[order] = True
    return found[:n]


def starting(start: ArrayLike, n: int) -> FloatArray:
    """The chances to start in each of n states, from one state or from such chances, which must sum to 1."""
    if np.ndim(start) == 0:
        state = int(checked.count("state", start))
        if state >= n:
            raise QuestionError(f"there is no state {state}", f"States are 0 to {n - 1}.")
        begin = np.zeros(n)
        begin[state] = 1.0
        return begin
    begin = checked.chance("chance", start)
    if begin.shape != (n,):
        raise QuestionError(f"chances have the shape {begin.shape}", f"Give one for each of the {n} states.")
    if abs(begin.sum() - 1) > 1e-9:
        raise QuestionError(f"the chances sum to {begin.sum():g}", "Let them sum to 1.")
    return begin


def named(states: States, n: int) -> NDArray[np.bool_]:
    """Which of n states are among these, (n,); refuses none at all."""
    inside = np.zeros(n, dtype=np.bool_)
    for state in states:
        if not 0 <= state < n:
            raise QuestionError(f"there is no state {state}", f"States are 0 to {n - 1}.")
        inside[state] = True
    if not inside.any():
        raise QuestionError("no state is named", "Name at least one.")
    return inside
