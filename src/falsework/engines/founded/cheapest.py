"""Which offers let every goal serve, at the least cost, and how is it known that no others cost less?

A set of offers that does not suffice is made as large as it can be without sufficing. Whatever suffices then has an
offer outside of it: that is a *demand*, true of every choice. The cheapest set that meets all demands found so far
costs no more than the answer; once it suffices, it is the answer. The cheapest set that meets demands is a covering
problem, solved exactly by CP-SAT; whether a set suffices is a least fixed point, whose rounds are the certificate
that nothing holds itself up.

Source:
    Implicit hitting sets: E. Moreno-Centeno and R. M. Karp (2013), The implicit hitting set approach to solve
    combinatorial optimization problems with an application to multigenome alignment, Operations Research 61(2).
"""

from __future__ import annotations

import time
from collections.abc import Collection, Sequence

from falsework.engines.founded.growing import Growing
from falsework.engines.founded.reach import allowed, reach
from falsework.engines.founded.system import Choice, System


def cheapest(system: System, goals: Collection[int], *, seconds: float = 20.0, workers: int = 2) -> Choice:
    """The cheapest offers with which every goal serves.

    Args:
        system: items and offers.
        goals: items that must serve.
        seconds: about how long it may take; then the best so far is given, with a bound.
        workers: threads of the solver.

    Returns:
        The choice. Where even all offers do not suffice, none is chosen and `stuck` says which goals do not serve.
        Of choices that cost the same, the same one each time.
    """
    return _Search(system, goals, seconds, workers).choice()


class _Search:
    def __init__(self, system: System, goals: Collection[int], seconds: float, workers: int) -> None:
        self.system = system
        self.goals = frozenset(goals)
        self.ends = time.monotonic() + seconds
        self.workers = workers
        self.offers = sorted(system.costs, key=lambda item: (system.costs[item], item))
        self.demands: list[tuple[int, ...]] = []

    def choice(self) -> Choice:
        whole = allowed(self.system, self.offers)
        if not self.goals <= whole.serves:
            return self._found((), 0, stuck=tuple(sorted(self.goals - whole.serves)))
        best, bound = tuple(self.offers), 0
        while True:
            chosen, least = self._meets_demands()
            bound = max(bound, least)
            if chosen is None or bound >= self._cost(best):
                break
            grown = allowed(self.system, chosen)
            if self.goals <= grown.serves:
                best = chosen
                break
            enough = (*chosen, *self._more_demands(grown))
            best = min(best, enough, key=self._cost)
            if time.monotonic() > self.ends:
                break
        return self._found(self._needed(best), bound)

    def _found(self, chosen: Sequence[int], bound: int, stuck: tuple[int, ...] = ()) -> Choice:
        cost = self._cost(chosen)
        return Choice(
            chosen=tuple(sorted(chosen)),
            cost=cost,
            bound=min(bound, cost),
            reach=reach(self.system, self.offers if stuck else chosen),
            stuck=stuck,
        )

    def _cost(self, chosen: Sequence[int]) -> int:
        return sum(self.system.costs[item] for item in chosen)

    def _needed(self, chosen: Sequence[int]) -> tuple[int, ...]:
        """Those without which it would not suffice; offers that cost nothing may be in a cheapest choice for nothing."""
        kept = list(chosen)
        for item in sorted(chosen, key=lambda item: (-self.system.costs[item], item)):
            less = [each for each in kept if each != item]
            if self.goals <= allowed(self.system, less).serves:
                kept = less
        return tuple(kept)

    # -- demands -----------------------------------------------------------------------------------

    def _meets_demands(self) -> tuple[tuple[int, ...] | None, int]:
        """The cheapest set that meets all demands (None if the time ran out), and what none costs less than."""
        if not self.demands:
            return (), 0
        # Only here: most labs leave no choice, and the solver loads slowly.
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        takes = {item: model.new_bool_var(f"offer {item}") for item in self.offers}
        for demand in self.demands:
            model.add_bool_or([takes[item] for item in demand])
        model.minimize(sum(self.system.costs[item] * take for item, take in takes.items()))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = self.workers
        solver.parameters.random_seed = 0
        solver.parameters.max_time_in_seconds = max(self.ends - time.monotonic(), 0.05)
        status = solver.solve(model)
        bound = max(round(solver.best_objective_bound), 0)
        if status != cp_model.OPTIMAL:
            return None, bound
        return tuple(item for item in self.offers if solver.value(takes[item])), bound

    def _more_demands(self, grown: Growing) -> tuple[int, ...]:
        """Note demands that a set does not meet, no two with an offer in common.

        Returns:
            All offers of these demands: with them the set suffices.
        """
        added: list[int] = []
        while not self.goals <= grown.serves:
            largest, demand = grown, []
            for item in self.offers:
                if item in largest.free:
                    continue
                tried = _with(largest, (item,))
                if self.goals <= tried.serves:
                    demand.append(item)
                else:
                    largest = tried
            self.demands.append(tuple(demand))
            added += demand
            grown = _with(grown, demand)
        return tuple(added)


def _with(grown: Growing, offers: Collection[int]) -> Growing:
    other = grown.copy()
    other.allow(offers)
    return other
