"""Is an order of work sound? Walk it step by step, from the lab alone, and say what is wrong.

It knows nothing of how orders are made: only the lab, what a step says that it does, and `tests.ground`.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

from tests.ground import Ground
from tests.replaying import Replay, made_of

from falsework.analyses.raising.result import Doing, Plan, Step
from falsework.model.lab import Lab


def complaints(plan: Plan, lab: Lab, *, shuffles: int = 3, seed: int = 0) -> list[str]:
    """What is wrong with a plan, in plain sentences; empty when it is sound.

    Args:
        plan: an order of work.
        lab: the lab that it is for.
        shuffles: how many other orders, which keep to every step's `after`, must be as sound.
        seed: of the shuffles.
    """
    ground = Ground(lab)
    if plan.stuck:
        return _of_stuck(plan, ground)
    found = _of_numbers(plan)
    if found:
        return found
    found = [*Replay(ground, plan).walk(plan.steps, plan.moments), *_of_costs(plan, ground)]
    lot = random.Random(seed)
    for _ in range(0 if found else shuffles):
        order = shuffled(plan.steps, lot)
        found = Replay(ground, plan).walk(order)
        if found:
            numbers = ", ".join(str(step.number) for step in order)
            return [f"in the order {numbers}, which `after` allows: {each}" for each in found]
    return found


def shuffled(steps: Sequence[Step], lot: random.Random) -> list[Step]:
    """Another order that keeps to `after`: whichever comes by lot among those that may come next."""
    left = list(steps)
    done: list[Step] = []
    while left:
        numbers = {step.number for step in done}
        able = [step for step in left if numbers.issuperset(step.after)]
        done.append(lot.choice(able))
        left.remove(done[-1])
    return done


def _of_stuck(plan: Plan, ground: Ground) -> list[str]:
    found = []
    if plan.steps:
        found.append("there are steps although something is stuck")
    truly = ground.unmade(ground.stand_ins, made_of(plan.already, ground.lab))
    if set(plan.stuck) - set(truly):
        found.append(f"{sorted(set(plan.stuck) - set(truly))} can be made, and are called stuck")
    if not truly:
        found.append("nothing is stuck with every stand-in")
    for waiting, other in zip(plan.circle, plan.circle[1:], strict=False):
        if waiting not in ground.lab.things or other not in ground.lab.things:
            found.append(f"{waiting} or {other} in the circle is not in the lab")
    if plan.circle and plan.circle[0] != plan.circle[-1]:
        found.append("the circle does not end where it began")
    return found


def _of_numbers(plan: Plan) -> list[str]:
    found = []
    for at, step in enumerate(plan.steps, start=1):
        if step.number != at:
            found.append(f"step {at} is numbered {step.number}")
        found += [
            f"step {at} waits for step {other}, which is not before it"
            for other in step.after
            if not 0 < other < at
        ]
    if [moment.step for moment in plan.moments] != list(range(len(plan.steps) + 1)):
        found.append("there is not one moment before the first step and one after each")
    return found


def _of_costs(plan: Plan, ground: Ground) -> list[str]:
    lent = [step.things[0] for step in plan.steps if step.doing is Doing.LEND]
    found = []
    if Counter(lent) != Counter(plan.stand_ins):
        found.append(f"it lends {lent} and says that it takes {list(plan.stand_ins)}")
    cost = sum(ground.stand_ins[each].costs or 0.0 for each in plan.stand_ins if each in ground.stand_ins)
    if abs(cost - plan.cost_s) > 1:
        found.append(f"its stand-ins cost {cost:g} s and not {plan.cost_s:g} s")
    return found
