"""Which port is each cable plugged into?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from falsework.errors import LimitError
from falsework.model import names
from falsework.model.declare import Say
from falsework.model.parts import Cable, Link, Node, Switch, Thing, ThingId
from falsework.model.resolve import Resolver

Port = tuple[ThingId, str]


@dataclass(frozen=True, slots=True)
class _End:
    """One end as meant: the machine, its port or None for the next free one, and the counters of `#`."""

    machine: ThingId
    port: str | None
    counters: tuple[str, ...]


def lay(links: tuple[Link, ...], resolver: Resolver, say: Say) -> tuple[Cable, ...]:
    """Every cable with both its ports, in the order written.

    Ports named in the file are taken first, in a pass of their own, so that "the next free port" is never
    one that a later line names. A machine without declared ports gets as many as it needs.
    """
    plans: list[tuple[Link, _End, _End]] = []
    for link in links:
        plans.extend((link, left, right) for left, right in _pairs(link, resolver, say))
    used: dict[Port, Link] = {}
    for link, *ends in plans:
        for end in ends:
            if end.port is not None:
                _take((end.machine, end.port), link, used, say)
    free = _FreePorts(resolver.things, used)
    cables: dict[str, Cable] = {}
    for link, left, right in plans:
        ports = tuple(free.port(end, link, say) for end in (left, right))
        if None in ports:
            continue
        (a, b) = ((left.machine, ports[0] or ""), (right.machine, ports[1] or ""))
        name = ThingId(f"{a[0]}.{a[1]} -- {b[0]}.{b[1]}")
        cables[name] = Cable(where=link.place("run"), id=name, ends=(a, b), group=link.group)
    return tuple(cables.values())


def _take(port: Port, link: Link, used: dict[Port, Link], say: Say) -> None:
    if port in used:
        other = used[port]
        say.fault(
            link.place("run"),
            f"port {port[0]}.{port[1]} is used twice (also at {other.place('run')})",
            "give each cable a port of its own",
        )
    used[port] = link


class _FreePorts:
    """Hands out the ports that nobody named."""

    def __init__(self, things: Mapping[ThingId, Thing], used: dict[Port, Link]) -> None:
        self.things, self.used = things, used
        self._next: dict[ThingId, int] = {}

    def port(self, end: _End, link: Link, say: Say) -> str | None:
        if end.port is not None:
            return end.port
        machine = self.things[end.machine]
        declared = list(machine.ports) if isinstance(machine, Node | Switch) else []
        position = self._next.get(end.machine, 0)
        while True:
            if position < len(declared):
                name = declared[position]
            elif declared:
                say.fault(
                    link.place("run"),
                    f"{end.machine} has {len(declared)} ports, and all are taken",
                    "give it more ports, or plug this cable in elsewhere",
                )
                return None
            else:
                name = str(position + 1)
            position += 1
            if (end.machine, name) not in self.used:
                self._next[end.machine] = position
                self.used[end.machine, name] = link
                return name


def _pairs(link: Link, resolver: Resolver, say: Say) -> list[tuple[_End, _End]]:
    sides = re.split(r"\s+--\s+", link.run.strip())
    where = link.place("run")
    if len(sides) != 2:
        say.fault(where, f"{link.run!r} has no two ends", "write it as in desk-*.a -- sw-1")
        return []
    left = _ends(sides[0], (), resolver, link, say)
    if not left:
        return []
    if "#" in sides[1]:
        right = [
            end
            for each in left
            for end in _ends(names.counted(sides[1], each.counters), (), resolver, link, say)
        ]
    else:
        right = _ends(sides[1], (), resolver, link, say)
    if not right:
        return []
    if len(right) == 1 and right[0].port is None:
        right = right * len(left)
    elif len(left) == 1 and left[0].port is None:
        left = left * len(right)
    if len(left) != len(right):
        say.fault(
            where,
            f"{sides[0]!r} means {len(left)} ports and {sides[1]!r} means {len(right)}",
            "name as many on both sides, or one machine without a port on one side",
        )
        return []
    return list(zip(left, right, strict=True))


def _ends(text: str, counters: tuple[str, ...], resolver: Resolver, link: Link, say: Say) -> list[_End]:
    """The ends that one side means: machines, or ports of machines."""
    where = link.place("run")
    found: list[_End] = []
    try:
        spread = names.spread(text) if ".." in text else ((text, counters),)
    except (ValueError, LimitError) as error:
        say.fault(where, str(error), "write a range as in desk-1..4")
        return []
    for name, own in spread:
        machines = resolver.match(name, ("node", "switch"))
        if machines:
            found.extend(_End(ThingId(each), None, own) for each in machines)
            continue
        holder, _, port = name.rpartition(".")
        machines = resolver.match(holder, ("node", "switch")) if holder else ()
        if not machines:
            say.fault(
                where, f"no node or switch is called {name!r}", resolver.suggestion(name, ("node", "switch"))
            )
            continue
        for each in machines:
            machine = resolver.things[ThingId(each)]
            declared = list(machine.ports) if isinstance(machine, Node | Switch) else []
            fits = names.pattern(port).fullmatch
            ports = [known for known in declared if fits(known)]
            if not declared and "*" not in port:
                ports = [port]
            if not ports:
                known = ", ".join(declared[:8]) or "none are declared"
                say.fault(where, f"{each} has no port {port!r}", f"its ports: {known}")
            found.extend(_End(ThingId(each), known, own) for known in ports)
    return found
