"""Which address, or which range, would be out of the way of the others?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator

from falsework.analyses.addresses import addresses
from falsework.analyses.addresses.members import copies_of
from falsework.analyses.addresses.result import Block
from falsework.errors import QuestionError
from falsework.findings.edits.writing import Edit, put
from falsework.findings.finding import Finding
from falsework.model.parts import Network, ThingId
from falsework.model.services import Service, owner
from falsework.support.standing import Standing

LEARNT = "nobody has learnt the old address yet, or is told the new one"


def kept_addresses(standing: Standing, finding: Finding) -> Iterator[Edit]:
    """The addresses that the plan gives now, said where the service is."""
    lab = standing.lab
    service = lab.things.get(ThingId(finding.things[0]))
    if not isinstance(service, Service):
        return
    given = {each.thing: each.address for each in addresses(lab).given if each.version == 4}
    found = []
    for copy in copies_of(lab).get(service.id, ()):
        address = given.get(copy.id) or given.get(copy.host)
        if address is None:
            return
        found.append(address)
    if found:
        yield Edit(
            says=f"say the addresses of {service.id}: {', '.join(found)}",
            texts=put(lab.files, service, "reached at", found if len(found) > 1 else found[0]),
            assumes=("its copies get these addresses, and keep them",),
        )


def out_of_the_pool(standing: Standing, finding: Finding) -> Iterator[Edit]:
    """The pool begun after, or ended before, an address of somebody; else that address from those given by hand."""
    lab = standing.lab
    thing, name = finding.things[:2]
    network = lab.things.get(ThingId(name))
    net = next((each for each in addresses(lab).nets if each.name == name), None)
    if not isinstance(network, Network) or net is None or net.four is None:
        return
    mine = [
        int(ipaddress.IPv4Address(each.address))
        for each in addresses(lab).given
        if each.thing == thing and each.network == name and each.version == 4
    ]
    yield from _readdressed(standing, thing, net.name, mine)
    for block in net.blocks:
        inside = [at for at in mine if block.first <= at <= block.last]
        if block.kind == "pool" and inside:
            before, behind = min(inside) - block.first, block.last - max(inside)
            first, last = (
                (block.first, min(inside) - 1) if before >= behind else (max(inside) + 1, block.last)
            )
            if first <= last:
                said = _range(first, last)
                yield Edit(
                    says=f"let the pool of {name} be {said}",
                    texts=put(lab.files, network, "pool", said),
                    assumes=(f"{last - first + 1} addresses are enough to give out on request",),
                )


def _readdressed(standing: Standing, thing: str, network: str, mine: list[int]) -> Iterator[Edit]:
    lab = standing.lab
    service = lab.things.get(ThingId(owner(lab.things, thing)))
    plan = addresses(lab)
    if not isinstance(service, Service) or not service.reached_at:
        return
    net = next(each for each in plan.nets if each.name == network)
    used = {int(ipaddress.IPv4Address(each.address)) for each in plan.given if each.version == 4}
    free = (
        number
        for block in net.blocks
        if block.kind == "fixed"
        for number in range(block.first, block.last + 1)
        if number not in used
    )
    new = []
    for address in service.reached_at:
        held = ipaddress.ip_address(address)
        if held.version == 4 and int(held) in mine:
            other = next(free, None)
            if other is None:
                return
            address = str(ipaddress.IPv4Address(other))
        new.append(address)
    yield Edit(
        says=f"reach {service.id} at {', '.join(new)}",
        texts=put(lab.files, service, "reached at", new if len(new) > 1 else new[0]),
        assumes=(LEARNT,),
    )


def widened(standing: Standing, finding: Finding) -> Iterator[Edit]:
    """The fixed range as far as nothing else begins."""
    lab = standing.lab
    name = finding.things[0]
    network = lab.things.get(ThingId(name))
    net = next((each for each in addresses(lab).nets if each.name == name), None)
    if not isinstance(network, Network) or net is None or net.four is None or not network.fixed:
        return
    fixed = [block for block in net.blocks if block.kind == "fixed"]
    if len(fixed) != 1 or network.fixed.count("-") != 1 or "," in network.fixed:
        return
    last = _room(fixed[0], net.blocks, int(net.four.prefix.broadcast_address))
    if last > fixed[0].last:
        said = _range(fixed[0].first, last)
        try:
            texts = put(lab.files, network, "fixed", said)
        except QuestionError:
            return
        yield Edit(
            says=f"let the fixed addresses of {name} be {said}",
            texts=texts,
            assumes=(f"nobody has an address behind {ipaddress.IPv4Address(fixed[0].last)} already",),
        )


def _room(fixed: Block, blocks: tuple[Block, ...], broadcast: int) -> int:
    """The last address before another block begins."""
    behind = [block.first for block in blocks if block.first > fixed.last and block is not fixed]
    return min([*behind, broadcast]) - 1


def _range(first: int, last: int) -> str:
    """As in `.2-.49` where only the last number differs, else in full."""
    if first >> 8 == last >> 8:
        return f".{first & 255}-.{last & 255}"
    return f"{ipaddress.IPv4Address(first)}-{ipaddress.IPv4Address(last)}"
