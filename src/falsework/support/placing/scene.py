"""Which copies could run elsewhere, and on which hosts?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from falsework.model.domains import numbered
from falsework.model.placing import choices
from falsework.model.rules import majority_of
from falsework.model.services import Copy, Service
from falsework.support.standing import Standing


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """The copies whose place is open, and those that they keep company with.

    Attributes:
        standing: the lab, placed as it is today.
        copies: items, in lab order.
        may: by item, the hosts that it may run on, those that are out left out.
        hosts: bins, every host that some copy may run on.
        bin: the number of each host.
        items: the items of each service.
        services: by id.
    """

    standing: Standing
    copies: tuple[Copy, ...]
    may: tuple[tuple[str, ...], ...]
    hosts: tuple[str, ...]
    bin: Mapping[str, int]
    items: Mapping[str, tuple[int, ...]]
    services: Mapping[str, Service]
    _domains: dict[str, tuple[int, ...]] = field(default_factory=dict, init=False, repr=False)

    def spare(self, service: str) -> int:
        """How many copies of a service may be gone while it serves."""
        count = len(self.items[service])
        return count - majority_of(self.services[service].serves, count)

    def domains(self, level: str) -> tuple[int, ...]:
        """By bin the number of its domain; a host that shares none is a domain of its own."""
        if level not in self._domains:
            self._domains[level] = numbered(self.standing.shared, self.hosts, level)
        return self._domains[level]


def scene(standing: Standing) -> Scene:
    """Every copy of every service of which a copy has a choice, and of the services they keep company with."""
    lab = standing.lab
    services: dict[str, Service] = {service.id: service for service in lab.of(Service)}
    company = _company(tuple(services.values()))
    slots = {
        name: hosts
        for name, hosts in choices(lab.things).items()
        if name in company or any(len(each) > 1 for each in hosts)
    }
    copies = tuple(copy for copy in lab.of(Copy) if copy.service in slots)
    may = tuple(
        tuple(host for host in slots[copy.service][copy.number] if host not in standing.out)
        for copy in copies
    )
    open_hosts = {host for each in may for host in each}
    hosts = tuple(str(name) for name in lab.things if name in open_hosts)
    items: dict[str, list[int]] = {}
    for number, copy in enumerate(copies):
        items.setdefault(copy.service, []).append(number)
    return Scene(
        standing=standing,
        copies=copies,
        may=may,
        hosts=hosts,
        bin={host: number for number, host in enumerate(hosts)},
        items={name: tuple(each) for name, each in items.items()},
        services=services,
    )


def _company(services: Sequence[Service]) -> frozenset[str]:
    """Services that lie beside, near or away from others, and those others."""
    found: set[str] = set()
    for service in services:
        for each in (*service.beside, *service.away_from, *service.near):
            found.update((str(service.id), *each.of.ids))
    return frozenset(found)
