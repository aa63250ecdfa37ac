"""Does a lab make sense, once its references are bound?"""

from __future__ import annotations

import ipaddress
from collections import Counter
from collections.abc import Iterator

from falsework import units
from falsework.engines.addressing.special import Prefix, overlap
from falsework.errors import listed
from falsework.model.checks.addresses import addresses
from falsework.model.checks.bounds import DEEPEST
from falsework.model.checks.drives import drives
from falsework.model.checks.noise import noise
from falsework.model.checks.power import power
from falsework.model.checks.probing import probing
from falsework.model.checks.rack import rack
from falsework.model.checks.timing import timing
from falsework.model.checks.traffic import traffic
from falsework.model.checks.wire import wire
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import Circuit, Network, Node, Part, Powered, Strip, Switch, Thing, ThingId, Ups
from falsework.model.resolve import Excused, NoSuch, Resolver
from falsework.model.rules import address_range, layout, majority_of
from falsework.model.services import Copy, Service, Store
from falsework.units import YEAR_S, Dimension, Quantity


def sense(lab: Lab, tell: Tell, resolver: Resolver) -> None:
    """Note everything in the lab that contradicts itself.

    Args:
        lab: perhaps with parts missing, where faults were noted already.
        tell: notes faults; what seems odd in a shaky thing is left alone.
        resolver: knows the things of the lab.
    """
    firm = [thing for thing in lab.things.values() if not tell.is_shaky(thing)]
    _circles(lab, "in_", "housing", tell)
    _circles(lab, "fed_by", "power", tell)
    _circles(lab, "state_in", "state", tell)
    _feeds(lab, firm, tell)
    _outlets(firm, tell)
    _lives(firm, tell)
    timing(firm, tell)
    _quorums(lab, firm, tell)
    _needs(lab, firm, tell)
    _company(firm, tell)
    _layouts(firm, tell)
    _networks(firm, tell)
    _addresses(lab, firm, tell)
    _ports(firm, resolver, tell)
    power(lab, firm, tell)
    noise(lab, firm, tell)
    drives(lab, firm, tell)
    addresses(lab, firm, tell)
    rack(lab, firm, tell)
    wire(lab, firm, tell)
    traffic(lab, firm, tell)
    probing(firm, tell)


def _circles(lab: Lab, attribute: str, word: str, tell: Tell) -> None:
    """Housing, power and state must end somewhere."""
    done: set[str] = set()

    def walk(name: str, trail: dict[str, None]) -> None:
        if name in done:
            return
        trail[name] = None
        thing = lab.things[ThingId(name)]
        bound = getattr(thing, attribute, None)
        for step in bound.ids if bound is not None else ():
            if step in trail:
                way = [*trail]
                circle = " -> ".join((*way[way.index(step) :], step))
                tell.fault(
                    thing, attribute, f"{word} runs in a circle: {circle}", "let it end outside the circle"
                )
            elif len(trail) >= DEEPEST:
                what = f"{word} goes through more than {DEEPEST} things"
                tell.fault(thing, attribute, what, "shorten the chain")
            else:
                walk(step, trail)
        del trail[name]
        done.add(name)

    for start in lab.things:
        walk(start, {})


def _feeds(lab: Lab, firm: list[Thing], tell: Tell) -> None:
    """Enough supplies, enough outlets, and one feed for what has only one plug."""
    plugs: Counter[str] = Counter()
    for powered in lab.of(Powered):
        if powered.fed_by is not None:
            plugs.update(powered.fed_by.ids)
    for thing in firm:
        if not isinstance(thing, Powered):
            continue
        feeds = len(thing.fed_by.ids) if thing.fed_by is not None else 0
        if isinstance(thing, Circuit | Ups | Strip):
            if feeds > 1:
                what = f"{thing.id} is fed by {feeds} things"
                mend = "name one; what switches over between two feeds is a machine of its own"
                tell.fault(thing, "fed_by", what, mend)
        elif thing.enough and feeds and thing.enough > max(thing.supplies or 0, feeds):
            what = f"{thing.id} needs {thing.enough} supplies and has {max(thing.supplies or 0, feeds)}"
            tell.fault(thing, "enough", what, "give it more feeds, or lower `enough`")
        if isinstance(thing, Ups) and thing.signals_at is None:
            for attribute, word in (("then_cuts", "then cuts"), ("heard_by", "heard by")):
                if getattr(thing, attribute) is not None:
                    what = f"{thing.id} never signals, so `{word}` does nothing"
                    tell.fault(thing, attribute, what, "say when it tells the machines: `signals at: 5 min`")
        if isinstance(thing, Strip) and thing.outlets and plugs[thing.id] > thing.outlets:
            what = f"{thing.id} has {thing.outlets} outlets and {plugs[thing.id]} plugs in it"
            tell.fault(thing, "outlets", what, "plug something in elsewhere, or correct `outlets`")


def _outlets(firm: list[Thing], tell: Tell) -> None:
    """One plug in each outlet that is named; told once for each outlet, at the second plug."""
    plugged: dict[tuple[str, int], list[Powered]] = {}
    for thing in firm:
        if isinstance(thing, Powered) and thing.fed_by is not None:
            for source, outlet in zip(thing.fed_by.ids, thing.fed_by.outlets, strict=False):
                if outlet is not None:
                    plugged.setdefault((source, outlet), []).append(thing)
    for (source, outlet), users in plugged.items():
        if len(users) > 1:
            first, second = users[:2]
            tell.fault(
                second,
                "fed_by",
                f"outlet {outlet} of {source} has {len(users)} plugs in it: {_plugs(users)};"
                f" the first is at {first.place('fed_by')}",
                "give each plug an outlet of its own; what splits an outlet is a strip of its own",
            )


def _plugs(users: list[Powered]) -> str:
    """Whose plugs they are, each machine once."""
    of = Counter(str(user.id) for user in users)
    return listed(name if number == 1 else f"{name} ({number})" for name, number in of.items())


def _lives(firm: list[Thing], tell: Tell) -> None:
    """Everything fails now and then, works longer than it is out, and no share is more than all."""
    for thing in firm:
        if isinstance(thing, Part):
            if thing.fails is not None and thing.fails.low <= 0:
                what = f"{thing.id} never fails, it says"
                tell.fault(thing, "fails", what, "everything does: give a small rate, such as 0.01 %/year")
            elif thing.fails is not None and thing.mends_in is not None:
                if thing.mends_in.low <= 0:
                    what = f"mending {thing.id} takes no time, it says"
                    tell.fault(thing, "mends_in", what, "give the time that it takes, such as 1 h")
                elif thing.mends_in.high * thing.fails.high >= YEAR_S:
                    mends = units.format(thing.mends_in.high, Dimension.TIME)
                    works = units.format(YEAR_S / thing.fails.high, Dimension.TIME)
                    what = f"mending {thing.id} takes up to {mends}, and it fails every {works}"
                    key = "mends_in" if "mends_in" in thing.places else "fails"
                    tell.fault(thing, key, what, "a part works longer than it is out: correct one of the two")
            _share(thing, "with_others", thing.with_others, tell)
        elif isinstance(thing, Service):
            _share(thing, "stumbles", thing.stumbles, tell)
            if thing.drilled_every is not None and thing.drilled_every <= 0:
                tell.fault(
                    thing,
                    "drilled_every",
                    "it is drilled all the time, it says",
                    "give the time between two drills",
                )


def _share(thing: Thing, attribute: str, share: Quantity | None, tell: Tell) -> None:
    if share is not None and not 0 < share.low <= share.high <= 1:
        what = f"{units.format(share.low, Dimension.SHARE)} to {units.format(share.high, Dimension.SHARE)} is no share"
        tell.fault(thing, attribute, what, "give more than 0 and at most 100 %")


def _quorums(lab: Lab, firm: list[Thing], tell: Tell) -> None:
    """As many copies as serving takes, and addresses that fit them."""
    copies = Counter(copy.service for copy in lab.of(Copy))
    for service in firm:
        if not isinstance(service, Service):
            continue
        count = copies[service.id]
        try:
            needed = majority_of(service.serves, count)
        except ValueError as error:
            tell.fault(service, "serves", str(error), "write any, majority, all, or at least 2")
            continue
        if needed > count > 0:
            what = f"{service.id} needs {needed} copies and has {count}"
            tell.fault(service, "serves", what, "give it more copies, or lower `serves`")
        if service.reached_at and count and len(service.reached_at) not in (1, count):
            what = f"{len(service.reached_at)} addresses for {count} copies of {service.id}"
            mend = "give each copy one address, in order, or the service a single one"
            tell.fault(service, "reached_at", what, mend)
        if service.takes_over is not None and needed > 1:
            what = f"{service.id} needs {needed} copies at once, so none is left to take over"
            tell.fault(service, "takes_over", what, "leave `takes over` out, or let it serve with any")


def _needs(lab: Lab, firm: list[Thing], tell: Tell) -> None:
    """Needs that can be met, and addresses that are there."""
    for thing in firm:
        for need in _all_needs(thing):
            if need.enough and need.enough > len(need.of.ids):
                what = f"{need.enough} of {len(need.of.ids)} things can't be had"
                tell.at(thing, "needs", need.place("enough"), what, "name more, or lower `enough`")
            if need.of.ids == (thing.id,):
                what = f"{thing.id} needs itself"
                tell.at(thing, "needs", need.where, what, "name something else")
            if not need.at:
                continue
            known = [address for name in need.of.ids for address in _own(lab.things[ThingId(name)])]
            mend = "give the service `reached at` or `floats`"
            for address in need.at:
                if address not in known:
                    what = f"{address} is no address of {', '.join(need.of.ids)}"
                    told = "known: " + ", ".join(known) if known else mend
                    tell.at(thing, "needs", need.place("at"), what, told)


def _all_needs(thing: Thing) -> Iterator[Need]:
    needs = thing.needs
    if needs is not None:
        yield from needs.run_and_start
        yield from needs.to_run
        yield from needs.to_start
        yield from needs.to_take_over
        yield from needs.to_build
        yield from needs.to_mend
        yield from needs.to_restore


def _own(thing: Thing) -> tuple[str, ...]:
    """The addresses by which a thing is reached."""
    if not isinstance(thing, Service):
        return ()
    return (*thing.reached_at, *(thing.floats.address if thing.floats else ()))


def _company(firm: list[Thing], tell: Tell) -> None:
    """Nothing lies beside, near or away from itself: `apart` says how its own copies lie."""
    for thing in firm:
        if not isinstance(thing, Service):
            continue
        for key in ("beside", "away_from", "near"):
            for company in getattr(thing, key):
                if thing.id in company.of.ids:
                    words = key.replace("_", " ")
                    tell.fault(
                        thing,
                        key,
                        f"{thing.id!r} is to be {words} itself",
                        "name other services; `apart` keeps its own copies from each other",
                    )


def _layouts(firm: list[Thing], tell: Tell) -> None:
    """Drives enough for each layout."""
    for store in firm:
        if not isinstance(store, Store) or store.drives is None:
            continue
        count = len(store.drives.ids) - store.spares
        if count < 1:
            what = f"{store.id} has {_drives(len(store.drives.ids))}, and {store.spares} wait as spares"
            tell.fault(store, "spares", what, "lower `spares`, or name more drives")
            continue
        if store.layout == "mirror" and count % 2:
            what = f"a mirror is made of pairs, and {store.id} has {_drives(count)}"
            tell.fault(store, "drives", what, "name one more, or one less")
            continue
        try:
            plan = layout(store.layout, count)
        except ValueError as error:
            mend = "write single, mirror, parity, double parity, triple parity, 3 copies, or 4+2 pieces"
            tell.fault(store, "layout", str(error), mend)
            continue
        if plan.least > plan.drives:
            what = f"{store.layout!r} needs {_drives(plan.least)}, and {store.id} has {plan.drives}"
            tell.fault(store, "drives", what, "give it more drives, or another layout")


def _drives(count: int) -> str:
    return "1 drive" if count == 1 else f"{count} drives"


def _networks(firm: list[Thing], tell: Tell) -> None:
    """Subnets apart from each other, and ranges inside them."""
    subnets: list[tuple[Prefix, int, Network, str]] = []
    has_switch = any(isinstance(thing, Switch) for thing in firm)
    for network in firm:
        if not isinstance(network, Network):
            continue
        if network.vlan is not None and not has_switch:
            what = f"{network.id} has a VLAN and the lab has no switch"
            tell.fault(network, "vlan", what, "add the switch to the section machines")
        for attribute in ("subnet", "subnet6"):
            if text := getattr(network, attribute):
                subnets.append((ipaddress.ip_network(text), len(subnets), network, attribute))
        for attribute in ("pool", "fixed", "reserved"):
            if text := getattr(network, attribute):
                try:
                    address_range(text, network.subnet)
                except ValueError as error:
                    tell.fault(network, attribute, str(error), "write it as in .100-.199, beside a subnet")
    # Of two subnets that overlap one lies in the other, so in this order it lies in the last one still open.
    around: list[tuple[Prefix, int, Network, str]] = []
    for each in sorted(subnets, key=lambda each: (each[0].version, int(each[0][0]), each[0].prefixlen)):
        while around and not overlap(around[-1][0], each[0]):
            around.pop()
        if around:
            (first, _, one, _), (second, _, network, attribute) = sorted(
                (around[-1], each), key=lambda either: either[1]
            )
            what = f"{second} overlaps {first}, the subnet of {one.id}"
            tell.fault(network, attribute, what, "cut the two apart")
        around.append(each)


def _addresses(lab: Lab, firm: list[Thing], tell: Tell) -> None:
    """Each address in a subnet, and nobody else's."""
    seen: dict[str, str] = {}
    subnets_of = {
        network.id: [ipaddress.ip_network(text) for text in (network.subnet, network.subnet6) if text]
        for network in lab.of(Network)
    }
    every = frozenset(subnet for subnets in subnets_of.values() for subnet in subnets)
    lengths = {(subnet.version, subnet.prefixlen) for subnet in every}
    for service in firm:
        if not isinstance(service, Service):
            continue
        over = service.over.ids if service.over is not None else None
        near = (
            every if over is None else {each for name in over for each in subnets_of.get(ThingId(name), ())}
        )
        written = [(each, "reached_at") for each in service.reached_at]
        if service.floats:
            written.extend((each, "floats") for each in service.floats.address)
        for text, attribute in written:
            version = ipaddress.ip_address(text).version
            inside = any(
                ipaddress.ip_network((text, length), strict=False) in near
                for each, length in lengths
                if each == version
            )
            known = [] if inside else sorted(str(each) for each in near if each.version == version)
            if known:
                what = f"{text} lies in no subnet of {'the lab' if over is None else 'its networks'}"
                tell.fault(service, attribute, what, f"known: {listed(known)}")
            if text in seen:
                what = f"{text} is already an address of {seen[text]}"
                tell.fault(service, attribute, what, "give one of them another address")
            seen[text] = service.id


def _ports(firm: list[Thing], resolver: Resolver, tell: Tell) -> None:
    """Ports that cards, controllers and networks name must be there."""
    for thing in firm:
        if isinstance(thing, Node):
            known = f"its ports: {listed(thing.ports) or 'none are declared'}"
            for card, ports in thing.cards.items():
                for port in ports:
                    if port not in thing.ports:
                        what = f"{thing.id} has no port {port!r} for its card {card!r}"
                        tell.fault(thing, "cards", what, known)
            if thing.controller and thing.controller not in thing.ports:
                what = f"{thing.id} has no port {thing.controller!r} for its controller"
                tell.fault(thing, "controller", what, known)
        elif isinstance(thing, Network):
            for reference in thing.ports:
                try:
                    resolver.ports(reference)
                except Excused:
                    continue
                except NoSuch as error:
                    tell.fault(thing, "ports", error.what, error.mend)
