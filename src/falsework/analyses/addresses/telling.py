"""How is a plan of addresses told in words, so that every face says the same?"""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence

from falsework.analyses.addresses.result import Addresses, Block, Given, Net, Subnet
from falsework.errors import counted, few

HOW = {"said": "said at the service", "kept": "recorded", "new": "new", "cut": "new"}
"""Where an address comes from, in a word or two."""
_HOW = {"said": "said", "kept": "around addresses that stay", "cut": "cut from your ranges", "new": "new"}


def headline(plan: Addresses) -> str:
    """One line: how many have addresses, and what is lacking."""
    things = len({(each.network, each.thing) for each in plan.given})
    said = [f"{counted(len(plan.given), 'address', 'addresses')} on {counted(len(plan.nets), 'network')}"]
    if plan.troubles:
        lacking = len({thing for each in plan.troubles for thing in each.things})
        said.append(f"{lacking} {'lacks' if lacking == 1 else 'lack'} one")
    else:
        said.append("nothing lacks one" if things else "nothing is on them")
    return ", ".join(said)


def kept_says(plan: Addresses) -> str:
    """What is kept, and what is not yet: a sentence without its full stop."""
    new, keys = len(plan.new), _keys(plan)
    if not new and not keys:
        return "All of it stands in the lab file, so it stays as it is whatever comes or goes"
    what = [*([counted(new, "address", "addresses")] if new else []), *keys]
    some = any(each.how == "kept" for each in plan.given)
    first = "" if some else "Nothing is recorded yet. "
    verb = "is" if len(what) == 1 and what[0].startswith("1 ") else "are"
    return f"{first}{few(what)} {verb} new, and kept only once --write has put them into the lab file"


def _keys(plan: Addresses) -> list[str]:
    """The keys of networks that are new."""
    vlans = sum(1 for net in plan.nets if net.vlan_new)
    subnets = sum(
        1
        for net in plan.nets
        for subnet in (net.four, net.six)
        if subnet is not None and subnet.how != "said"
    )
    found = []
    if subnets:
        found.append(counted(subnets, "subnet"))
    if vlans:
        found.append(counted(vlans, "VLAN number"))
    return found


def span_says(block: Block) -> str:
    """`10.20.10.2 - 10.20.10.49`, or the one address."""
    first, last = (str(ipaddress.IPv4Address(each)) for each in (block.first, block.last))
    return first if block.first == block.last else f"{first} - {last}"


def subnet_says(subnet: Subnet | None) -> str:
    """A subnet and where it comes from."""
    if subnet is None:
        return ""
    return str(subnet.prefix) if subnet.how == "said" else f"{subnet.prefix} ({_HOW[subnet.how]})"


def vlan_says(net: Net) -> str:
    """Its VLAN number, and whether that is new."""
    if net.vlan is None:
        return "-"
    return f"{net.vlan} (new)" if net.vlan_new else str(net.vlan)


def blocks_say(net: Net) -> tuple[str, ...]:
    """What each kind of block is, one clause a kind, in the order of their addresses."""
    found: dict[str, list[Block]] = {}
    for block in net.blocks:
        found.setdefault(block.kind, []).append(block)
    said = []
    for kind, blocks in found.items():
        spans = ", ".join(span_says(block) for block in blocks)
        if kind == "fixed":
            used, size = sum(each.used for each in blocks), sum(each.size for each in blocks)
            said.append(f"fixed {spans}: {used:,} of {size:,} given")
        elif kind == "way out":
            said.append(f"way out {spans}{'' if net.way_out and blocks[0].used else ': kept for one'}")
        elif kind == "pool":
            said.append(f"pool {spans}: {counted(sum(each.size for each in blocks), 'address', 'addresses')}")
        else:
            said.append(f"{kind} {spans}")
    return tuple(said)


def given_cells(rows: Sequence[Given]) -> tuple[str, str, str, str, str]:
    """The addresses of one thing on one network as cells: who, both versions, name, and where they come from."""
    first = rows[0]
    who = f"{first.thing} ({first.host})" if first.host else first.thing
    four, six = (" ".join(each.address for each in rows if each.version == version) for version in (4, 6))
    hows = dict.fromkeys(HOW[each.how] for each in rows)
    how = " and ".join(hows)
    if len(hows) > 1 and len(rows) == 2:
        how = f"{HOW[rows[0].how]}, version {rows[1].version} {HOW[rows[1].how]}"
    return who, four or "-", six or "-", first.name, how


def renamed_says(plan: Addresses) -> tuple[str, ...]:
    """Who is called otherwise since the name was taken."""
    return tuple(
        f"{name} is called {label}: another thing has the name that it would get"
        for name, label in plan.renamed
    )
