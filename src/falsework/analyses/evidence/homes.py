"""Which thing of the lab does a line of a log come from, and which service is it about?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator

from falsework.model.lab import Lab
from falsework.model.parts import Controller, Node, Switch, Ups
from falsework.model.services import Copy, Service


class Homes:
    """Finds things by the names and addresses that hosts go by; asked again and again, so answers are kept.

    A host is found by its own name in the lab file, with or without the lab's domain, by an address that the file gives,
    or by the first word of a long name; signs between letters do not matter, so `twin-1a` is `twin-1.a`.

    Args:
        lab: the lab.
    """

    def __init__(self, lab: Lab) -> None:
        self._domain = f".{lab.domain}" if lab.domain else ""
        self._things: dict[str, str] = {}
        self._services: dict[str, str] = {}
        self._found: dict[str, str] = {}
        for name, thing in _named(lab):
            self._things.setdefault(name, thing)
        for service in lab.of(Service):
            self._services.setdefault(_plain(service.id), service.id)

    def thing(self, host: str) -> str:
        """The thing that a host is; empty if the lab has none of that name."""
        if host not in self._found:
            if len(self._found) > 10_000:
                self._found.clear()
            self._found[host] = self._look(host)
        return self._found[host]

    def name(self, host: str) -> str:
        """What to call a host: the thing that it is, else its name without a domain."""
        found = self.thing(host)
        return found or (host if _is_address(host) else host.partition(".")[0])

    def service(self, app: str) -> str:
        """The service that a program or unit of this name is; empty if the lab has none."""
        return self._services.get(_plain(app.partition("@")[0]), "") if app else ""

    def _look(self, host: str) -> str:
        short = host.removesuffix(".").removesuffix(self._domain) if self._domain else host.removesuffix(".")
        for each in (host, short, short.partition(".")[0]):
            found = self._things.get(each.lower()) or (
                "" if _is_address(each) else self._things.get(_plain(each), "")
            )
            if found:
                return found
        return ""


def _named(lab: Lab) -> Iterator[tuple[str, str]]:
    """Every name and address of things that may write a log, the surest first."""
    machines = [each for sort in (Node, Switch, Ups, Controller) for each in lab.of(sort)]
    for each in (*machines, *lab.of(Copy), *lab.of(Service)):
        yield each.id.lower(), each.id
    for recorded in lab.recorded:
        yield recorded.address, recorded.thing
    for service in lab.of(Service):
        for address in (*service.reached_at, *(service.floats.address if service.floats else ())):
            yield address, service.id
        if service.named:
            yield service.named.name.lower(), service.id
    for each in (*machines, *lab.of(Copy), *lab.of(Service)):
        yield _plain(each.id), each.id


def _plain(name: str) -> str:
    return "".join(sign for sign in name.lower() if sign.isalnum())


def _is_address(text: str) -> bool:
    try:
        ipaddress.ip_address(text)
    except ValueError:
        return False
    return True
