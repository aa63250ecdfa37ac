"""Which port goes to which, over which cable, and which ports are free?"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from falsework import units
from falsework.analyses.wire.places import (
    ACROSS_M,
    ACROSS_USUAL_M,
    RACK_UNITS,
    RACK_WIDTH_M,
    SLACK_M,
    Place,
    place_of,
    proposed_m,
)
from falsework.analyses.wire.result import Box, Budget, End, Layout, Port, Run, Wanted
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Node, Rack, Switch, ThingId
from falsework.support.carriers import speed_of
from falsework.support.reached import ASSUMED_PORT
from falsework.support.taken import Taken
from falsework.units import Dimension


def layout(lab: Lab) -> Layout:
    """Every port and cable of a lab.

    Cost:
        Linear in ports and cables.
    """
    runs = tuple(_runs(lab))
    used = used_ports(lab)
    budget = tuple(_budget(lab, used))
    return Layout(
        boxes=tuple(_boxes(lab, runs)),
        runs=runs,
        budget=budget,
        wanted=_wanted(lab, used, budget),
        taken=tuple(_taken(lab, runs)),
    )


def wanted(lab: Lab) -> Wanted:
    """What is not wired yet, and the ports that it would take, without all the rest of the layout."""
    used = used_ports(lab)
    return _wanted(lab, used, _budget(lab, used))


def used_ports(lab: Lab) -> frozenset[tuple[str, str]]:
    """Every port with a cable in it, as machine and port."""
    return frozenset(end for cable in lab.of(Cable) for end in cable.ends)


def label_of(ends: Sequence[tuple[str, str]], switches: Collection[str]) -> str:
    """What to write on a cable: the name of one of its two ports, as `sw-1.7`.

    The port at the switch; where both ends are at switches, or neither, the one whose name comes first as people
    count. It depends on nothing but the cable's own ends, so it stays when other cables come or go; and since a port
    takes one cable only, no two cables have the same.
    """
    at_switch = [end for end in ends if end[0] in switches]
    machine, port = min(at_switch if len(at_switch) == 1 else ends, key=lambda end: _counting(".".join(end)))
    return f"{machine}.{port}"


def _counting(name: str) -> tuple[tuple[tuple[int, int, str], ...], str]:
    """A key that sorts sw-2 before sw-10; the name itself tells 01 from 1."""
    pieces = tuple(
        (0, int(piece), "") if piece.isdigit() else (1, 0, piece)
        for piece in re.split(r"([0-9]+)", name)
        if piece
    )
    return pieces, name


def _runs(lab: Lab) -> Iterator[Run]:
    switches = frozenset(switch.id for switch in lab.of(Switch))
    places: dict[str, Place] = {}
    lengths: dict[tuple[Place, Place], float | None] = {}
    for cable in lab.of(Cable):
        for machine, _ in cable.ends:
            if machine not in places:
                places[machine] = place_of(lab.things, machine)
        one, other = (_end(lab, machine, port, places[machine]) for machine, port in cable.ends)
        length = cable.length
        if length is None:
            between = (places[one.machine], places[other.machine])
            if between not in lengths:
                lengths[between] = proposed_m(lab, *between)
            length = lengths[between]
        yield Run(
            id=cable.id,
            label=label_of(cable.ends, switches),
            ends=(one, other),
            speed=speed_of(lab, cable),
            mismatched=one.speed is not None and other.speed is not None and one.speed != other.speed,
            length=length,
            proposed=cable.length is None and length is not None,
            colour=cable.colour,
            group=cable.group,
            where=cable.where,
        )


def _end(lab: Lab, machine: str, port: str, place: Place) -> End:
    thing = lab.things[ThingId(machine)]
    speed = thing.ports.get(port) if isinstance(thing, Node | Switch) else None
    return End(machine=machine, port=port, rack=place.rack, room=place.room, unit=place.unit, speed=speed)


def _boxes(lab: Lab, runs: Sequence[Run]) -> Iterator[Box]:
    plugged: dict[tuple[str, str], tuple[Run, End]] = {}
    for run in runs:
        one, other = run.ends
        plugged[one.machine, one.port] = (run, other)
        plugged[other.machine, other.port] = (run, one)
    for thing in lab.things.values():
        if not isinstance(thing, Node | Switch) or not thing.ports:
            continue
        ports = []
        for name, speed in thing.ports.items():
            there = plugged.get((thing.id, name))
            ports.append(
                Port(
                    name=name,
                    speed=speed,
                    cable=there[0].id if there else "",
                    label=there[0].label if there else "",
                    far=there[1].name if there else "",
                    controller=isinstance(thing, Node) and name == thing.controller,
                )
            )
        yield Box(machine=thing.id, word=thing.IS, ports=tuple(ports), where=thing.where)


def _budget(lab: Lab, used: Collection[tuple[str, str]]) -> Iterator[Budget]:
    for switch in lab.of(Switch):
        taken = Counter(speed for port, speed in switch.ports.items() if (switch.id, port) in used)
        for speed, count in Counter(switch.ports.values()).items():
            yield Budget(switch=switch.id, speed=speed, ports=count, used=taken[speed])


def _wanted(lab: Lab, used: Collection[tuple[str, str]], budget: Iterable[Budget]) -> Wanted:
    """What machines without any cable would take: one port each, and one for a controller."""
    machines: list[str] = []
    ports: Counter[float | None] = Counter()
    for node in lab.of(Node):
        if not node.ports or any((node.id, port) in used for port in node.ports):
            continue
        machines.append(node.id)
        own = [speed for port, speed in node.ports.items() if port != node.controller]
        ports.update((*own[:1], *(speed for port, speed in node.ports.items() if port == node.controller)))
    return Wanted(machines=tuple(machines), ports=dict(ports), short=_short(ports, budget))


def _short(wanted: Mapping[float | None, int], budget: Iterable[Budget]) -> int:
    """How many ports find no free one as fast: the fastest choose first, and take the slowest that will do.

    That is the best that can be done: a port that a faster one could take is left to it only where no slower one is
    free, so no swap helps.
    """
    free: Counter[float] = Counter()
    for each in budget:
        free[each.speed or ASSUMED_PORT] += each.free
    short = 0
    for speed, count in sorted(wanted.items(), key=lambda each: -(each[0] or ASSUMED_PORT)):
        left = count
        for at in sorted(each for each in free if each >= (speed or ASSUMED_PORT)):
            got = min(left, free[at])
            free[at] -= got
            left -= got
        short += left
    return short


def _taken(lab: Lab, runs: Sequence[Run]) -> Iterator[Taken]:
    proposed = [run for run in runs if run.proposed]
    if proposed:
        low, high = (_together_m(lab, proposed, across) for across in ACROSS_USUAL_M)
        yield Taken(
            key="length",
            things=tuple(run.id for run in proposed),
            value=f"from place to place, {units.format(SLACK_M, Dimension.LENGTH)} of slack, "
            f"{units.format(ACROSS_M, Dimension.LENGTH)} across a room, up to the next length that is sold",
            source="common practice; the way across a room is assumed",
            of="all cables whose length is proposed, together, with less or more of a way across a room",
            low=units.format(low, Dimension.LENGTH),
            high=units.format(high, Dimension.LENGTH),
            where=proposed[0].where,
        )
        used = dict.fromkeys(end.rack for run in proposed for end in run.ends if end.rack)
        racks = [rack for rack in lab.named(used) if isinstance(rack, Rack)]
        for key, value, those in (
            (
                "width",
                units.format(RACK_WIDTH_M, Dimension.LENGTH),
                [rack for rack in racks if rack.width is None],
            ),
            ("units", f"{RACK_UNITS}", [rack for rack in racks if rack.units is None]),
        ):
            if those:
                yield Taken(
                    key=key,
                    things=tuple(rack.id for rack in those),
                    value=value,
                    source="common practice",
                    of="the lengths proposed in these racks",
                    where=those[0].where,
                )
    unsaid = dict.fromkeys(end.machine for run in runs for end in run.ends if end.speed is None)
    if unsaid:
        yield Taken(
            key="ports",
            things=tuple(unsaid),
            value=units.format(ASSUMED_PORT, Dimension.SPEED),
            source="assumed",
            of="the speed of ports that nobody says",
            where=lab.things[ThingId(next(iter(unsaid)))].where,
        )


def _together_m(lab: Lab, proposed: Sequence[Run], across_m: float) -> float:
    """How long the cables with a proposed length would be together, metres."""
    places = {
        end.machine: Place(room=end.room, rack=end.rack, unit=end.unit)
        for run in proposed
        for end in run.ends
    }
    return sum(
        proposed_m(lab, places[run.ends[0].machine], places[run.ends[1].machine], across_m=across_m) or 0.0
        for run in proposed
    )
