"""Through which nodes is a store reached, and how fast is a node's best port?"""

from __future__ import annotations

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


def best_port(lab: Lab, node: str) -> float | None:
    """The speed of a node's fastest port, bit/s; None where nobody says any."""
    thing = lab.things.get(ThingId(node))
    ports = thing.ports.values() if isinstance(thing, Node) else ()
    return max((speed for speed in ports if speed), default=None)
