"""How are names and addresses written for machines that ask no server: as hosts text, and as CSV (RFC 4180)?"""

from __future__ import annotations

from falsework.analyses.addresses import Addresses, Given, Net
from falsework.analyses.addresses.telling import HOW
from falsework.faces.rows import csv_rows

COLUMNS = ("network", "vlan", "thing", "what", "name", "address", "version", "subnet", "how", "on")
"""Of the CSV file."""


def hosts_text(plan: Addresses) -> str:
    """A line for each address: itself, its name, and what else it is called; several names of one in one line.

    The format is the common one: an address, then names, apart by blanks; what follows a `#` is for people.
    """
    names: dict[str, dict[str, None]] = {}
    for row in plan.given:
        names.setdefault(row.address, {})[row.name] = None
    for each in plan.called:
        for address in each.addresses:
            names.setdefault(address, {})[each.name] = None
    end = f".{plan.domain}"
    lines = ["# Written by falsework from the lab file."]
    wide = max((len(address) for address in names), default=0)
    for address, those in names.items():
        short = dict.fromkeys(name.removesuffix(end) for name in those if name.endswith(end))
        every = dict.fromkeys((*those, *short))
        lines.append(f"{address:<{wide}}  {' '.join(every)}")
    return "\n".join((*lines, ""))


def csv_text(plan: Addresses) -> str:
    """A row for each address under a row of heads (RFC 4180)."""
    nets = {net.name: net for net in plan.nets}
    return csv_rows(COLUMNS, (_row(row, nets[row.network]) for row in plan.given))


def _row(row: Given, net: Net) -> tuple[object, ...]:
    subnet = net.four if row.version == 4 else net.six
    return (
        row.network,
        net.vlan if net.vlan is not None else "",
        row.thing,
        row.what,
        row.name,
        row.address,
        row.version,
        subnet.prefix if subnet is not None else "",
        HOW[row.how],
        row.host,
    )
