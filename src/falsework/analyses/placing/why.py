"""Why does no placement do, said in words with their places in the lab file?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from falsework import units
from falsework.analyses.placing.result import Reason
from falsework.engines.placing.problem import NOWHERE
from falsework.engines.placing.why_not import Contradiction, Kind
from falsework.engines.placing.why_not import Reason as Demand
from falsework.errors import counted, few
from falsework.support.placing.amounts import CORE, CORES, DISK, MEMORY, MIB, RESOURCES, UNBOUND, WATTS
from falsework.support.placing.whole import Placeable
from falsework.units import Dimension


def reasons(asked: Placeable, found: Contradiction) -> tuple[Reason, ...]:
    """Each demand in a clause; what equal copies take is told once."""
    told: list[Reason] = []
    sizes = [each.numbers[0] for each in found.reasons if each.kind is Kind.SIZE]
    allowed = [each.numbers[0] for each in found.reasons if each.kind is Kind.ALLOWED]
    at_hand = [each.numbers[0] for each in found.reasons if each.kind is Kind.RESOURCE]
    for each in found.reasons:
        if each.kind is Kind.BINS:
            told.append(Reason(says="no host is left that could take them", where=None))
        elif each.kind is Kind.RESOURCE:
            told.append(Reason(says=_has(asked, each.numbers[0]), where=None))
        elif each.kind not in (Kind.SIZE, Kind.ALLOWED):
            told.append(_rule(asked, each))
    told.extend(_allowed(asked, allowed))
    told.extend(_sizes(asked, sizes, at_hand))
    return tuple(told)


def _rule(asked: Placeable, each: Demand) -> Reason:
    says = each.name
    if each.kind is Kind.APART:
        says += "".join(_crowd(asked, number) for number in each.numbers[:1])
    return Reason(says=says, where=asked.named.get(each.name))


def _crowd(asked: Placeable, number: int) -> str:
    """How many must be apart, and in how many domains they may lie; nothing where that is enough, or not known."""
    rule = asked.problem.apart[number]
    may = asked.problem.allowed
    bins = [
        at for at in range(asked.problem.n_bins) if may is None or any(may[item, at] for item in rule.items)
    ]
    found = {rule.domain[at] for at in bins}
    if NOWHERE in found or len(found) >= len(rule.items):
        return ""
    return f": {counted(len(rule.items), 'copy', 'copies')} for {len(found)}"


def amount(resource: int, value: int) -> str:
    """An amount of a resource as people read it: `24 GiB`, `2 cores`."""
    if resource in (MEMORY, DISK):
        kind = " disk" if resource == DISK else ""
        return units.format(value * MIB, Dimension.DATA) + kind
    if resource == CORES:
        return f"{value / CORE:g} cores"
    if resource == WATTS:
        return units.format(float(value), Dimension.POWER)
    return f"{value:,} {RESOURCES[resource]}"


def _has(asked: Placeable, resource: int) -> str:
    """What the hosts have: in all, and the most on one."""
    has = asked.problem.capacity[:, resource]
    known = has[has < UNBOUND // 2]
    if not len(known):
        return f"{RESOURCES[resource]} of the hosts"
    hosts = counted(len(known), "host")
    return (
        f"{hosts} with {amount(resource, int(known.sum()))} for copies in all, "
        f"{amount(resource, int(known.max()))} at the most on one"
    )


def _by_service(asked: Placeable, items: Iterable[int]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for item in sorted(items):
        found.setdefault(asked.scene.copies[item].service, []).append(item)
    return found


def _allowed(asked: Placeable, items: Iterable[int]) -> Iterator[Reason]:
    for service, some in _by_service(asked, items).items():
        hosts = asked.scene.may[some[0]]
        says = (
            f"{service} can only run on {few(hosts)}"
            if hosts
            else f"{service} can run on no host that is there"
        )
        said = asked.scene.services[service]
        yield Reason(says=says, where=said.place("wants" if said.wants else "on"))


def _sizes(asked: Placeable, items: Iterable[int], at_hand: Iterable[int]) -> Iterator[Reason]:
    resources = tuple(at_hand) or (MEMORY,)
    for service, some in _by_service(asked, items).items():
        size = asked.problem.size[some[0]]
        takes = " and ".join(
            amount(resource, int(size[resource])) for resource in resources if size[resource]
        )
        copies = (
            f"{len(some)} copies of {service} take {takes} each"
            if len(some) > 1
            else f"{service} takes {takes}"
        )
        yield Reason(says=copies, where=asked.scene.services[service].place("takes"))
