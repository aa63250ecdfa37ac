"""Which addresses and which VLAN number does each network get?"""

from __future__ import annotations

import ipaddress
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from falsework import units
from falsework.analyses.addresses.members import Members, Said, holds
from falsework.analyses.addresses.result import How, Subnet, Trouble
from falsework.engines.addressing.cutting import Wanted, cut
from falsework.engines.addressing.prefixes import HOST_BITS_6, length_for
from falsework.engines.addressing.special import Prefix
from falsework.model.lab import Lab
from falsework.model.parts import Network, Switch
from falsework.support.taken import Taken
from falsework.units import Dimension

GROWS = 1.0
"""Growth where nobody says: to twice as many. Assumed; a subnet is easily drawn too small and hard to widen later."""
USUAL_GROWTH = (0.0, 3.0)
"""From a network that is finished to one that grows fourfold."""
UNTAGGED = 1
"""The number that switches give to ports of which nobody says anything: common practice, so it is not given away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Subnets:
    """What networks get, by name; None where one has none.

    Attributes:
        lies: the network of each address said at a service, in their order; None where it lies in no subnet.
    """

    four: Mapping[str, Subnet | None]
    six: Mapping[str, Subnet | None]
    lies: tuple[str | None, ...]
    troubles: tuple[Trouble, ...]
    taken: tuple[Taken, ...]


def vlans(lab: Lab) -> Mapping[str, tuple[int | None, bool]]:
    """The VLAN number of each network, and whether it is given now.

    One that shares a switch with another network needs a number; the lowest free ten does, then the lowest free
    number, 2 to 4094: 0 and 4095 are reserved (IEEE 802.1Q).
    """
    every = tuple(switch.id for switch in lab.of(Switch))
    over = {each.id: set(each.over.ids if each.over is not None else every) for each in lab.of(Network)}
    used = {each.vlan for each in lab.of(Network) if each.vlan is not None}
    found: dict[str, tuple[int | None, bool]] = {}
    for network in lab.of(Network):
        shares = any(over[network.id] & over[other] for other in over if other != network.id)
        if network.vlan is not None or not shares:
            found[network.id] = (network.vlan, False)
            continue
        free = (each for each in (*range(10, 4095, 10), *range(UNTAGGED + 1, 4095)) if each not in used)
        number = next(free, None)
        if number is not None:
            used.add(number)
        found[network.id] = (number, number is not None)
    return found


def subnets(
    lab: Lab, there: Members, said: Sequence[Said], numbers: Mapping[str, tuple[int | None, bool]]
) -> Subnets:
    """The subnets of both versions: as said, as follows from addresses that are kept, or cut from the ranges."""
    ranges = tuple(ipaddress.ip_network(each.subnet) for each in lab.ranges)
    declared = lab.of(Network)
    fixed: dict[int, dict[str, Prefix]] = {4: {}, 6: {}}
    for network in declared:
        for of, text in ((4, network.subnet), (6, network.subnet6)):
            if text:
                fixed[of][network.id] = ipaddress.ip_network(text)
    lies = tuple(_lies(each, fixed, ranges) for each in said)
    troubles: list[Trouble] = []
    taken: list[Taken] = []
    wanted: dict[int, list[Wanted]] = {4: [], 6: []}
    needs: dict[str, int] = {}
    for network in declared:
        count = _count(there[network.id].values(), lies.count(network.id))
        needs[network.id] = _needs(network, count, network.grows if network.grows is not None else GROWS)
        for version in (4, 6):
            if network.id in fixed[version] or not any(each.version == version for each in ranges):
                continue
            if version == 6:
                length = HOST_BITS_6
            else:
                try:
                    length = length_for(needs[network.id])
                except ValueError as error:
                    troubles.append(_too_many(network, str(error)))
                    continue
                taken.extend(_taken(network, count))
            numbers_held = _held(network.id, there, said, lies, version)
            likes = _liked(numbers[network.id][0], ranges) if version == 6 else None
            wanted[version].append(Wanted(name=network.id, length=length, holds=numbers_held, likes=likes))
    found: dict[int, dict[str, Subnet | None]] = {4: {}, 6: {}}
    for version in (4, 6):
        used = tuple(fixed[version].values())
        cuts = cut(ranges, used, wanted[version], version)
        hold = {each.name: bool(each.holds) for each in wanted[version]}
        for network in declared:
            prefix = fixed[version].get(network.id) or cuts.get(network.id)
            how: How = "said" if network.id in fixed[version] else "kept" if hold.get(network.id) else "cut"
            need = needs[network.id] if version == 4 else 0
            found[version][network.id] = (
                Subnet(prefix=prefix, how=how, needs=need) if prefix is not None else None
            )
            if network.id in cuts and prefix is None:
                wish = next(each for each in wanted[version] if each.name == network.id)
                troubles.append(_no_room(network, wish, version))
    if not ranges:
        bare = [each for each in declared if not any(found[version][each.id] for version in (4, 6))]
        troubles.extend(_no_ranges(each) for each in bare)
    return Subnets(
        four=found[4],
        six=found[6],
        lies=_again(said, lies, found),
        troubles=tuple(troubles),
        taken=tuple(taken),
    )


def _lies(each: Said, fixed: Mapping[int, Mapping[str, Prefix]], ranges: Sequence[Prefix]) -> str | None:
    """The network whose subnet an address lies in, or the likeliest that has none yet."""
    address = ipaddress.ip_address(each.address)
    known = fixed[address.version]
    inside = [name for name in known if holds(known[name], int(address), address.version)]
    if inside:
        return inside[0]
    if not any(holds(one, int(address), address.version) for one in ranges):
        return None
    return next((name for name in each.networks if name not in known), None)


def _again(
    said: Sequence[Said], lies: Sequence[str | None], found: Mapping[int, Mapping[str, Subnet | None]]
) -> tuple[str | None, ...]:
    """Where each address lies now that all subnets are known."""
    result: list[str | None] = []
    for each, name in zip(said, lies, strict=True):
        address = ipaddress.ip_address(each.address)
        subnets_of = found[address.version]
        candidates = (name, *subnets_of) if name is not None else tuple(subnets_of)
        result.append(
            next(
                (
                    one
                    for one in candidates
                    if (subnet := subnets_of[one]) is not None
                    and holds(subnet.prefix, int(address), address.version)
                ),
                None,
            )
        )
    return tuple(result)


def _count(those: Iterable[object], services: int) -> int:
    """How many addresses are on a network: of each member one, those of services, and one that leads out."""
    return sum(1 for _ in those) + services + 1


def _needs(network: Network, count: int, grows: float) -> int:
    """How many addresses it must hold in the end: `room for`, or what is on it and the pool, grown."""
    if network.room_for is not None:
        return max(network.room_for, count)
    return math.ceil((count + (network.pool_for or 0)) * (1 + grows))


def _taken(network: Network, count: int) -> tuple[Taken, ...]:
    if network.room_for is not None or network.grows is not None:
        return ()
    ends = [f"/{length_for(_needs(network, count, grows))}" for grows in USUAL_GROWTH]
    return (
        Taken(
            key="grows",
            things=(network.id,),
            value=_percent(GROWS),
            source="assumed",
            of=f"the size of the subnet of {network.id}",
            low=f"{ends[0]} (grows {_percent(USUAL_GROWTH[0])})",
            high=f"{ends[1]} (grows {_percent(USUAL_GROWTH[1])})",
            where=network.where,
        ),
    )


def _percent(share: float) -> str:
    return units.format(share, Dimension.SHARE)


def _held(
    name: str, there: Members, said: Sequence[Said], lies: Sequence[str | None], version: int
) -> tuple[int, ...]:
    """The addresses on a network that are kept, which its subnet must hold."""
    kept = [number for each in there[name].values() for number, of, _, _ in each.has if of == version]
    for each, network in zip(said, lies, strict=True):
        address = ipaddress.ip_address(each.address)
        if network == name and address.version == version:
            kept.append(int(address))
    return tuple(kept)


def _liked(vlan: int | None, ranges: Sequence[Prefix]) -> int | None:
    """The subnet of version 6 whose number reads like the VLAN's: 99 is ...:99::/64."""
    for each in ranges:
        if each.version == 6 and each.prefixlen <= HOST_BITS_6 and vlan is not None:
            digits = int(str(vlan), 16)
            if digits < 1 << (HOST_BITS_6 - each.prefixlen):
                return int(each.network_address) + (digits << HOST_BITS_6)
    return None


def _too_many(network: Network, says: str) -> Trouble:
    return Trouble(
        things=(network.id,),
        network=network.id,
        says=f"{network.id} gets no subnet: {says}",
        mend="lower `room for`, or split the network",
        where=network.place("room_for"),
    )


def _no_room(network: Network, wish: Wanted, version: int) -> Trouble:
    what = (
        f"a /{wish.length}"
        if not wish.holds
        else f"a /{wish.length} around the addresses that are kept on it"
    )
    return Trouble(
        things=(network.id,),
        network=network.id,
        says=f"{network.id} gets no subnet of version {version}: your ranges have no room for {what}",
        mend="add a range, or say `room for` where less will do",
        where=network.where,
    )


def _no_ranges(network: Network) -> Trouble:
    return Trouble(
        things=(network.id,),
        network=network.id,
        says=f"{network.id} has no subnet, and the lab has no ranges to cut one from",
        mend="say `subnet` at the network, or `ranges` under wire, such as 10.20.0.0/16",
        where=network.where,
    )
