"""How far can machines with one port be spread over the switches, so that enough copies still see each other?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.wire.result import Limit
from falsework.engines.spreading import Ground, Spread, best_spread, left_after
from falsework.model.parts import Node, ThingId
from falsework.model.rules import majority_of
from falsework.model.services import Copy, Service
from falsework.support.carriers import Wires
from falsework.support.open_ways import tree
from falsework.support.standing import Standing


def limits(standing: Standing, wires: Wires) -> tuple[Limit, ...]:
    """Every service of which several copies must see each other, some of them on machines with one port.

    What is out takes no part. The machines with more ports stay as they are plugged in; the others are spread in every way. What is left out:
    whether the switch has a free port, and how far away it is.
    """
    copies: dict[str, list[Copy]] = {}
    for copy in standing.lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy)
    found = []
    for service in standing.lab.of(Service):
        those = copies.get(service.id, [])
        needed = majority_of(service.serves, len(those))
        if 2 <= needed < len(those) and not any(copy.pool for copy in those):
            limit = _limit(standing, wires, service, Counter(str(copy.host) for copy in those), needed)
            if limit is not None:
                found.append(limit)
    return tuple(found)


def _limit(
    standing: Standing, wires: Wires, service: Service, on: Mapping[str, int], needed: int
) -> Limit | None:
    wired = next((each for each in wires.networks.values() if all(host in each.plugs for host in on)), None)
    ones = [host for host in on if _one_port(standing, host)]
    if wired is None or not ones:
        return None
    up = standing.baseline.up
    used = {host: [plug.into for plug in wired.plugs[host] if plug.live(up)] for host in on}
    trunks = [trunk for trunk in wired.trunks if trunk.live(up) and all(up(end) for end in trunk.ends)]
    piece = tree(wired, up).piece
    met = {piece[switch] for those in used.values() for switch in those}
    switches = [switch for switch in wired.switches if piece.get(switch) in met]
    if len(switches) < 2:
        return None  # one switch is a single point for whatever is on it: the verdicts say so
    number = {switch: at for at, switch in enumerate(switches)}
    plugs = {host: frozenset(number[switch] for switch in those) for host, those in used.items()}
    # Heavy ones first, so that those of one weight stand together.
    ones.sort(key=lambda host: -on[host])
    ground = Ground(
        vertices=len(switches),
        edges=tuple(
            (number[trunk.ends[0]], number[trunk.ends[1]])
            for trunk in trunks
            if trunk.ends[0] in number and trunk.ends[1] in number
        ),
        fixed=tuple((count, plugs[host]) for host, count in on.items() if host not in ones),
    )
    weights = [on[host] for host in ones]
    today = [tuple(sorted(plugs[host]))[:1] for host in ones]
    now = left_after(ground, weights, today)
    best = best_spread(ground, weights, today, enough=needed)
    if best is None:
        return None
    possible = best.left >= needed
    return Limit(
        service=service.id,
        copies=sum(on.values()),
        needed=needed,
        one_port={host: on[host] for host in ones},
        more_ports=tuple(host for host in on if host not in ones),
        switches=tuple(switches),
        falls_by=tuple(switch for switch, left in zip(switches, now, strict=True) if left < needed),
        possible=possible,
        arrangement=_counted(best, weights, switches),
        left=best.left,
        two_ports=0 if possible else _two_ports(ground, weights, today, needed),
        more_switches=0 if possible else _more_switches(ground, weights, today, needed),
        where=service.place("on"),
    )


def _one_port(standing: Standing, host: str) -> bool:
    """Whether a node has a single port, besides that of its controller."""
    node = standing.lab.things[ThingId(host)]
    return isinstance(node, Node) and sum(1 for port in node.ports if port != node.controller) == 1


def _counted(best: Spread, weights: Sequence[int], switches: Sequence[str]) -> Mapping[str, int]:
    count: Counter[str] = Counter()
    for weight, at in zip(weights, best.at, strict=True):
        count[switches[at[0]]] += weight
    return {switch: count[switch] for switch in switches if count[switch]}


def _two_ports(
    ground: Ground, weights: Sequence[int], today: Sequence[Sequence[int]], needed: int
) -> int | None:
    """How many of them would need a second port, at the least; the heavy ones get it first."""
    lightest_first = list(reversed(weights))
    there = list(reversed(today))
    for count in range(1, len(weights) + 1):
        found = best_spread(ground, lightest_first, there, two_ways=count)
        if found is None:
            return None
        if found.left >= needed:
            return count
    return None


def _more_switches(
    ground: Ground, weights: Sequence[int], today: Sequence[Sequence[int]], needed: int
) -> int | None:
    """How many more switches, each joined to all others, would do."""
    for count in range(1, len(weights) + 1):
        found = best_spread(_widened(ground, count), weights, today)
        if found is None:
            return None
        if found.left >= needed:
            return count
    return None


def _widened(ground: Ground, count: int) -> Ground:
    return Ground(vertices=ground.vertices + count, edges=tuple(_edges(ground, count)), fixed=ground.fixed)


def _edges(ground: Ground, count: int) -> Iterator[tuple[int, int]]:
    yield from ground.edges
    for new in range(ground.vertices, ground.vertices + count):
        for other in range(new):
            yield other, new
