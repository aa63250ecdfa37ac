"""Which share of many demands gets through at the same time, at most?"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]  # it has no types

from falsework.engines.flow.net import Net

SMALL = 1e-9
"""Prices below this share of the largest are taken for nothing: what the solver's own tolerance leaves."""

T = TypeVar("T", bound=Hashable)
Arc = tuple[str, str]
"""A link, and the vertex into which it is followed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """So much is to get from one vertex to another.

    Attributes:
        within: the links that it may take; None for all.
    """

    one: str
    other: str
    amount: float
    within: frozenset[str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """The largest share of all demands that fits together, with the flows that reach it and the proof that none is larger.

    Let p be the prices, d(k) the least sum of prices on any way that demand k may take, a(k) its amount. Then any share
    s that fits has s * sum of a(k) d(k) <= sum over all of what it carries times its price, since a flow of
    s a(k) over ways of price at least d(k) pays at least s a(k) d(k), and nothing carries more than it can. The
    prices given here make the two sides equal.

    Attributes:
        share: 1.0 is all, 2.0 twice of all.
        along: for each demand that shares its beginning and its `within` with no earlier one, by link and direction
            what flows for it and those that do share them.
        prices: by link and direction; only those above nothing.
        passing: the same of vertices.
    """

    share: float
    along: tuple[Mapping[Arc, float], ...]
    prices: Mapping[Arc, float]
    passing: Mapping[str, float]


def together(net: Net, demands: Sequence[Demand]) -> Together:
    """The largest share of all demands that fits together.

    Args:
        net: what carries how much, each way at the same time.
        demands: of positive amounts between different vertices.

    Raises:
        ValueError: there is no demand, or none that could be told from nothing.

    Cost:
        A linear program with a variable for each arc and beginning.

    Source:
        F. Shahrokhi and D. W. Matula 1990, "The maximum concurrent flow problem", Journal of the ACM 37(2).
    """
    if not demands:
        raise ValueError("there is nothing to get through")
    unit = float(max((link.carries for link in net.links), default=0)) or 1.0
    groups: dict[tuple[str, frozenset[str] | None], list[Demand]] = {}
    for demand in demands:
        groups.setdefault((demand.one, demand.within), []).append(demand)
    solver = pywraplp.Solver.CreateSolver("GLOP")
    share = solver.NumVar(0.0, solver.infinity(), "share")
    arcs: list[tuple[Arc, str, int]] = []  # (link, into), out of, carries
    for link in net.links:
        if link.one != link.other:
            arcs.append(((link.name, link.other), link.one, link.carries))
            arcs.append(((link.name, link.one), link.other, link.carries))
    full = {arc: solver.Constraint(-solver.infinity(), most / unit) for arc, _, most in arcs}
    through = {
        vertex: solver.Constraint(-solver.infinity(), most / unit) for vertex, most in net.passes.items()
    }
    flows: list[dict[Arc, Any]] = []
    for (one, within), those in groups.items():
        goals: dict[str, float] = {}
        for demand in those:
            goals[demand.other] = goals.get(demand.other, 0.0) + demand.amount / unit
        usable = [
            (arc, out_of)
            for arc, out_of, _ in arcs
            if (within is None or arc[0] in within)
            and arc[1] != one  # nothing that begins here need come back
            and (out_of not in net.ends or out_of == one)
            and (arc[1] not in net.ends or arc[1] in goals)
        ]
        touched = dict.fromkeys((one, *goals, *(end for arc, out_of in usable for end in (arc[1], out_of))))
        kept = {vertex: solver.Constraint(0.0, 0.0) for vertex in touched}
        flow: dict[Arc, Any] = {}
        for arc, out_of in usable:
            flow[arc] = solver.NumVar(0.0, solver.infinity(), "")
            kept[arc[1]].SetCoefficient(flow[arc], 1.0)
            kept[out_of].SetCoefficient(flow[arc], -1.0)
            full[arc].SetCoefficient(flow[arc], 1.0)
            if arc[1] in through:
                through[arc[1]].SetCoefficient(flow[arc], 1.0)
        total = sum(goals.values())
        kept[one].SetCoefficient(share, total)
        if one in through:
            through[one].SetCoefficient(share, through[one].GetCoefficient(share) + total)
        for goal, amount in goals.items():
            kept[goal].SetCoefficient(share, -amount)
        flows.append(flow)
    solver.Maximize(share)
    status = solver.Solve()
    if status != pywraplp.Solver.OPTIMAL:
        raise ValueError("no largest share was found")
    return Together(
        share=share.solution_value(),
        along=tuple(
            {arc: each.solution_value() * unit for arc, each in flow.items() if each.solution_value() > 0}
            for flow in flows
        ),
        prices=_prices(full.items(), unit),
        passing=_prices(through.items(), unit),
    )


def _prices(rows: Iterable[tuple[T, Any]], unit: float) -> Mapping[T, float]:
    found = {name: abs(row.dual_value()) / unit for name, row in rows}
    least = max(found.values(), default=0.0) * SMALL
    return {name: price for name, price in found.items() if price > least}
