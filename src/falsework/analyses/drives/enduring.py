"""How durable is a layout, and how long does its rebuild take?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from falsework.analyses.drives.network import domains_of
from falsework.analyses.drives.result import Apart, Bays, Plan, Stick
from falsework.engines.durability.chain import Durability, series
from falsework.engines.durability.formulas import expected_read_errors, read_error_chance
from falsework.engines.durability.group import Group as Chained
from falsework.engines.durability.pools import Pool, pool_durability
from falsework.engines.durability.redundant import Alike
from falsework.engines.usable import filled
from falsework.units import YEAR_S, Quantity

MOST_CLASSES = 3
"""More sorts of drives in one group than that are taken together, each figure as their mean."""


_QUICKEST_S = 1.0
"""No rebuild is taken to be quicker: beside it the digits of a year would be lost."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed of the figures that the field disputes.

    Attributes:
        rate: where in its range each failure rate is taken, 0 for the low end to 1 for the high.
        reads: whether read errors come as often as data sheets say, or not at all.
        common: where in its range the share is taken that a batch has in common; None for no such share.
    """

    rate: float = 0.5
    reads: bool = True
    common: float | None = 0.5


USUAL = Belief()
LOW = Belief(rate=0.0, reads=False, common=None)
HIGH = Belief(rate=1.0, reads=True, common=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mending:
    """How rebuilds go.

    Attributes:
        load_leaves: the share of a drive's speed that is left to them.
        replaced_s: from a failure until a new drive is in its place, on the average; by whether drives are left over.
    """

    load_leaves: float
    replaced_s: Callable[[Plan], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebuilt:
    """The rebuild of one drive, the slowest, while all others are there.

    Attributes:
        seconds: once it has begun.
        read_errors: expected.
        read_chance: of one or more.
    """

    seconds: float
    read_errors: float
    read_chance: float


def odds(
    plan: Plan, bays: Sequence[Bays], mending: Mending, belief: Belief = USUAL, *, rough: bool = False
) -> Durability:
    """How durable a layout is, under a belief.

    Args:
        plan: the layout.
        bays: the machines.
        mending: how rebuilds go.
        belief: of the figures in dispute.
        rough: from the mean time alone; for sorting out.
    """
    if plan.apart is Apart.IN_ONE:
        return _machines(plan, mending, belief, rough)
    return _network(plan, bays, mending, belief, rough)


def rebuilt(plan: Plan, found: Durability) -> Rebuilt:
    """What a rebuild of the drive that takes longest asks: as many drives' worth is read as pieces are needed."""
    worst = 0.0
    for group in plan.groups:
        size = (
            min(each.size_bytes for each in group.sticks)
            if plan.apart is Apart.IN_ONE
            else max(each.size_bytes for each in group.sticks)
        )
        errors = sum(each.read_errors for each in group.sticks) / len(group.sticks)
        worst = max(worst, expected_read_errors(bytes_read=group.data * size, per_bit=errors))
    return Rebuilt(
        seconds=max(each for times in found.rebuild_s for each in times),
        read_errors=worst,
        read_chance=read_error_chance(bytes_read=worst / 8, per_bit=1.0) if worst else 0.0,
    )


def _machines(plan: Plan, mending: Mending, belief: Belief, rough: bool) -> Durability:
    waits = _waits_s(plan, mending)
    groups = []
    for each in plan.groups:
        least = min(one.size_bytes for one in each.sticks)
        classes = _classes([(one, least, 0) for one in each.sticks], belief)
        groups.append(
            Chained(
                members=tuple(one for one, _ in classes),
                tolerated=each.check,
                load_leaves=mending.load_leaves,
                spares=plan.spares,
                spare_comes_s=waits,
            )
        )
    return series(groups, reads=belief.reads, rough=rough)


def _network(plan: Plan, bays: Sequence[Bays], mending: Mending, belief: Belief, rough: bool) -> Durability:
    (group,) = plan.groups
    by_domain = domains_of(group.sticks, bays, plan.apart)
    capacities = [sum(each.size_bytes for each in those) for those in by_domain.values()]
    width = group.data + group.check
    amounts = filled(capacities, shares=width, each=plan.usable_bytes / group.data)
    lying = []
    for number, those in enumerate(by_domain.values()):
        share = amounts[number] / capacities[number]
        lying += [(each, max(each.size_bytes * share, 1.0), number) for each in those]
    classes = _classes(lying, belief)
    members = tuple(one for one, _ in classes)
    wire = {each.holder: each.bytes_per_s for each in bays}
    ports = sum(wire[name] for name in {each.bay for each in group.sticks})
    waits = _waits_s(plan, mending)
    if len(group.sticks) == width:
        # Nothing to rebuild onto but a new drive.
        return series(
            (
                Chained(
                    members=members,
                    tolerated=group.check,
                    load_leaves=mending.load_leaves,
                    reads_at_most=ports * mending.load_leaves,
                    writes_at_most=min(wire.values()) * mending.load_leaves,
                    spares=0,
                    spare_comes_s=waits,
                ),
            ),
            reads=belief.reads,
            rough=rough,
        )
    apart = tuple(tuple(counts.get(number, 0) for _, counts in classes) for number in range(len(by_domain)))
    # With room kept free all drives take their part of what is made again; without, one new drive takes all of it.
    slowest = min(each.speed for each in group.sticks) * mending.load_leaves
    quick = min(each.size_bytes for each in members) < _QUICKEST_S * sum(
        each.count * each.bytes_per_s for each in members
    )
    return _pooled(
        Pool(
            members=members,
            pieces=group.data,
            tolerated=group.check,
            apart=apart,
            load_leaves=mending.load_leaves,
            begins_after_s=_QUICKEST_S if quick else 0.0,
            reads_at_most=ports * mending.load_leaves,
            writes_at_most=ports * mending.load_leaves if plan.spares else min(slowest, min(wire.values())),
            spares=plan.spares,
            spare_comes_s=waits,
        ),
        belief.reads,
        rough,
    )


def _waits_s(plan: Plan, mending: Mending) -> float:
    """Until a new drive is in place; at once where that takes no time to speak of."""
    waits = mending.replaced_s(plan)
    return waits if waits >= _QUICKEST_S else 0.0


@lru_cache(maxsize=4096)
def _pooled(pool: Pool, reads: bool, rough: bool) -> Durability:
    return pool_durability(pool, reads=reads, rough=rough)


def _classes(
    lying: Sequence[tuple[Stick, float, int]], belief: Belief
) -> list[tuple[Alike, Mapping[int, int]]]:
    """Drives that are alike as classes, each with how many are in each domain.

    Args:
        lying: each drive with what lies on it and the number of its domain.
        belief: of the figures in dispute.
    """
    keys: tuple[Callable[[Stick, float], tuple[object, ...]], ...] = (
        lambda each, size: (each.batch, size, each.rate, each.read_errors, each.speed),
        lambda each, size: (each.batch, each.size_bytes, each.rate),
        lambda each, size: (each.batch, each.rate),
        lambda each, size: (each.batch,),
    )
    groups: dict[tuple[object, ...], list[tuple[Stick, float, int]]] = {}
    for key in keys:
        groups = defaultdict(list)
        for each, size, domain in lying:
            groups[key(each, size)].append((each, size, domain))
        if len(groups) <= MOST_CLASSES:
            break
    if len(groups) > MOST_CLASSES:
        # The largest batches stay; the others are too small to tell apart, and stand without their common cause.
        largest = sorted(groups, key=lambda key: -len(groups[key]))
        rest = [one for key in largest[MOST_CLASSES - 1 :] for one in groups[key]]
        groups = {key: groups[key] for key in largest[: MOST_CLASSES - 1]}
        groups[("",)] = [*groups.get(("",), []), *rest]
    return [_class(members, belief) for members in groups.values()]


def _class(members: Sequence[tuple[Stick, float, int]], belief: Belief) -> tuple[Alike, Mapping[int, int]]:
    count = len(members)
    batches = {each.batch for each, _, _ in members}
    batch = next(iter(batches)) if len(batches) == 1 else ""
    counts: defaultdict[int, int] = defaultdict(int)
    for _, _, domain in members:
        counts[domain] += 1
    speed = sum(each.speed for each, _, _ in members) / count
    common = sum(_at(each.in_common, belief.common) for each, _, _ in members) / count
    return (
        Alike(
            count=count,
            rate=sum(_at(each.rate, belief.rate) for each, _, _ in members) / count / YEAR_S,
            size_bytes=max(sum(size for _, size, _ in members) / count, _QUICKEST_S * speed),
            bytes_per_s=speed,
            read_errors=sum(each.read_errors for each, _, _ in members) / count,
            batch=batch if common else "",
            in_common=common if batch else 0.0,
        ),
        dict(counts),
    )


def _at(quantity: Quantity, place: float | None) -> float:
    """The value at a place of a range; nothing where there is no place."""
    return 0.0 if place is None else quantity.low + (quantity.high - quantity.low) * place
