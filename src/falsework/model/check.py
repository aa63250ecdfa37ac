"""Does a lab make sense, once every reference is known to be good?"""

from __future__ import annotations

import ipaddress

from falsework.model.declare import Say
from falsework.model.lab import Lab
from falsework.model.needs import KINDS as NEED_KINDS
from falsework.model.parts import Cable, Circuit, Network, Node, Powered, Strip, Switch, Thing, ThingId, Ups
from falsework.model.rules import layout, majority_of
from falsework.model.services import Service, Store


def sense(lab: Lab, say: Say) -> None:
    """Note everything in the lab that contradicts itself."""
    _circles(lab, say)
    _outlets(lab, say)
    _quorums(lab, say)
    _layouts(lab, say)
    _addresses(lab, say)
    _cards(lab, say)
    _joined(lab, say)


def _circles(lab: Lab, say: Say) -> None:
    """Housing and power must end somewhere."""
    for attribute, word in (("in_", "housing"), ("fed_by", "power")):
        done: set[str] = set()
        for start in lab.things:
            trail: dict[str, None] = {}
            _walk(start, attribute, word, trail, done, lab, say)


def _walk(
    name: str, attribute: str, word: str, trail: dict[str, None], done: set[str], lab: Lab, say: Say
) -> None:
    """Follow the holders or feeds of one thing; the chains are short, and a circle ends them."""
    if name in done:
        return
    trail[name] = None
    for step in _next(lab, name, attribute):
        if step in trail:
            way = [*trail]
            circle = " -> ".join((*way[way.index(step) :], step))
            where = lab.things[ThingId(name)].place(attribute)
            say.fault(where, f"{word} runs in a circle: {circle}", "let one of them end outside the circle")
        elif len(trail) > 500:
            where = lab.things[ThingId(name)].place(attribute)
            say.fault(where, f"{word} is nested deeper than 500", "shorten the chain")
        else:
            _walk(step, attribute, word, trail, done, lab, say)
    del trail[name]
    done.add(name)


def _next(lab: Lab, name: str, attribute: str) -> tuple[str, ...]:
    bound = getattr(lab.things[ThingId(name)], attribute, None)
    return bound.ids if bound is not None else ()


def _outlets(lab: Lab, say: Say) -> None:
    """No more plugs in a strip than it has outlets; circuits have one feed."""
    plugs: dict[str, int] = {}
    for thing in lab.of(Powered):
        if thing.fed_by is not None:
            if isinstance(thing, Circuit | Ups | Strip):
                if len(thing.fed_by.ids) > 1:
                    say.fault(
                        thing.place("fed_by"),
                        f"{thing.id} is fed by {len(thing.fed_by.ids)} things",
                        "name one; a second feed needs a transfer switch, which is a node of its own",
                    )
                plugs[thing.fed_by.ids[0]] = plugs.get(thing.fed_by.ids[0], 0) + 1
            else:
                for source in thing.fed_by.ids:
                    plugs[source] = plugs.get(source, 0) + 1
            supplies = max(thing.supplies or 0, len(thing.fed_by.ids))
            if thing.enough and thing.enough > supplies:
                say.fault(
                    thing.place("enough"),
                    f"{thing.id} needs {thing.enough} supplies and has {supplies}",
                    "give it more feeds, or lower `enough`",
                )
    for strip in lab.of(Strip):
        if strip.outlets and plugs.get(strip.id, 0) > strip.outlets:
            say.fault(
                strip.place("outlets"),
                f"{strip.id} has {strip.outlets} outlets and {plugs[strip.id]} plugs in it",
                "plug something in elsewhere, or correct `outlets`",
            )


def _quorums(lab: Lab, say: Say) -> None:
    for service in lab.of(Service):
        count = sum(1 for copy in lab.things.values() if getattr(copy, "service", None) == service.id)
        try:
            needed = majority_of(service.serves, count)
        except ValueError as error:
            say.fault(service.place("serves"), str(error), "write any, majority, all, or at least 2")
            continue
        if needed > count:
            say.fault(
                service.place("serves"),
                f"{service.id} needs {needed} copies and has {count}",
                "give it more copies, or lower `serves`",
            )
        if service.reached_at and len(service.reached_at) not in (1, count):
            say.fault(
                service.place("reached_at"),
                f"{len(service.reached_at)} addresses for {count} copies of {service.id}",
                "give each copy one address, in order, or the service a single one",
            )
        if service.takes_over is not None and needed != 1:
            say.fault(
                service.place("takes_over"),
                f"{service.id} needs {needed} copies at once, so none is left to take over",
                "leave `takes over` out, or let it serve with any",
            )
    for thing in lab.things.values():
        for kind in ("run_and_start", *(name.replace(" ", "_") for name in NEED_KINDS)):
            for need in getattr(thing.needs, kind, ()) if thing.needs else ():
                if need.enough and need.enough > len(need.of.ids):
                    say.fault(
                        need.place("enough"),
                        f"{need.enough} of {len(need.of.ids)} things can't be had",
                        "name more, or lower `enough`",
                    )
                if thing.id in need.of.ids and len(need.of.ids) == 1:
                    say.fault(need.where, f"{thing.id!r} needs itself", "name something else")


def _layouts(lab: Lab, say: Say) -> None:
    for store in lab.of(Store):
        try:
            plan = layout(store.layout, len(store.drives.ids) - store.spares if store.drives else 0)
        except ValueError as error:
            say.fault(
                store.place("layout"),
                str(error),
                "write single, mirror, parity, double parity, triple parity, 3 copies, or 4+2 pieces",
            )
            continue
        if plan.least > plan.drives:
            say.fault(
                store.place("drives"),
                f"{store.layout!r} needs {plan.least} drives, and {store.id} has {plan.drives}",
                "give it more drives, or another layout",
            )


def _addresses(lab: Lab, say: Say) -> None:
    seen: dict[str, str] = {}
    subnets = []
    for network in lab.of(Network):
        for attribute, version in (("subnet", 4), ("subnet6", 6)):
            text = getattr(network, attribute)
            if not text:
                continue
            try:
                subnet = ipaddress.ip_network(text)
                if subnet.version != version:
                    raise ValueError(f"it is of version {subnet.version}")
            except ValueError as error:
                say.fault(
                    network.place(attribute),
                    f"{text!r} is no subnet: {error}",
                    "write it as in 10.20.10.0/24 or fd12:3456:789a:10::/64",
                )
                continue
            for other, name in subnets:
                if other.version == subnet.version and other.overlaps(subnet):
                    say.fault(
                        network.place(attribute), f"{text} overlaps the subnet of {name}", "cut the two apart"
                    )
            subnets.append((subnet, network.id))
    for service in lab.of(Service):
        floating = service.floats.address if service.floats else ()
        for address, place in (
            *((each, service.place("reached_at")) for each in service.reached_at),
            *((each, service.place("floats")) for each in floating),
        ):
            value = ipaddress.ip_address(address)
            alike = [subnet for subnet, _ in subnets if subnet.version == value.version]
            if alike and not any(value in subnet for subnet in alike):
                say.fault(
                    place,
                    f"{address} lies in no subnet of the lab",
                    "known: " + ", ".join(str(subnet) for subnet in alike),
                )
            if seen.setdefault(address, service.id) != service.id:
                say.fault(
                    place,
                    f"{address} is already the address of {seen[address]}",
                    "give one of them another address",
                )
    for thing in lab.things.values():
        for kind in ("run_and_start", *(name.replace(" ", "_") for name in NEED_KINDS)):
            for need in getattr(thing.needs, kind, ()) if thing.needs else ():
                for address in need.at:
                    known = [each for name in need.of.ids for each in _own(lab.things[ThingId(name)])]
                    if address not in known:
                        say.fault(
                            need.where,
                            f"{address} is no address of {', '.join(need.of.ids)}",
                            "known: " + ", ".join(known)
                            if known
                            else "give the service `reached at` or `floats`",
                        )


def _own(thing: Thing) -> tuple[str, ...]:
    if not isinstance(thing, Service):
        return ()
    return (*thing.reached_at, *(thing.floats.address if thing.floats else ()))


def _cards(lab: Lab, say: Say) -> None:
    for node in lab.of(Node):
        if node.controller and node.controller not in node.ports:
            say.fault(
                node.place("controller"),
                f"{node.id} has no port {node.controller!r}",
                "its ports: " + (", ".join(node.ports) or "none are declared"),
            )


def _joined(lab: Lab, say: Say) -> None:
    """A cable joins two machines, not one with itself."""
    for cable in lab.of(Cable):
        if cable.ends[0][0] == cable.ends[1][0]:
            say.fault(cable.where, f"this cable joins {cable.ends[0][0]} with itself", "name two machines")
    switches = {switch.id for switch in lab.of(Switch)}
    for network in lab.of(Network):
        if network.vlan is not None and not switches:
            say.fault(
                network.place("vlan"),
                f"{network.id} has a VLAN and the lab has no switch",
                "add the switch under machines",
            )
