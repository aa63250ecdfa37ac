"""How much heat arises in each room and rack, and what air and cooling carry it away?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from falsework.analyses.power.heat_result import Heat, Heated, Warm
from falsework.engines.cooling import INLET_C, RISE_K, air_m3_s, cfm, tons
from falsework.engines.electrical import btu_per_hour
from falsework.model.domains import housed_in
from falsework.model.lab import Lab
from falsework.model.parts import Rack, Room, ThingId, Ups
from falsework.support.power import Draw, Draws, ups_loss_w
from falsework.support.standing import Standing
from falsework.support.taken import Taken

Lit = Mapping[str, tuple[str, ...]]
"""By machine the supplies that have power."""
RISE_LOW_K, RISE_HIGH_K = 6.0, 20.0
UPS_LOW, UPS_HIGH = 0.85, 0.98
"""Ends of what is usual for a battery that passes the mains on; assumed."""


@dataclass(slots=True)
class _Sum:
    """Heat of a place, by draw, W."""

    watts: dict[Draw, float] = field(default_factory=lambda: dict.fromkeys(Draw, 0.0))
    machines: dict[str, None] = field(default_factory=dict)

    def add(self, name: str, draw: Draw, watts: float) -> None:
        self.watts[draw] += watts
        if watts > 0:
            self.machines[name] = None


def heat(standing: Standing) -> Heat:
    """The heat of each room and rack: all that is drawn at a plug becomes heat where the machine is.

    What is out, or has no power for what is out, gives none; what trips as it is counts, since
    heat comes before that. A battery adds what it loses, where it says its efficiency.

    Cost:
        O(machines).
    """
    lab = standing.lab
    sums: defaultdict[str, _Sum] = defaultdict(_Sum)
    unplaced = _Sum()
    lit = _lit(standing)
    for draw, part, watts in _sources(standing, lit):
        places = [
            name for name in housed_in(lab.things, part) if isinstance(lab.things[ThingId(name)], Room | Rack)
        ]
        for place in places:
            sums[place].add(part, draw, watts)
        if not any(isinstance(lab.things[ThingId(name)], Room) for name in places):
            unplaced.add(part, draw, watts)
    order = {name: number for number, name in enumerate(lab.things)}
    found = [
        _heated(lab, thing, sums[thing.id], order)
        for thing in lab.things.values()
        if isinstance(thing, Room | Rack) and thing.id in sums and sums[thing.id].machines
    ]
    rooms = tuple(each for each in found if each.word == Room.IS)
    return Heat(
        rooms=rooms,
        racks=tuple(each for each in found if each.word == Rack.IS),
        unplaced=tuple(unplaced.machines),
        unplaced_w=unplaced.watts[Draw.BUSY],
        inlet_c=INLET_C,
        taken=(*_rise(found), *_losses(standing, rooms, lit)),
    )


def _sources(standing: Standing, lit: Lit) -> Iterator[tuple[Draw, str, float]]:
    """Each draw, the part that it heats, and W."""
    lab = standing.lab
    for draw in Draw:
        draws = standing.draws(draw)
        for consumer, shares in draws.shares.items():
            if lit[consumer]:
                for part, watts in shares:
                    if part not in standing.out:
                        yield draw, part, watts
        for ups in lab.of(Ups):
            loss = ups_loss_w(ups, _carried_w(draws, lit, ups.id))
            if loss:
                yield draw, ups.id, loss


def _lit(standing: Standing) -> Lit:
    """The supplies of each machine that have power with what is out; none where they are too few, or it is out itself."""
    draws, out = standing.draws(), standing.out
    found: dict[str, tuple[str, ...]] = {}
    for machine, supplies in draws.supplies.items():
        lit: tuple[str, ...] = ()
        if machine not in out and not out.intersection(housed_in(standing.lab.things, machine)):
            lit = tuple(
                each.id
                for each in supplies
                if each.id not in out and not out.intersection(draws.chain(each.source))
            )
        found[machine] = lit if len(lit) >= draws.enough(machine) else ()
    return found


def _carried_w(draws: Draws, lit: Lit, source: str) -> float:
    """What goes through a source with what is out, shared equally by the supplies that have power, W."""
    total = 0.0
    for machine in draws.through(source):
        mine = sum(
            each.id in lit[machine] and source in draws.chain(each.source) for each in draws.supplies[machine]
        )
        if mine:
            total += draws.consumers[machine] * mine / len(lit[machine])
    return total


def _heated(lab: Lab, thing: Room | Rack, summed: _Sum, order: Mapping[ThingId, int]) -> Heated:
    around = [lab.things[ThingId(name)] for name in housed_in(lab.things, thing.id)]
    room = (
        thing if isinstance(thing, Room) else next((each for each in around if isinstance(each, Room)), None)
    )
    said = room.air_rises if room is not None else None
    rise = RISE_K if said is None else said
    idle, usual, busy = (_warm(summed.watts[draw], rise) for draw in Draw)
    return Heated(
        place=thing.id,
        word=thing.IS,
        room=room.id if room is not None else "",
        machines=tuple(sorted(summed.machines, key=lambda name: order[ThingId(name)])),
        rise_k=rise,
        rise_said=said is not None,
        idle=idle,
        usual=usual,
        busy=busy,
        cools=thing.cools if isinstance(thing, Room) else None,
        where=thing.where,
    )


def _warm(watts: float, rise_k: float) -> Warm:
    air = air_m3_s(watts, rise_k)
    return Warm(
        watts=watts, btu_h=btu_per_hour(watts), tons=tons(watts), air_m3_h=air * 3600.0, air_cfm=cfm(air)
    )


def _rise(found: Sequence[Heated]) -> Iterator[Taken]:
    unsaid = [each for each in found if not each.rise_said]
    if not unsaid:
        return
    most = max(unsaid, key=lambda each: each.busy.watts)
    low, high = (most.busy.air_m3_h * most.rise_k / rise for rise in (RISE_HIGH_K, RISE_LOW_K))
    yield Taken(
        key="air rises",
        things=tuple(dict.fromkeys(each.room or each.place for each in unsaid)),
        value=f"{RISE_K:g} °C",
        source="common practice: 20 °F",
        of=f"the air that {most.place} needs, all busy ({most.busy.air_m3_h:,.0f} m³/h)",
        low=f"{low:,.0f} m³/h",
        high=f"{high:,.0f} m³/h",
        where=most.where,
    )


def _losses(standing: Standing, rooms: Sequence[Heated], lit: Lit) -> Iterator[Taken]:
    """A battery that says no efficiency adds no heat, which is a little too little."""
    busy = standing.draws()
    carried: Mapping[str, float] = {
        ups.id: _carried_w(busy, lit, ups.id)
        for ups in standing.lab.of(Ups)
        if ups.efficiency is None and ups.id not in standing.out
    }
    if not carried:
        return
    most = max(carried, key=lambda name: carried[name])
    room = next(
        (name for name in housed_in(standing.lab.things, most) if any(name == each.place for each in rooms)),
        "",
    )
    heat_w = next((each.busy.watts for each in rooms if each.place == room), 0.0)
    said: dict[str, str] = {}
    if room:
        low, high = (heat_w + carried[most] * (1 / share - 1) for share in (UPS_HIGH, UPS_LOW))
        said = {
            "of": f"the heat in {room}, all busy ({heat_w:,.0f} W)",
            "low": f"{low:,.0f} W",
            "high": f"{high:,.0f} W",
        }
    yield Taken(
        key="efficiency",
        things=tuple(carried),
        value="no loss counted",
        source=f"assumed; batteries that pass the mains on lose {100 * (1 - UPS_HIGH):.0f} to {100 * (1 - UPS_LOW):.0f} %",
        where=standing.lab.things[ThingId(most)].where,
        **said,
    )
