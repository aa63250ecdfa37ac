"""Where does a system of states and constant rates spend its time, and when does it first get somewhere?

A generator Q is square: off the diagonal the rate from row to column, on it minus the sum of the rest of its row.
Dense arrays up to some hundreds of states, sparse ones (scipy's, any format) beyond.

Steady shares of dense chains come from the elimination of Grassmann, Taksar and Heyman, which never subtracts:
even a share of 1e-20 has all its digits, where solving the linear system would leave noise.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import linalg, sparse  # type: ignore[import-untyped]  # the library ships no types
from scipy.sparse import csgraph  # type: ignore[import-untyped]  # as above
from scipy.sparse import linalg as sparse_linalg

from falsework.engines.reliability import checked
from falsework.engines.reliability.chained import (
    Generator,
    States,
    generator_of,
    named,
    rates_between,
    reached_from,
    starting,
)
from falsework.engines.reliability.checked import FloatArray
from falsework.engines.reliability.eliminating import eliminated
from falsework.errors import LimitError, QuestionError

_DENSE_UP_TO = 600
_DENSE_TRANSIENT_UP_TO = 300
_MOST_STATES = 200_000


def generator(n: int, arcs: Iterable[tuple[int, int, float]]) -> Generator:
    """Put a generator together from its arcs.

    Args:
        n: how many states, 1 or more.
        arcs: from, to, rate; states counted from 0; rates 0 or more; the same arc twice adds up.

    Returns:
        Dense up to 600 states, sparse beyond.

    Raises:
        QuestionError: a state that there is not, an arc to itself, or a rate that is negative or infinite.
        LimitError: more than 200,000 states.
    """
    size = int(checked.count("number of states", n, least=1))
    if size > _MOST_STATES:
        raise LimitError(
            f"{size} states are more than {_MOST_STATES}", "Ask for a smaller part of the system."
        )
    rows, columns, rates = [], [], []
    for start, end, rate in arcs:
        if not (0 <= start < size and 0 <= end < size):
            raise QuestionError(f"an arc leads from {start} to {end}", f"States are 0 to {size - 1}.")
        if start == end:
            raise QuestionError(f"an arc leads from {start} to itself", "Leave it out: it changes nothing.")
        rows.append(start)
        columns.append(end)
        rates.append(rate)
    values = checked.not_negative("rate", np.array(rates, dtype=np.float64))
    rates_only = sparse.coo_array((values, (rows, columns)), shape=(size, size)).tocsr()
    found = rates_only - sparse.diags_array(rates_only.sum(axis=1)).tocsr()
    return found.toarray() if size <= _DENSE_UP_TO else found


def steady(chain: Generator) -> FloatArray:
    """The share of time spent in each state in the long run: pi Q = 0, sum of pi = 1.

    Args:
        chain: a generator; from anywhere it must come to the same set of states that it then never leaves.
            States that are left for good have a share of 0.

    Returns:
        (n,), to full relative precision for dense chains.

    Raises:
        QuestionError: not a generator, or it can get stuck in more than one place.

    Source:
        W. K. Grassmann, M. I. Taksar, D. P. Heyman (1985), Operations Research 33(5).

    Cost:
        Dense O(n^3); sparse one factorisation.
    """
    rates = rates_between(chain)
    lasting = _lasting(rates)
    inner = rates[lasting][:, lasting]
    found = np.zeros(rates.shape[0])
    if len(lasting) <= _DENSE_UP_TO:
        found[lasting] = _eliminated(inner.toarray())
    else:
        found[lasting] = _solved(inner)
    return found


def transient(chain: Generator, start: ArrayLike, times: ArrayLike) -> FloatArray:
    """The chance to be in each state at given times: p(t) = p(0) exp(Q t).

    Args:
        chain: a generator.
        start: a state, or the (n,) chances to start in each.
        times: (k,) or one number, 0 or more, in the unit of the rates.

    Returns:
        (k, n), or (n,) for one time. To about 1e-11 absolute while the largest rate x time is below a million;
            one digit is lost with each ten times more.

    Raises:
        QuestionError: not a generator, or a start or time that can't be.

    Source:
        Matrix exponential by scaling and squaring: A. H. Al-Mohy, N. J. Higham (2009), (2011).
    """
    rates = rates_between(chain)
    n = rates.shape[0]
    begin = starting(start, n)
    moments = checked.not_negative("time", times)
    q = generator_of(rates)
    dense = q.toarray() if n <= _DENSE_TRANSIENT_UP_TO else None
    rows = []
    for moment in moments.ravel():
        if dense is not None:
            row = begin @ linalg.expm(dense * moment)
        else:
            row = sparse_linalg.expm_multiply(q.T.tocsr() * moment, begin)
        # Rounding leaves chances a hair below 0.
        rows.append(np.maximum(row, 0.0))
    return np.asarray(np.array(rows).reshape((*moments.shape, n)))


def mean_time_to(chain: Generator, targets: States, start: ArrayLike) -> float:
    """The mean time until any of these states is first entered; 0 from within, infinite if it may never be.

    Equal to the row sums of -inv(Q_up), Q_up the generator among the other states. Worked out as a cycle instead:
    let the target lead back to the start; then the mean time is the time spent elsewhere per return, without subtraction.

    Args:
        chain: a generator.
        targets: states, at least one.
        start: a state, or the (n,) chances to start in each.

    Raises:
        QuestionError: not a generator, or states or a start that can't be.

    Source:
        J. G. Kemeny, J. L. Snell, Finite Markov Chains (1960), ch. 3, for the matrix form; the cycle: renewal-reward.
    """
    rates = rates_between(chain)
    n = rates.shape[0]
    begin = starting(start, n)
    inside = named(targets, n)
    outside = np.flatnonzero(~inside)
    begin_outside = begin[outside]
    if not begin_outside.sum():
        return 0.0
    among = rates[outside][:, outside]
    into = np.asarray(rates[outside][:, np.flatnonzero(inside)].sum(axis=1)).ravel()
    # Where it can go at all, and whether the target stays in reach from all of that.
    reached = reached_from(among, begin_outside > 0)
    back = reached_from(among.T.tocsr(), into > 0)
    if (reached & ~back).any():
        return float("inf")
    keep = np.flatnonzero(reached)
    m = len(keep)
    chances = begin_outside[keep]
    whole = sparse.block_array(
        [
            [among[keep][:, keep], sparse.csr_array(into[keep][:, np.newaxis])],
            [sparse.csr_array(chances[np.newaxis, :] / chances.sum()), None],
        ]
    ).tocsr()
    shares = _eliminated(whole.toarray()) if m < _DENSE_UP_TO else _solved(whole)
    # One return takes a mean time of 1 in the target; those that start inside take no time at all.
    return float(shares[:m].sum() / shares[m] * chances.sum())


def entry_frequency(chain: Generator, states: States, shares: ArrayLike | None = None) -> float:
    """How often, per unit of time, any of these states is entered from outside: sum of pi_i q_ij, i out, j in.

    Args:
        chain: a generator.
        states: at least one.
        shares: of time, as `steady` gives them; worked out if not given.

    Raises:
        QuestionError: as `steady`, or states that can't be.
    """
    rates = rates_between(chain)
    inside = named(states, rates.shape[0])
    pi = steady(chain) if shares is None else starting(shares, rates.shape[0])
    flow = rates[np.flatnonzero(~inside)][:, np.flatnonzero(inside)].sum(axis=1)
    return float(pi[~inside] @ np.asarray(flow).ravel())


def mean_stay(chain: Generator, states: States, shares: ArrayLike | None = None) -> float:
    """How long one stays among these states on average each time they are entered: share / entry frequency.

    Args:
        chain: as `entry_frequency`.
        states: as `entry_frequency`.
        shares: as `entry_frequency`.

    Returns:
        In the unit of time of the rates; infinite if they are never left, NaN if never entered.

    Raises:
        QuestionError: as `entry_frequency`.
    """
    chosen = tuple(states)
    pi = steady(chain) if shares is None else np.asarray(shares, dtype=np.float64)
    often = entry_frequency(chain, chosen, pi)
    share = float(pi[named(chosen, len(pi))].sum())
    if often == 0:
        return float("inf") if share else float("nan")
    return share / often


def _lasting(rates: Generator) -> NDArray[np.int64]:
    """The states that are come back to for ever, all of them one from another."""
    n_groups, group = csgraph.connected_components(rates, directed=True, connection="strong")
    leaving = np.zeros(n_groups, dtype=np.bool_)
    arcs = rates.tocoo()
    crossing = group[arcs.row] != group[arcs.col]
    leaving[group[arcs.row[crossing]]] = True
    ends = np.flatnonzero(~leaving)
    if len(ends) > 1:
        first, second = sorted(int(np.flatnonzero(group == end)[0]) for end in ends)[:2]
        raise QuestionError(
            f"it can get stuck in more than one place, around state {first} or around state {second}",
            "Let every failed state be repaired, or ask for a time instead of the long run.",
        )
    return np.flatnonzero(group == ends[0])


def _eliminated(rates: FloatArray) -> FloatArray:
    found = eliminated(rates)
    return cast("FloatArray", found / found.sum())


def _solved(rates: Generator) -> FloatArray:
    """Shares of an irreducible chain, sparse: one state's share is set to 1 and the others solved for."""
    q = generator_of(rates)
    # Without one state the rest is regular, and stays sparse where a row of ones would not.
    system = q.T.tocsc()
    right = -system[:-1, -1:].toarray().ravel()
    found = np.append(sparse_linalg.spsolve(system[:-1, :-1].tocsc(), right), 1.0)
    found = np.maximum(found, 0.0)
    return cast("FloatArray", found / found.sum())
