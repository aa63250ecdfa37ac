"""Through which nodes is a store reached, what do its drives share, and how fast is a node's best port?"""

from __future__ import annotations

from falsework.model.domains import Domains, own_domain
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Node, ThingId
from falsework.model.services import Store

ASSUMED_PORT = 1e9
"""Assumed where nobody says how fast a port is: 1 Gb/s."""
ASSUMED_SIZE = float(1 << 30)
"""Assumed where nobody says how much there is: 1 GiB."""


def nodes_of(lab: Lab, store: Store) -> tuple[str, ...]:
    """The nodes that serve a store: those it says, else those that its drives are in."""
    if store.through is not None:
        return store.through.ids
    found: dict[str, None] = {}
    for drive in store.drives.ids if store.drives else ():
        thing = lab.things[ThingId(drive)]
        if isinstance(thing, Drive) and thing.in_ is not None:
            holder = thing.in_.ids[0]
            if isinstance(lab.things[ThingId(holder)], Node):
                found[holder] = None
    return tuple(found)


def domain_of(lab: Lab, shared: Domains, store: Store, drive: str) -> str:
    """What a drive of a store counts as one with, at the level at which the store keeps its pieces apart."""
    if store.apart == "drive":
        return drive
    thing = lab.things[ThingId(drive)]
    holder = thing.in_.ids[0] if isinstance(thing, Drive) and thing.in_ is not None else drive
    return own_domain(shared, holder, store.apart)


def port_speed(lab: Lab, node: str) -> float:
    """How fast a node can send or take, bit/s: over its fastest port, or an assumed one."""
    return best_port(lab, node) or ASSUMED_PORT


def best_port(lab: Lab, node: str) -> float | None:
    """The speed of a node's fastest port, bit/s; None where nobody says any."""
    thing = lab.things.get(ThingId(node))
    ports = thing.ports.values() if isinstance(thing, Node) else ()
    return max((speed for speed in ports if speed), default=None)
