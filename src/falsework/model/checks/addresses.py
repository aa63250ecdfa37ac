"""Do ranges, subnets, blocks and recorded addresses contradict each other?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator, Sequence

from falsework.engines.addressing.prefixes import hosts, usable
from falsework.engines.addressing.special import Prefix, kept, overlap
from falsework.errors import listed, nearest
from falsework.model.addressing import Recorded
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Network, Switch, Thing, ThingId
from falsework.model.rules import address_range
from falsework.model.services import Copy, Service

BLOCKS = ("fixed", "pool", "reserved")


def addresses(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in ranges, subnets, blocks, VLAN numbers and recorded addresses.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults.
    """
    _ranges(lab, tell)
    networks = [thing for thing in firm if isinstance(thing, Network)]
    for network in networks:
        _special(network, tell)
        _too_small(network, tell)
        _blocks(network, tell)
    _vlans(lab, networks, tell)
    _ends(lab, firm, tell)
    _recorded(lab, tell)


def _ranges(lab: Lab, tell: Tell) -> None:
    """The owner's own, apart from each other."""
    say = tell.say.at("wire.ranges")
    seen: list[Prefix] = []
    for each in lab.ranges:
        prefix = ipaddress.ip_network(each.subnet)
        special = kept(prefix, "never", "plan")
        if special is not None:
            mend = (
                "take one of 10.0.0.0/8, 172.16.0.0/12 or 192.168.0.0/16 (RFC 1918)"
                if prefix.version == 4
                else "take fd with ten more digits drawn at random, such as fd4a:9c1e:20::/48 (RFC 4193)"
            )
            what = f"{prefix} is not yours to give: {special.block} is kept for {special.called} ({special.source})"
            say.fault(each.where, what, mend)
        other = next((one for one in seen if overlap(one, prefix)), None)
        if other is not None:
            say.fault(each.where, f"{prefix} overlaps {other}", "leave one of the two out")
        seen.append(prefix)


def _subnets(network: Network) -> Iterator[tuple[str, Prefix]]:
    for attribute in ("subnet", "subnet6"):
        if text := getattr(network, attribute):
            yield attribute, ipaddress.ip_network(text)


def _special(network: Network, tell: Tell) -> None:
    """No subnet where no host can have an address."""
    for attribute, prefix in _subnets(network):
        special = kept(prefix, "never")
        if special is not None:
            what = f"no host can have an address in {prefix}: {special.block} is kept for {special.called} ({special.source})"
            tell.fault(network, attribute, what, "give it a subnet of your own ranges")


def _too_small(network: Network, tell: Tell) -> None:
    """A subnet with room for what it must hold."""
    if not network.subnet:
        return
    prefix = ipaddress.ip_network(network.subnet)
    room = hosts(prefix)
    for attribute, word in (("room_for", "room for"), ("pool_for", "pool for")):
        wanted = getattr(network, attribute)
        if wanted is not None and wanted > room:
            what = f"{prefix} has {room:,} addresses for hosts, and `{word}` says {wanted:,}"
            tell.fault(network, attribute, what, "give it a larger subnet, or lower this")


def _span(network: Network, attribute: str) -> tuple[int, int] | None:
    text = getattr(network, attribute)
    try:
        low, high = address_range(text, network.subnet)
    except ValueError:  # nothing is said, or what is said is told of elsewhere
        return None
    return int(low), int(high)


def _blocks(network: Network, tell: Tell) -> None:
    """What is given by hand, given out on request and kept free is never the same address."""
    spans = [(attribute, _span(network, attribute)) for attribute in BLOCKS]
    known = [(attribute, span) for attribute, span in spans if span is not None]
    for number, (attribute, span) in enumerate(known):
        for other, before in known[:number]:
            if span[0] <= before[1] and before[0] <= span[1]:
                first = ipaddress.IPv4Address(max(span[0], before[0]))
                what = f"{first} is in `{other}` and in `{attribute}` of {network.id}"
                tell.fault(network, attribute, what, "let the two end before each other")


def _vlans(lab: Lab, networks: Sequence[Network], tell: Tell) -> None:
    """On one switch one number is one network."""
    every = frozenset(switch.id for switch in lab.of(Switch))
    by: dict[int, list[Network]] = {}
    for network in networks:
        if network.vlan is not None:
            by.setdefault(network.vlan, []).append(network)
    for vlan, those in by.items():
        for number, network in enumerate(those):
            for other in those[:number]:
                shared = _over(network, every) & _over(other, every)
                if shared:
                    what = f"VLAN {vlan} is {other.id} on {listed(sorted(shared), 3)} already ({other.place('vlan')})"
                    tell.fault(network, "vlan", what, "give one of the two another number")


def _over(network: Network, every: frozenset[ThingId]) -> frozenset[str]:
    return frozenset(every if network.over is None else network.over.ids)


def _ends(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """No service is reached at an address that stands for a whole subnet."""
    prefixes = [prefix for network in lab.of(Network) for _, prefix in _subnets(network)]
    for service in firm:
        if not isinstance(service, Service):
            continue
        said = [(each, "reached_at") for each in service.reached_at]
        said.extend((each, "floats") for each in (service.floats.address if service.floats else ()))
        for text, attribute in said:
            no_host = _no_host(text, prefixes)
            if no_host:
                tell.fault(service, attribute, no_host, "give it an address between the two ends")


def _no_host(text: str, prefixes: Sequence[Prefix]) -> str:
    """Why no host can have an address, or nothing."""
    address = ipaddress.ip_address(text)
    for prefix in prefixes:
        if prefix.version == address.version and address in prefix:
            low, high = usable(prefix)
            if not low <= int(address) <= high:
                return f"{text} is an end of {prefix} and stands for all of it, so no host can have it"
    return ""


def _recorded(lab: Lab, tell: Tell) -> None:
    """What is recorded is of somebody, in the subnet of its network, and nobody else's."""
    networks = {str(network.id): network for network in lab.of(Network)}
    excused = len(tell.say.faults) > 0
    served = _served(lab)
    seen: dict[str, Recorded] = {}
    for each in lab.recorded:
        say = tell.say.at(f"addresses.{each.network}.{each.thing}")
        network = networks.get(each.network)
        if network is None:
            if not excused:
                say.fault(each.where, f"there is no network {each.network!r}", _known(each.network, networks))
            continue
        if ThingId(each.thing) not in lab.things:
            if not excused:
                close = nearest(each.thing, lab.things)
                meant = f"did you mean {close!r}? " if close else ""
                mend = f"{meant}if it is gone for good, take the line out, and its address is free again"
                say.fault(each.where, f"there is nothing called {each.thing!r}", mend)
            continue
        address = ipaddress.ip_address(each.address)
        prefixes = [prefix for _, prefix in _subnets(network) if prefix.version == address.version]
        if prefixes and not any(address in prefix for prefix in prefixes):
            what = f"{each.address} lies outside {prefixes[0]}, the subnet of {each.network}"
            say.fault(each.where, what, "correct one of the two")
        elif no_host := _no_host(each.address, prefixes):
            say.fault(each.where, no_host, "give it an address between the two ends")
        before = seen.setdefault(each.address, each)
        if before.thing != each.thing:
            what = f"{each.address} is already the address of {before.thing} ({before.where})"
            say.fault(each.where, what, "give one of them another address")
        elif each.address in served and each.thing not in served[each.address]:
            whose = next(iter(served[each.address]))
            what = f"{each.address} is already an address of {whose}, which does not run on {each.thing}"
            say.fault(each.where, what, "give one of them another address")


def _known(word: str, known: dict[str, Network]) -> str:
    close = nearest(word, known)
    return f"did you mean {close!r}?" if close else f"known: {listed(known)}"


def _served(lab: Lab) -> dict[str, tuple[str, ...]]:
    """The addresses that services say, each with whom it may be recorded for: the service, its copy, its host."""
    found: dict[str, tuple[str, ...]] = {}
    copies: dict[str, list[Copy]] = {}
    for copy in lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy)
    for service in lab.of(Service):
        those = sorted(copies.get(service.id, ()), key=lambda each: each.number)
        each_its_own = len(those) == len(service.reached_at)
        for number, address in enumerate(service.reached_at):
            of = those[number : number + 1] if each_its_own else those
            found[address] = (service.id, *(copy.id for copy in of), *(copy.host for copy in of))
        for address in service.floats.address if service.floats is not None else ():
            found[address] = (service.id,)
    return found
