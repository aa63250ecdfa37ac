"""Which port is each cable plugged into?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from falsework.errors import LimitError, shortened
from falsework.model import names
from falsework.model.declare import Say
from falsework.model.parts import Cable, Link, Node, Switch, Thing, ThingId
from falsework.model.resolve import MACHINES_WITH_PORTS, Excused, NoSuch, Port, Resolver


@dataclass(frozen=True, slots=True)
class _End:
    """One end as meant: the machine, its port or None for the next free one, and the counters for `#`."""

    machine: ThingId
    port: str | None
    counters: tuple[str, ...]


def lay(links: tuple[Link, ...], resolver: Resolver, say: Say) -> tuple[Cable, ...]:
    """Every cable with both its ports, in the order written.

    Ports named in the file are taken first, in a pass of their own, so that "the next free port" is never
    one that a later line names. A machine without declared ports gets as many as it needs.

    Raises:
        LimitError: the ends mean more than the tool takes.
    """
    plans: list[tuple[Link, _End, _End]] = []
    for link in links:
        try:
            plans.extend((link, left, right) for left, right in _pairs(link, resolver))
        except Excused:
            say.excuse()
        except NoSuch as error:
            say.fault(link.place("run"), error.what, error.mend)
        if len(plans) > names.MOST:
            raise LimitError(
                f"there are more than {names.MOST:,} cables", "Shorten the ranges, or split the lab."
            )
    used: dict[Port, Link] = {}
    for link, *ends in plans:
        for end in ends:
            if end.port is not None:
                _take((end.machine, end.port), link, used, say)
    free = _FreePorts(resolver.things, used)
    cables: dict[str, Cable] = {}
    for link, left, right in plans:
        first, second = (free.port(end, link, say) for end in (left, right))
        if first is None or second is None:
            continue
        a, b = (left.machine, first), (right.machine, second)
        name = ThingId(f"{a[0]}.{a[1]} -- {b[0]}.{b[1]}")
        cables[name] = Cable(
            where=link.place("run"),
            id=name,
            ends=(a, b),
            group=link.group,
            speed=link.speed,
            length=link.length,
            colour=link.colour,
            notices_in=link.notices_in,
        )
    return tuple(cables.values())


def _take(port: Port, link: Link, used: dict[Port, Link], say: Say) -> None:
    if port in used:
        what = f"port {port[0]}.{port[1]} is used twice, first at {used[port].place('run')}"
        say.fault(link.place("run"), what, "give each cable a port of its own")
    else:
        used[port] = link


class _FreePorts:
    """Hands out the ports that nobody named."""

    def __init__(self, things: Mapping[ThingId, Thing], used: dict[Port, Link]) -> None:
        self._things, self._used = things, used
        self._ports: dict[ThingId, Sequence[str]] = {}
        self._next: dict[ThingId, int] = {}

    def port(self, end: _End, link: Link, say: Say) -> str | None:
        """The port of an end: as named, or the next free one; None and a fault if all are taken."""
        if end.port is not None:
            return end.port
        ports = self._ports.setdefault(end.machine, self._declared(end.machine))
        position = self._next.get(end.machine, 0)
        while position < len(ports) or not ports:
            name = ports[position] if ports else str(position + 1)
            position += 1
            if (end.machine, name) not in self._used:
                self._next[end.machine] = position
                self._used[end.machine, name] = link
                return name
        self._next[end.machine] = position
        what = f"{end.machine} has {len(ports)} ports, and all are taken"
        say.fault(link.place("run"), what, "give it more ports, or plug this cable in elsewhere")
        return None

    def _declared(self, name: ThingId) -> Sequence[str]:
        if name in self._ports:
            return self._ports[name]
        machine = self._things[name]
        return tuple(machine.ports) if isinstance(machine, Node | Switch) else ()


def _pairs(link: Link, resolver: Resolver) -> list[tuple[_End, _End]]:
    """The two ends of each cable that one line lays.

    Raises:
        NoSuch: an end means nothing, or the two sides do not fit each other.
        LimitError: they mean more than the tool takes.
    """
    sides = [side.strip() for side in link.run.split(" -- ")]
    if len(sides) != 2 or not all(sides):
        raise NoSuch(f"{shortened(link.run)!r} does not have two ends", "write it as in desk-*.a -- sw-1")
    left = _ends(sides[0], resolver)
    if "#" in sides[1]:
        right = [end for each in left for end in _ends(_counted(sides[1], each), resolver)]
    else:
        right = _ends(sides[1], resolver)
    if len(right) == 1 and right[0].port is None:
        right = right * len(left)
    elif len(left) == 1 and left[0].port is None:
        left = left * len(right)
    if len(left) != len(right):
        raise NoSuch(
            f"{sides[0]!r} means {len(left)} ports and {sides[1]!r} means {len(right)}",
            "name as many on both sides, or one machine without a port on one side",
        )
    for one, other in zip(left, right, strict=True):
        if one.machine == other.machine:
            raise NoSuch(f"this cable joins {one.machine} with itself", "name two machines")
    return list(zip(left, right, strict=True))


def _counted(text: str, end: _End) -> str:
    try:
        return names.counted(text, end.counters)
    except ValueError as error:
        raise NoSuch(str(error), "count on the left side too, as in twin-1..3.a -- sw-#") from None


def _ends(text: str, resolver: Resolver) -> list[_End]:
    """The ends that one side means: machines, or ports of machines."""
    found: list[_End] = []
    for name, counters in resolver.spread(text):
        machines = resolver.find(name, MACHINES_WITH_PORTS)
        if machines:
            found.extend(_End(ThingId(each), None, counters) for each in machines)
        elif resolver.find(name.rpartition(".")[0], MACHINES_WITH_PORTS):
            found.extend(_End(machine, port, counters) for machine, port in resolver.ports(name))
        else:
            resolver.match(name, MACHINES_WITH_PORTS)  # raises what is to be said of it
    return found
