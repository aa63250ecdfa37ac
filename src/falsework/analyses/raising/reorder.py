"""Which order of the same steps leaves services on single points for the shortest time?

Steps may be exchanged wherever neither waits for the other. How the lab is after some steps does not depend on
the order in which they were done, so an exchange of two neighbours changes one moment only: the one between.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.analyses.raising.fragile import single_points
from falsework.analyses.raising.result import Doing, Moment, Plan, Step
from falsework.engines.founded.growing import Growing
from falsework.model.services import Copy
from falsework.support.building import Building, building
from falsework.support.moments import Stages, stages_of
from falsework.support.standing import Standing

MOST_ASKED = 3000
"""Moments looked at, at the most, before the best order so far is taken."""
UNSOUND = 1e6
"""What something that should stand and does not weighs, against one service on a single point."""

Weight = Callable[[frozenset[int]], float]
"""How bad the moment is at which just these steps (positions) are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Better:
    """An order of the same steps.

    Attributes:
        order: positions of the steps, in their new order.
        before, after: time times weight of the order given, and of this one; never more.
        asked: how many moments were looked at.
        settled: no exchange of neighbours is left that would help; else the most were asked before.
    """

    order: tuple[int, ...]
    before: float
    after: float
    asked: int
    settled: bool


def least_fragile(
    waits: Sequence[Sequence[int]],
    seconds: Sequence[float],
    weight: Weight,
    *,
    most: int = MOST_ASKED,
    progress: Callable[[int, int], None] | None = None,
) -> Better:
    """An order with less time spent at bad moments, or the one that was given.

    The weight of a moment counts for as long as the step after it takes. First steps are taken one by one: of
    those that may come next the one after which it is best, the shorter and the earlier of equals. Then
    neighbours change places, in that order and in the one that was given, as long as that helps; the better of
    the two is taken.

    Args:
        waits: for each step the positions of those that must be done before; all are lower than its own.
        seconds: how long each step takes.
        weight: see `Weight`; asked once for each set of steps.
        most: how many sets it may be asked about, at about.
        progress: called with how much of how much is done.

    Cost:
        About n_steps times the steps that may come next, in moments asked.
    """
    search = _Search(waits, seconds, weight, most, progress)
    given = tuple(range(len(waits)))
    before = search.cost(given)
    kept, settled = search.exchanged(given)
    chosen, chosen_settled = search.exchanged(search.greedy())
    if search.cost(chosen) < search.cost(kept) - 1e-9:
        kept, settled = chosen, chosen_settled
    return Better(
        order=kept, before=before, after=search.cost(kept), asked=len(search.known), settled=settled
    )


class _Search:
    def __init__(
        self,
        waits: Sequence[Sequence[int]],
        seconds: Sequence[float],
        weight: Weight,
        most: int,
        progress: Callable[[int, int], None] | None,
    ) -> None:
        self.waits = [frozenset(each) for each in waits]
        self.seconds, self.ask, self.most, self.progress = seconds, weight, most, progress
        self.known: dict[frozenset[int], float] = {}

    def weight(self, done: frozenset[int]) -> float:
        if done not in self.known:
            if self.progress is not None:
                self.progress(min(len(self.known), self.most), self.most)
            self.known[done] = self.ask(done)
        return self.known[done]

    @property
    def spent(self) -> bool:
        return len(self.known) >= self.most

    def cost(self, order: Sequence[int]) -> float:
        total, done = 0.0, frozenset[int]()
        for step in order:
            total += self.seconds[step] * self.weight(done)
            done |= {step}
        return total

    def greedy(self) -> tuple[int, ...]:
        order: list[int] = []
        done = frozenset[int]()
        left = list(range(len(self.waits)))
        while left:
            able = [step for step in left if self.waits[step] <= done]
            if self.spent or len(able) == 1:
                step = able[0]
            else:
                step = min(able, key=lambda each: (self.weight(done | {each}), self.seconds[each], each))
            order.append(step)
            left.remove(step)
            done |= {step}
        return tuple(order)

    def exchanged(self, given: Sequence[int]) -> tuple[tuple[int, ...], bool]:
        """Neighbours change places until none gains by it, or the most were asked."""
        order = list(given)
        helped = True
        while helped and not self.spent:
            helped = False
            done = frozenset[int]()
            for at in range(len(order) - 1):
                one, other = order[at], order[at + 1]
                if one not in self.waits[other] and not self.spent:
                    start = self.weight(done)
                    as_is = self.seconds[one] * start + self.seconds[other] * self.weight(done | {one})
                    turned = self.seconds[other] * start + self.seconds[one] * self.weight(done | {other})
                    if turned < as_is - 1e-9:
                        order[at], order[at + 1] = other, one
                        helped = True
                done |= {order[at]}
        return tuple(order), not helped


# -- of a plan -------------------------------------------------------------------------------------


def reorder(
    standing: Standing,
    plan: Plan,
    *,
    stages: Stages | None = None,
    most: int = MOST_ASKED,
    progress: Callable[[int, int], None] | None = None,
) -> Plan:
    """The same steps in an order with fewer service-hours on single points that the finished lab has not.

    Args:
        standing: the finished lab.
        plan: an order of work.
        stages: the lab made ready for moments, if that was done before.
        most: moments looked at, at the most, about.
        progress: called with how much of how much is done.

    Returns:
        The plan renumbered; the plan itself where nothing is gained.
    """
    if len(plan.steps) < 2:
        return plan
    ready = stages if stages is not None else stages_of(standing)
    lab = _Built(standing, plan)
    final = {
        (single.part, name) for single in single_points(ready, plan.moments[-1]) for name in single.services
    }

    def weight(done: frozenset[int]) -> float:
        moment = lab.moment(sorted(done))
        if any(ready.missing([moment])):
            return UNSOUND
        return float(
            len(
                {
                    name
                    for single in single_points(ready, moment)
                    for name in single.services
                    if (single.part, name) not in final
                }
            )
        )

    found = least_fragile(
        [[number - 1 for number in step.after] for step in plan.steps],
        [step.takes.likely for step in plan.steps],
        weight,
        most=most,
        progress=progress,
    )
    if found.order == tuple(range(len(plan.steps))):
        return plan
    return renumbered(standing, plan, [position + 1 for position in found.order])


def renumbered(standing: Standing, plan: Plan, order: Sequence[int]) -> Plan:
    """The plan with its steps in another order.

    Args:
        standing: the finished lab.
        plan: an order of work.
        order: the numbers that the steps have now, in the order they shall have.

    Raises:
        ValueError: a step is missing or twice, or comes before one that it waits for.
    """
    number = {old: new for new, old in enumerate(order, start=1)}
    if sorted(order) != [step.number for step in plan.steps]:
        raise ValueError(f"each of {len(plan.steps)} steps once, not {list(order)}")
    for step in plan.steps:
        early = [each for each in step.after if number[each] > number[step.number]]
        if early:
            raise ValueError(f"step {step.number} waits for step {early[0]}, which would come after it")
    lab = _Built(standing, plan)
    moments = [replace(plan.moments[0])]
    steps: list[Step] = []
    owners: dict[str, str] = {}
    for new, old in enumerate(order, start=1):
        step = plan.steps[old - 1]
        owners.update(_owners_set(plan, old))
        steps.append(
            replace(
                step,
                number=new,
                after=tuple(sorted(number[each] for each in step.after)),
                owners=None if step.owners is None else dict(owners),
            )
        )
        moments.append(replace(lab.moment([each - 1 for each in order[:new]]), step=new))
    return replace(plan, steps=tuple(steps), moments=tuple(moments))


def _owners_set(plan: Plan, number: int) -> Mapping[str, str]:
    """The owners that a step changes."""
    after = plan.steps[number - 1].owners or {}
    before = plan.steps[number - 2].owners or {} if number > 1 else {}
    return {state: owner for state, owner in after.items() if before.get(state) != owner}


class _Built:
    """How the lab is once some steps of a plan are done, whatever their order."""

    def __init__(self, standing: Standing, plan: Plan) -> None:
        self.plan = plan
        self.lab = standing.lab
        self.building: Building = building(standing.lab, standing.support)
        self.names = self.building.system.names
        joins = frozenset(self.building.either.values())
        self.shown = [
            item not in joins and item not in self.building.system.costs for item in range(len(self.names))
        ]
        self.copies: dict[str, list[str]] = {}
        for copy in standing.lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy.id)
        self.start = [
            self.building.item[name] for name in plan.moments[0].built if name in self.building.item
        ]

    def moment(self, done: Sequence[int]) -> Moment:
        """The moment at which these steps (positions) are done; its step is their number."""
        growing = Growing(self.building.system, free=self.building.free)
        growing.begin(self.start)
        lent = dict.fromkeys(self.plan.moments[0].lent)
        serving = dict(self.plan.moments[0].serving)
        for position in sorted(done):
            step = self.plan.steps[position]
            before, after = self.plan.moments[position : position + 2]
            if step.doing is Doing.BRING:
                growing.begin(self._items(step.things))
            elif step.doing is Doing.LEND:
                growing.begin(self.building.item[name] for name in step.things if name in self.building.item)
                lent.update(dict.fromkeys(step.things))
            elif step.doing is Doing.RETIRE:
                for name in step.things:
                    lent.pop(name, None)
            serving.update(
                {name: who for name, who in after.serving.items() if before.serving.get(name) != who}
            )
        built = frozenset(self.names[item] for item in growing.begun if self.shown[item])
        return Moment(step=len(done), built=built, lent=frozenset(lent), serving=serving)

    def _items(self, things: Sequence[str]) -> list[int]:
        names: list[str] = []
        for name in things:
            names.extend(self.copies.get(name, (name,)))
        return [self.building.item[name] for name in names if name in self.building.item]
