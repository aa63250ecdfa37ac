"""Does what services send contradict itself: nothing at all, or to what takes no traffic?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Enclosure, Network, Node, Outside, Switch, Thing
from falsework.model.services import Pool, Service, Store

TAKES = (Service, Node, Switch, Network, Outside, Store, Pool, Enclosure)


def traffic(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in what services send.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults.
    """
    for service in firm:
        for flow in service.sends if isinstance(service, Service) else ():
            if flow.rate < 1:
                what = f"{service.id} sends nothing, it says"
                tell.fault(service, "sends", what, "give the rate, such as 40 Mb/s, or leave the line out")
            for thing in lab.named(flow.to.ids):
                if not isinstance(thing, TAKES):
                    what = f"{service.id} sends to {thing.id}, a {thing.IS}, which takes no traffic"
                    mend = "name a service, a node, a store, a network or something outside"
                    tell.fault(service, "sends", what, mend)
