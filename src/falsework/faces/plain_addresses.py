"""What does an answer on addresses look like to a program?"""

from __future__ import annotations

import ipaddress
from typing import Any

from falsework.analyses.addresses import Addresses, Net, Subnet
from falsework.analyses.addresses.telling import HOW, headline, kept_says
from falsework.faces.errors import place
from falsework.faces.head import lab_head
from falsework.faces.taken import taken_plain
from falsework.lab.save import Changes
from falsework.model.lab import Lab

Plain = dict[str, Any]


def addresses_answer(lab: Lab, plan: Addresses, changes: Changes | None, status: int) -> Plain:
    """Every network with its subnets and blocks, every address with its name, and what the lab file would gain."""
    return {
        **lab_head("addresses", lab, status),
        "says": headline(plan),
        "kept": kept_says(plan),
        "complete": plan.complete,
        "domain": plan.domain,
        "servers": list(plan.servers),
        "networks": [_net(each) for each in plan.nets],
        "addresses": [
            {
                "network": each.network,
                "thing": each.thing,
                "what": each.what,
                "address": each.address,
                "version": each.version,
                "name": each.name,
                "how": HOW[each.how],
                "host": each.host or None,
                "where": place(each.where),
            }
            for each in plan.given
        ],
        "names": [
            {
                "name": each.name,
                "of": each.of,
                "addresses": list(each.addresses),
                "in_domain": not each.outside,
            }
            for each in plan.called
        ],
        "renamed": [{"thing": name, "label": label} for name, label in plan.renamed],
        "troubles": [
            {
                "things": list(each.things),
                "network": each.network or None,
                "says": each.says,
                "mend": each.mend,
                "where": place(each.where),
            }
            for each in plan.troubles
        ],
        "taken": [taken_plain(each) for each in plan.taken],
        "notes": list(plan.notes),
        "difference": None if changes is None else changes.difference,
        "by_hand": [] if changes is None else [{"of": of, "says": says} for of, says in changes.left],
    }


def _net(net: Net) -> Plain:
    return {
        "name": net.name,
        "vlan": net.vlan,
        "vlan_new": net.vlan_new,
        "subnet": _subnet(net.four),
        "subnet6": _subnet(net.six),
        "way_out": net.way_out or None,
        "blocks": [
            {
                "kind": each.kind,
                "first": str(ipaddress.IPv4Address(each.first)),
                "last": str(ipaddress.IPv4Address(each.last)),
                "size": each.size,
                "used": each.used,
                "said": each.said,
            }
            for each in net.blocks
        ],
        "on_it": net.on_it,
        "free": net.free,
        "where": place(net.where),
    }


def _subnet(subnet: Subnet | None) -> Plain | None:
    if subnet is None:
        return None
    return {"prefix": str(subnet.prefix), "how": subnet.how, "hosts": subnet.hosts, "needs": subnet.needs}
