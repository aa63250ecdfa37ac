"""Which addresses run out, are given twice, or may change under those who learnt them?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator

from falsework.analyses.addresses import Addresses, Net, addresses
from falsework.analyses.addresses.calling import answering
from falsework.analyses.addresses.members import copies_of
from falsework.analyses.addresses.telling import span_says
from falsework.engines.addressing.special import kept
from falsework.errors import counted, few
from falsework.findings.finding import Finding, Level
from falsework.model.lab import Lab
from falsework.model.parts import Network, ThingId

FULL = 0.9
"""The share of its fixed addresses from which a network is told as nearly full. Assumed."""


def given(lab: Lab) -> Iterator[Finding]:
    """What is worth telling of addresses; nothing of a lab that names no networks."""
    declared = {network.id: network for network in lab.of(Network)}
    if not declared:
        return
    plan = addresses(lab)
    for net in plan.nets:
        network = declared[ThingId(net.name)]
        yield from _full(plan, net, network)
        yield from _pool(plan, net, network)
        yield from _not_yours(network)
    if lab.ranges or lab.recorded:
        yield from _not_kept(lab, plan)


def _full(plan: Addresses, net: Net, network: Network) -> Iterator[Finding]:
    """A network with no fixed address left for somebody, or for few more."""
    spans = [block for block in net.blocks if block.kind == "fixed"]
    size, used = sum(block.size for block in spans), sum(block.used for block in spans)
    lacking = [thing for each in plan.troubles if each.network == net.name for thing in each.things]
    key = "fixed" if network.fixed else "subnet"
    if not size or (used < size * FULL and not lacking) or net.four is None:
        return
    where = ", ".join(span_says(block) for block in spans)
    says = f"{net.name} has {size - used:,} of {counted(size, 'fixed address', 'fixed addresses')} left"
    if lacking and used >= size:
        says = f"{net.name} has no fixed address left for {few(lacking)}"
    yield Finding(
        code="addresses run out",
        level=Level.REMARK,
        says=says,
        why=(f"fixed are {where}",),
        mend="widen `fixed`"
        if network.fixed
        else "give it a larger subnet while few have learnt its addresses",
        where=network.place(key),
        things=(net.name, *lacking),
    )


def _pool(plan: Addresses, net: Net, network: Network) -> Iterator[Finding]:
    """A pool that is too small, and addresses of somebody that lie in it."""
    spans = [block for block in net.blocks if block.kind == "pool"]
    size = sum(block.size for block in spans)
    if network.pool and network.pool_for is not None and size < network.pool_for:
        yield Finding(
            code="pool too small",
            level=Level.REMARK,
            says=f"the pool of {net.name} has {counted(size, 'address', 'addresses')}, and {network.pool_for:,} are to be given out on request",
            mend="widen `pool`, or lower `pool for`",
            where=network.place("pool"),
            things=(net.name,),
        )
    for each in plan.given:
        if each.network != net.name or each.version != 4:
            continue
        number = int(ipaddress.IPv4Address(each.address))
        if each.how != "new" and any(block.first <= number <= block.last for block in spans):
            yield Finding(
                code="address in the pool",
                level=Level.REMARK,
                says=f"{each.address} is of {each.thing} and lies in the pool of {net.name}",
                why=("who asks for an address may be given this one, and then two have it",),
                mend="end the pool before it, or give it a fixed address",
                where=each.where,
                things=(each.thing, net.name),
            )


def _not_yours(network: Network) -> Iterator[Finding]:
    """Subnets in blocks that are kept for something else, where hosts would answer all the same."""
    for key in ("subnet", "subnet6"):
        text = getattr(network, key)
        special = kept(ipaddress.ip_network(text), "plan") if text else None
        if special is not None:
            yield Finding(
                code="subnet kept for others",
                level=Level.REMARK,
                says=f"{network.id} has {text}, and {special.block} is kept for {special.called}",
                why=(special.source,),
                mend="move it to a private range (RFC 1918, RFC 4193) while few have learnt its addresses",
                where=network.place(key),
                things=(network.id,),
            )


def _not_kept(lab: Lab, plan: Addresses) -> Iterator[Finding]:
    """Who answers for names at addresses that nothing keeps: clients can't look those up, so they learn them."""
    of, new = copies_of(lab), {each.thing for each in plan.new if each.version == 4}
    for service in answering(lab):
        if service.reached_at or service.floats is not None:
            continue
        copies = of.get(service.id, ())
        loose = dict.fromkeys(each for copy in copies for each in (copy.id, copy.host) if each in new)
        mine = tuple(each for each in loose if each not in {copy.host for copy in copies if copy.id in new})
        if mine:
            yield Finding(
                code="address not kept",
                level=Level.REMARK,
                says=f"{service.id} answers for names, so clients learn its address, and nothing keeps that of {few(mine)}",
                why=("a machine more may shift it, and who has learnt the old one finds no name any more",),
                mend="say `reached at`, or let `falsework addresses --write` record it",
                where=service.where,
                things=(service.id, *mine),
                services=(service.id,),
            )
