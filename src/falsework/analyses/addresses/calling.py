"""Which names stand for which addresses?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from falsework.analyses.addresses.members import copies_of
from falsework.analyses.addresses.naming import full, under
from falsework.analyses.addresses.result import Called, Given
from falsework.engines.addressing.labels import is_name, labels, plain_label
from falsework.model.lab import Lab
from falsework.model.parts import Network, ThingId
from falsework.model.services import Copy, Service, owner


class Rows:
    """Every address with its name.

    A thing has its plain name on the first of its networks, in lab order, and one with the network in it on each
    other: `desk-1.rock.home.arpa` and `desk-1.care.rock.home.arpa`. The only copy of a service has the name of the
    service.

    Args:
        lab: the lab.
        domain: what names end in.
        rows: the addresses, by network in lab order.

    Attributes:
        given: the same with their names.
        renamed: things that did not get the label that their name would give.
    """

    def __init__(self, lab: Lab, domain: str, rows: Sequence[Given]) -> None:
        self.domain = domain
        self._copies = copies_of(lab)
        owners = {row.thing: self._name_of(lab, row.thing) for row in rows}
        self._label = labels(
            dict.fromkeys((*owners.values(), *self._services(lab, rows))),
            first=(self._name_of(lab, each.thing) for each in lab.recorded),
        )
        networks = labels(network.id for network in lab.of(Network))
        main: dict[str, str] = {}
        for row in rows:
            main.setdefault(owners[row.thing], row.network)
        self.given = tuple(
            replace(
                row,
                name=full(
                    self._label[owners[row.thing]],
                    "" if main[owners[row.thing]] == row.network else networks[row.network],
                    domain,
                ),
            )
            for row in rows
        )
        self.renamed = tuple(
            (name, label) for name, label in self._label.items() if label != plain_label(name)
        )

    def named(self, thing: str) -> str:
        """The full name of a thing on its first network."""
        return full(self._label[thing], self.domain)

    def _name_of(self, lab: Lab, thing: str) -> str:
        copy = lab.things.get(ThingId(thing))
        alone = isinstance(copy, Copy) and len(self._copies.get(copy.service, ())) == 1
        return owner(lab.things, thing) if alone else thing

    def _services(self, lab: Lab, rows: Sequence[Given]) -> Iterator[str]:
        """The services that have an address of their own."""
        for row in rows:
            if row.what in ("copy", "service", "floating"):
                yield owner(lab.things, row.thing)


def called(lab: Lab, rows: Rows) -> tuple[Called, ...]:
    """Every name with what it stands for: things, then services by their name, then names that clients look up."""
    found: dict[str, dict[str, None]] = {}
    whose: dict[str, str] = {}
    for row in rows.given:
        found.setdefault(row.name, {})[row.address] = None
        whose.setdefault(row.name, row.thing)
    own = _own(rows.given, lab)
    for service, addresses in own.items():
        name = rows.named(service)
        if name not in found:
            found[name] = dict.fromkeys(addresses)
            whose[name] = service
    outside: set[str] = set()
    for thing in lab.of(Service):
        if thing.named is None:
            continue
        name, inside = under(thing.named.name, rows.domain)
        addresses = own.get(thing.id) or _of_hosts(thing, rows, lab)
        if addresses and name not in found and is_name(name):
            found[name] = dict.fromkeys(addresses)
            whose[name] = thing.id
            if not inside:
                outside.add(name)
    return tuple(
        Called(name=name, addresses=tuple(addresses), of=whose[name], outside=name in outside)
        for name, addresses in found.items()
    )


def unnamed(lab: Lab, domain: str) -> tuple[str, ...]:
    """Names that services are said to have and that nobody can ask for, as they are no names of the name system."""
    return tuple(
        service.named.name
        for service in lab.of(Service)
        if service.named is not None and not is_name(under(service.named.name, domain)[0])
    )


def answering(lab: Lab) -> tuple[Service, ...]:
    """The services that answer for names: those that `named` says they are from, in the order in which it does."""
    asked = dict.fromkeys(
        name
        for service in lab.of(Service)
        if service.named is not None and service.named.from_ is not None
        for name in service.named.from_.ids
    )
    return tuple(each for each in lab.named(asked) if isinstance(each, Service))


def servers(lab: Lab, rows: Rows) -> tuple[str, ...]:
    """The names of those who answer for names: the copies, or else the machines, of what `named` says they are from."""
    own = _own(rows.given, lab)
    found: dict[str, None] = {}
    for service in answering(lab):
        addresses = set(own.get(service.id) or _of_hosts(service, rows, lab))
        of = [row for row in rows.given if row.address in addresses]
        of.sort(key=lambda row: owner(lab.things, row.thing) != service.id)
        met: set[str] = set()
        for row in of:
            if row.address not in met:
                met.add(row.address)
                found[row.name] = None
    return tuple(found)


def _own(rows: Sequence[Given], lab: Lab) -> Mapping[str, tuple[str, ...]]:
    """The addresses of each service that has some: those that float, else its own, else those of its copies."""
    by: dict[str, dict[str, list[str]]] = {}
    for row in rows:
        if row.what in ("floating", "service", "copy"):
            by.setdefault(owner(lab.things, row.thing), {}).setdefault(row.what, []).append(row.address)
    return {
        name: tuple(sorts.get("floating") or sorts.get("service") or sorts.get("copy") or ())
        for name, sorts in by.items()
    }


def _of_hosts(service: Service, rows: Rows, lab: Lab) -> tuple[str, ...]:
    """The addresses of the machines of a service that has none itself, on the first network on which they all are."""
    hosts = {copy.host for copy in lab.of(Copy) if copy.service == service.id}
    by: dict[str, dict[str, list[str]]] = {}
    for row in rows.given:
        if row.thing in hosts and row.what == "machine":
            by.setdefault(row.network, {}).setdefault(row.thing, []).append(row.address)
    if not by:
        return ()
    wanted = service.over.ids if service.over is not None else tuple(by)
    best = max(
        (name for name in wanted if name in by), key=lambda name: len(by[name]), default=next(iter(by))
    )
    return tuple(address for those in by[best].values() for address in those)
