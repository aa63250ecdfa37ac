"""Which cables do the same job for a machine: those of a group, or several of one machine on one network?"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from falsework.model.lab import Lab
from falsework.model.parts import Cable, Node, Switch, ThingId
from falsework.support.graph import Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """Cables of which one will do.

    Attributes:
        group: the name that the owner gave them; empty where a machine is plugged in more than once without one.
        boxes: the machines at their ends, in the order in which they are met: two, or more where a machine has
            cables to several switches.
        cables: in lab order.
        owner: the machine whose cables they are; empty between two switches.
    """

    group: str
    boxes: tuple[str, ...]
    cables: tuple[str, ...]
    owner: str


def bundles(lab: Lab, networks: Mapping[str, Network]) -> tuple[Bundle, ...]:
    """Every set of two or more cables that do the same job.

    Cables of one group name are one set where they join the same two boxes, and where they leave the same node,
    even to different switches; the same name on another pair of boxes is another set. The cables of a node on one
    network that are in no group are a set as well: it has one way onto that network in each.
    """
    switches = frozenset(switch.id for switch in lab.of(Switch))
    found: dict[tuple[str, ...], list[Cable]] = {}
    for cable in lab.of(Cable):
        if cable.group:
            found.setdefault(_key(cable, switches), []).append(cable)
    for network in networks.values():
        for holder, ways in network.attachments.items():
            cables = [way.through[0] for way in ways if way.through and way.vertex in switches]
            those = [lab.things[ThingId(cable)] for cable in dict.fromkeys(cables)]
            loose = [cable for cable in those if isinstance(cable, Cable) and not cable.group]
            if len(loose) > 1:
                found.setdefault(("", holder, *(cable.id for cable in loose)), loose)
    return tuple(_bundle(lab, cables) for cables in found.values() if len(cables) > 1)


def _key(cable: Cable, switches: Collection[str]) -> tuple[str, ...]:
    machines = [machine for machine, _ in cable.ends]
    nodes = [machine for machine in machines if machine not in switches]
    return (cable.group, *(nodes if len(nodes) == 1 else sorted(machines)))


def _bundle(lab: Lab, cables: list[Cable]) -> Bundle:
    boxes = tuple(dict.fromkeys(machine for cable in cables for machine, _ in cable.ends))
    nodes = [box for box in boxes if isinstance(lab.things[box], Node)]
    return Bundle(
        group=cables[0].group,
        boxes=boxes,
        cables=tuple(cable.id for cable in cables),
        owner=nodes[0] if nodes else "",
    )
