"""What is wrong with an order of work that was written by hand?"""

from __future__ import annotations

from falsework.analyses.order.judge import judge
from falsework.analyses.order.result import Order
from falsework.analyses.order.walk import walk
from falsework.model.lab import Lab
from falsework.support.moments import stages_of
from falsework.support.standing import Standing


def replay(lab: Lab, *, standing: Standing | None = None) -> Order:
    """Go through the steps one by one and note what is missing, doubled, left behind or cut off.

    Args:
        lab: references resolved.
        standing: the finished lab, if it was made ready before.

    Cost:
        A pass over the steps, and one look at the support graph for all moments together.
    """
    if not lab.order:
        return Order(slips=(), broken=())
    stages = stages_of(standing if standing is not None else Standing(lab))
    walked = walk(stages.standing)
    known, broken = judge(stages, walked)
    said = {(slip.step, slip.thing, slip.what) for slip in walked.slips}
    more = [slip for slip in known if (slip.step, slip.thing, slip.what) not in said]
    slips = sorted((*walked.slips, *more), key=lambda slip: slip.step)
    return Order(slips=tuple(slips), broken=broken, moments=walked.moments, never=walked.never)
