"""Which figures of the wire were taken because nobody gave them, and how much of the traffic hangs on each?"""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy
from dataclasses import replace

from falsework import units
from falsework.analyses.wire.loads import Flowing
from falsework.errors import few
from falsework.model.parts import Network, ThingId
from falsework.support.carriers import Wires
from falsework.support.open_ways import OpenWays, tree
from falsework.support.reached import ASSUMED_PORT
from falsework.support.standing import Standing
from falsework.support.taken import Taken
from falsework.units import Dimension

FEW = 12
"""With more switches than this the figure is told without what hangs on it: each would be all traffic once more."""
SLOW, FAST = 1e8, 1e10
"""What ports that nobody describes usually are, bit/s: 100 Mb/s to 10 Gb/s."""
SAME = 1e-6
FULLEST = "how full the fullest cable is"


def taken(standing: Standing, flows: Flowing) -> tuple[Taken, ...]:
    """The figures that the traffic of now hangs on and nobody gave."""
    return (*_speeds(standing, flows), *_users(standing, flows), *_roots(standing, flows))


def _speeds(standing: Standing, flows: Flowing) -> Iterator[Taken]:
    unsaid = frozenset(flows.wires.unsaid)
    full = [each.share for each in flows.filled if each.cables and unsaid & set(each.cables)]
    if full:
        yield Taken(
            key="speed",
            things=tuple(flows.wires.unsaid),
            value=_rate(ASSUMED_PORT),
            source="assumed; common since 2005",
            of=FULLEST + " of these",
            low=f"{max(full) * ASSUMED_PORT / SLOW:.0%} at {_rate(SLOW)}",
            high=f"{max(full) * ASSUMED_PORT / FAST:.0%} at {_rate(FAST)}",
            where=standing.lab.things[ThingId(flows.wires.unsaid[0])].where,
        )


def _rate(speed: float) -> str:
    return units.format(speed, Dimension.SPEED)


def _users(standing: Standing, flows: Flowing) -> Iterator[Taken]:
    for name in dict.fromkeys(goal for line in flows.talk.lines for goal in line.to):
        network = standing.lab.things[ThingId(name)]
        wired = flows.wires.networks.get(name)
        if not isinstance(network, Network) or wired is None or wired.said or len(wired.users) < 2:
            continue
        found = []
        for switch in wired.users if len(wired.users) <= FEW else ():
            wires = copy(flows.wires)
            wires.networks = {**flows.wires.networks, name: replace(wired, users=(switch,))}
            found.append((_fullest(standing, flows, wires), switch))
        low, high = _ends(found)
        yield Taken(
            key="users at",
            things=(name,),
            value=f"equally at its {len(wired.users)} switches",
            source="assumed",
            of=FULLEST,
            low=f"{low[0]:.0%} with all of them at {low[1]}" if low else "",
            high=f"{high[0]:.0%} with all of them at {high[1]}" if high else "",
            where=network.where,
        )


def _roots(standing: Standing, flows: Flowing) -> Iterator[Taken]:
    stands = standing.baseline.back
    alike: dict[tuple[object, ...], list[str]] = {}
    for name, wired in flows.wires.networks.items():
        live = [trunk for trunk in wired.trunks if trunk.live(stands)]
        if len(live) > len(flows.now.open_.trees[name].above):  # else there is no circle to be cut
            alike.setdefault((wired.switches, wired.trunks), []).append(name)
    for names in alike.values():
        wired = flows.wires.networks[names[0]]
        root = flows.now.open_.trees[names[0]].roots[0]
        found = []
        for switch in wired.switches if len(wired.switches) <= FEW else ():
            if stands(switch):
                trees = {**flows.now.open_.trees, **dict.fromkeys(names, tree(wired, stands, root=switch))}
                open_ = OpenWays(flows.wires, stands, trees)
                found.append((_fullest(standing, flows, flows.wires, open_), switch))
        low, high = _ends(found)
        yield Taken(
            key="loops cut by",
            things=wired.switches,
            value=f"a tree from {root}, the root on {few(names)}",
            source="assumed: owners mostly make the middle of the wire the root; else chance of an address does",
            of=FULLEST,
            low=f"{low[0]:.0%} with {low[1]} as root" if low else "",
            high=f"{high[0]:.0%} with {high[1]} as root" if high else "",
            where=standing.lab.things[ThingId(root)].where,
        )


def _ends(found: list[tuple[float, str]]) -> tuple[tuple[float, str] | None, tuple[float, str] | None]:
    """The least and the most, of equals the first; neither where all are the same."""
    if not found:
        return None, None
    low, high = min(found, key=lambda each: each[0]), max(found, key=lambda each: each[0])
    return (low, high) if high[0] - low[0] > SAME else (None, None)


def _fullest(standing: Standing, flows: Flowing, wires: Wires, open_: OpenWays | None = None) -> float:
    return Flowing(replace(flows.talk, wires=wires), standing.baseline, open_).fullest
