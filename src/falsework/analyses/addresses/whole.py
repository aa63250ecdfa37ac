"""Which subnet, VLAN number, address and name does everything in a lab get?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator, Sequence

from falsework.analyses.addresses.calling import Rows, called, servers, unnamed
from falsework.analyses.addresses.giving import hand_out
from falsework.analyses.addresses.members import Member, Members, Said, members, said, unreached
from falsework.analyses.addresses.naming import HOME
from falsework.analyses.addresses.result import Addresses, Called, Given, Net, Trouble
from falsework.analyses.addresses.subnets import Subnets, subnets, vlans
from falsework.engines.addressing.messages import LONGEST_MESSAGE, answer_octets
from falsework.engines.addressing.prefixes import collision, local_parts
from falsework.engines.addressing.special import own
from falsework.errors import QuestionError, few, shortened
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Network, Node
from falsework.support.taken import Taken

PLAIN_BYTES = 2
"""Bytes other than zero, of five, up to which a number looks chosen: at random, one in 1.7 million has so few."""


def addresses(lab: Lab) -> Addresses:
    """The plan of addresses of a lab.

    What the lab file says or keeps is never changed: subnets, VLAN numbers, what stands under `addresses`, `reached
    at` and `floats`. The rest is worked out from the file alone, so the same file gives the same plan; what is new
    stays the same for good once it is written into the file.

    Raises:
        QuestionError: the lab has no networks.
    """
    declared = lab.of(Network)
    if not declared:
        raise QuestionError(
            "the lab names no networks, so nothing can have an address",
            "Say under wire: `ranges: 10.20.0.0/16` and `networks: {house: {}}`.",
        )
    there = members(lab)
    theirs = tuple(said(lab, there))
    lost = unreached(lab, there)
    numbers = vlans(lab)
    cuts = subnets(lab, there, theirs, numbers)
    troubles = list(cuts.troubles)
    nets: list[Net] = []
    rows: list[Given] = []
    for network in declared:
        net, given, more = _one(lab, network, there[network.id], theirs, cuts, numbers[network.id])
        nets.append(net)
        rows.extend(given)
        troubles.extend(more)
    troubles.extend(_stray(theirs, cuts))
    if lost:
        troubles.append(_lost(lost))
    domain = lab.domain or HOME
    named = Rows(lab, domain, rows)
    names = called(lab, named)
    return Addresses(
        domain=domain,
        nets=tuple(nets),
        given=named.given,
        called=names,
        renamed=named.renamed,
        servers=servers(lab, named),
        troubles=tuple(troubles),
        taken=(*cuts.taken, *_domain(lab)),
        notes=(*_notes(lab, there), *_unnamed(lab, domain), *_long(names), *_chosen(lab)),
    )


def _one(
    lab: Lab,
    network: Network,
    there: dict[str, Member],
    theirs: Sequence[Said],
    cuts: Subnets,
    number: tuple[int | None, bool],
) -> tuple[Net, list[Given], tuple[Trouble, ...]]:
    """One network: its subnets, its blocks, and who has which address on it."""
    four, six = cuts.four[network.id], cuts.six[network.id]
    here = [each for each, name in zip(theirs, cuts.lies, strict=True) if name == network.id]
    services: dict[int, dict[int, str]] = {4: {}, 6: {}}
    for each in here:
        address = ipaddress.ip_address(each.address)
        services[address.version][int(address)] = each.service
    handed = hand_out(
        lab, network, there, services, four.prefix if four else None, six.prefix if six else None
    )
    rows = [row for member in there.values() for row in _rows(network.id, member)]
    rows.extend(
        Given(
            network=network.id,
            thing=each.thing,
            what=each.what,
            address=each.address,
            version=ipaddress.ip_address(each.address).version,
            how="said",
            host=each.host,
            where=each.where,
        )
        for each in here
    )
    out = handed.way_out
    net = Net(
        name=network.id,
        vlan=number[0],
        vlan_new=number[1],
        four=four,
        six=six,
        way_out=_text(*out) if out is not None else "",
        blocks=handed.blocks,
        on_it=len({row.thing for row in rows}),
        where=network.where,
    )
    return net, rows, handed.troubles


def _rows(network: str, member: Member) -> Iterator[Given]:
    """The addresses of a member, version 4 first."""
    for number, version, how, where in sorted(member.has, key=lambda each: each[1]):
        yield Given(
            network=network,
            thing=member.thing,
            what=member.what,
            address=_text(number, version),
            version=version,
            how=how,
            where=where,
        )


def _text(number: int, version: int) -> str:
    return str(ipaddress.IPv4Address(number) if version == 4 else ipaddress.IPv6Address(number))


def _stray(theirs: Sequence[Said], cuts: Subnets) -> Iterator[Trouble]:
    """Addresses of services that lie in no subnet."""
    for each, name in zip(theirs, cuts.lies, strict=True):
        if name is None:
            yield Trouble(
                things=(each.service,),
                network="",
                says=f"{each.address}, where {each.service} is reached, lies in no subnet",
                mend="say `subnet` at its network, or a range that holds it under wire",
                where=each.where,
            )


def _lost(nodes: Sequence[Node]) -> Trouble:
    names = [node.id for node in nodes]
    return Trouble(
        things=tuple(names),
        network="",
        says=f"{few(names)} {'is' if len(names) == 1 else 'are'} on no network",
        mend="add the cable under wire, or let a network run over the switch that it is plugged into",
        where=nodes[0].where,
    )


def _domain(lab: Lab) -> tuple[Taken, ...]:
    if lab.domain:
        return ()
    return (
        Taken(
            key="domain",
            things=(),
            value=HOME,
            source="RFC 8375, section 3",
            of="every name",
            where=lab.where,
        ),
    )


def _long(names: Sequence[Called]) -> Iterator[str]:
    """Names with more addresses than one message tells."""
    for each in names:
        for version in (4, 6):
            count = sum((":" in address) == (version == 6) for address in each.addresses)
            if count and answer_octets(each.name, count, version) > LONGEST_MESSAGE:
                yield (
                    f"{each.name} stands for {count} addresses of version {version}, more than a message of "
                    f"{LONGEST_MESSAGE} octets tells; who asks must be able to ask again over TCP (RFC 1035, section 4.2)"
                )


def _chosen(lab: Lab) -> Iterator[str]:
    """Local ranges whose number was hardly drawn at random, as it should be (RFC 4193, section 3.2.1)."""
    for each in lab.ranges:
        prefix = ipaddress.ip_network(each.subnet)
        if prefix.version != 6 or not own(prefix):
            continue
        drawn, _ = local_parts(prefix)
        if sum(byte != 0 for byte in drawn.to_bytes(5, "big")) <= PLAIN_BYTES:
            yield (
                f"{prefix} looks chosen by hand; others choose alike, and joining two such labs means renumbering one. "
                f"Drawn at random, two are the same with a chance of {collision(2):.1e} (RFC 4193, section 3.2.3)"
            )


def _unnamed(lab: Lab, domain: str) -> Iterator[str]:
    for name in unnamed(lab, domain):
        yield f"{shortened(name)!r} is no name that the name system takes, so it is in no zone and no list"


def _notes(lab: Lab, there: Members) -> Iterator[str]:
    """What follows from the file and may surprise."""
    if not lab.of(Cable):
        yield "The lab says nothing of cables, so every machine is taken to be on every network"
    alike: dict[frozenset[str], list[str]] = {}
    for name, those in there.items():
        machines = frozenset(each.thing for each in those.values() if each.what == "machine")
        alike.setdefault(machines, []).append(name)
    for machines, (first, *rest) in alike.items():
        if rest and len(machines) > 1:
            has, it, runs = ("has", "it", "it runs") if len(rest) == 1 else ("have", "them", "they run")
            yield (
                f"{few(rest)} {has} the same {len(machines)} machines on {it} as {first}, since {runs} over their "
                "switches too; say its `ports` to keep some off"
            )
