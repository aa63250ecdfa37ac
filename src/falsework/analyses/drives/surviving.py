"""What may be lost of a layout at once, and from what does it recover by itself?"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

from falsework.analyses.drives.network import domains_of, usable_keeping
from falsework.analyses.drives.result import Apart, Bays, Group, Heals, Plan, Survives
from falsework.engines.usable import usable_spread


def survives(plan: Plan, bays: Sequence[Bays]) -> Survives:
    """How many drives, nodes and enclosures may be gone, whichever they are, with the data there and in reach.

    A machine that is gone counts as if its drives were, until it is back.
    """
    holders = {each.holder: each for each in bays}
    return Survives(
        drives=min(each.check for each in plan.groups),
        nodes=min(_nodes(each, holders) for each in plan.groups),
        enclosures=min(_enclosures(each, holders) for each in plan.groups),
    )


def cut_off(plan: Plan, bays: Sequence[Bays], fails: Mapping[str, float]) -> float:
    """How often a year one node or one enclosure fails whose loss puts the data out of reach.

    Args:
        plan: the layout.
        bays: the machines.
        fails: failures a year of each node and enclosure.
    """
    holders = {each.holder: each for each in bays}
    total = 0.0
    used = [
        holders[name] for name in dict.fromkeys(each.bay for group in plan.groups for each in group.sticks)
    ]
    for node in dict.fromkeys(node for each in used for node in each.nodes):
        gone = frozenset(each.holder for each in used if set(each.nodes) == {node})
        total += fails.get(node, 0.0) * _ends(plan, gone, holders)
    for enclosure in dict.fromkeys(each.enclosure for each in used):
        if enclosure not in {node for each in used for node in each.nodes}:  # else it is the node itself
            gone = frozenset(each.holder for each in used if each.enclosure == enclosure)
            total += fails.get(enclosure, 0.0) * _ends(plan, gone, holders)
    return total


def _ends(plan: Plan, gone: Iterable[str], holders: Mapping[str, Bays]) -> bool:
    """Whether the loss of these machines puts some group out of reach."""
    lost = frozenset(gone)
    return any(
        len(
            {
                _domain(each.bay, group, holders, number)
                for number, each in enumerate(group.sticks)
                if each.bay in lost
            }
        )
        > group.check
        for group in plan.groups
    )


def _domain(bay: str, group: Group, holders: Mapping[str, Bays], number: int) -> str:
    """What a drive of a group counts as one with."""
    if group.apart is Apart.IN_ONE:
        return f"{bay} {number}"
    return holders[bay].domain(group.apart)


def _nodes(group: Group, holders: Mapping[str, Bays]) -> int:
    """How many nodes may be gone.

    A machine is out of reach once all nodes that serve it are gone. Where none serves two, the cheapest way to take one
    domain more than may be gone is the cheapest domains, each by its cheapest machine; else every set is tried.
    """
    used = [holders[name] for name in dict.fromkeys(each.bay for each in group.sticks)]
    if group.apart is Apart.IN_ONE:
        return min(len(each.nodes) for each in used) - 1
    serving = Counter(node for each in used for node in each.nodes)
    if all(count == 1 for count in serving.values()):
        cost: dict[str, int] = {}
        for each in used:
            name = each.domain(group.apart)
            cost[name] = min(cost.get(name, len(each.nodes)), len(each.nodes))
        return sum(sorted(cost.values())[: group.check + 1]) - 1
    names = sorted(serving)
    for count in range(1, len(names) + 1):
        for some in combinations(names, count):
            gone = [each for each in used if set(each.nodes) <= set(some)]
            touched = {each.domain(group.apart) for each in gone}
            if len(touched) > group.check:
                return count - 1
    return len(names)


def _enclosures(group: Group, holders: Mapping[str, Bays]) -> int:
    """How many enclosures may be gone; a machine of its own is its own."""
    if group.apart is Apart.IN_ONE:
        return 0
    touched: defaultdict[str, set[str]] = defaultdict(set)
    for each in group.sticks:
        bays = holders[each.bay]
        touched[bays.enclosure].add(bays.domain(group.apart))
    total = 0
    # Each domain is in one enclosure, so those with most domains are the worst to lose.
    for count, each_takes in enumerate(sorted(map(len, touched.values()), reverse=True)):
        total += each_takes
        if total > group.check:
            return count
    return len(touched)


def heals(plan: Plan, bays: Sequence[Bays]) -> Heals:
    """How full it may be so that it is whole again without a new drive after the worst loss of each sort."""
    if plan.apart is Apart.IN_ONE:
        # A spare takes the place of a drive; that of a machine nothing takes.
        return Heals(
            drive_bytes=plan.usable_bytes if plan.spares else 0.0, node_bytes=0.0, enclosure_bytes=0.0
        )
    (group,) = plan.groups
    by_domain = domains_of(group.sticks, bays, plan.apart)
    sizes = [sorted((each.size_bytes for each in those), reverse=True) for those in by_domain.values()]
    holders = {each.holder: each for each in bays}

    def without(attribute: str) -> float:
        worst = float("inf")
        for lost in dict.fromkeys(getattr(holders[each.bay], attribute) for each in group.sticks):
            left = [
                sum(each.size_bytes for each in those if getattr(holders[each.bay], attribute) != lost)
                for those in by_domain.values()
            ]
            worst = min(
                worst, usable_spread([each for each in left if each], data=group.data, check=group.check)
            )
        return min(worst, plan.usable_bytes)

    return Heals(
        drive_bytes=min(usable_keeping(sizes, data=group.data, check=group.check, kept=1), plan.usable_bytes),
        node_bytes=without("holder"),
        enclosure_bytes=without("enclosure"),
    )
