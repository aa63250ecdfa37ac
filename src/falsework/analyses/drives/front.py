"""Which layouts are worse than another in every respect?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from math import floor, log
from typing import TypeVar

from falsework.analyses.drives.result import Plan

Measures = tuple[float, ...]
"""Of one layout; more is better in each."""

T = TypeVar("T")


def pruned(plans: Iterable[Plan]) -> tuple[Plan, ...]:
    """Without those that are worse by construction.

    Of layouts with one scheme, apart alike and with as many spares, one that has no more room than another which takes
    some of its drives only, and as many machines at the most, fails more often and draws more for nothing.
    """
    families: defaultdict[tuple[object, ...], list[tuple[Plan, frozenset[str]]]] = defaultdict(list)
    for plan in plans:
        width = len(plan.groups[0].sticks) if len(plan.groups) > 1 else 0
        families[plan.scheme, plan.apart, plan.spares, width].append((plan, used(plan)))
    kept: list[Plan] = []
    for family in families.values():
        for plan, drives in family:
            if not any(
                other.usable_bytes >= plan.usable_bytes
                and (fewer < drives or (fewer == drives and other.usable_bytes > plan.usable_bytes))
                for other, fewer in family
            ):
                kept.append(plan)
    # Two choices of drives may come to one layout.
    return tuple({_same(plan): plan for plan in kept}.values())


def used(plan: Plan) -> frozenset[str]:
    """The drives that a layout takes."""
    return frozenset(each.name for each in plan.sticks)


def _same(plan: Plan) -> tuple[object, ...]:
    return plan.scheme, plan.apart, plan.spares, plan.groups


def front(layouts: Sequence[tuple[T, Measures]]) -> tuple[T, ...]:
    """Those to which no other is at least equal in all measures and better in one; of equals the first."""
    ordered = sorted(layouts, key=lambda each: tuple(-value for value in each[1]))
    kept: list[tuple[T, Measures]] = []
    for item, measures in ordered:
        # What is better in all comes earlier in this order.
        if not any(all(a >= b for a, b in zip(other, measures, strict=True)) for _, other in kept):
            kept.append((item, measures))
    return tuple(item for item, _ in kept)


def coarse(value: float, step: float) -> float:
    """A value in steps of a factor, so that what differs by less is no reason to prefer one; 0 stays below all."""
    return floor(log(value) / log(step) + 0.5) if value > 0 else float("-inf")
