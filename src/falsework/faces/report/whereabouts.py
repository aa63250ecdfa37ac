"""Where in an elevation is a part that is out: at a machine, inside one, around some, in the wire, the power, the ground?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from falsework.faces.report.columns import machines
from falsework.model.lab import Lab
from falsework.model.parts import (
    Cable,
    Circuit,
    Enclosure,
    Node,
    Outside,
    Part,
    Rack,
    Room,
    Strip,
    Supply,
    Switch,
    ThingId,
    Ups,
)
from falsework.model.services import Copy


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where one thing that is out is struck through; one of these.

    Attributes:
        node: a machine, or the one that holds it.
        inside: whether it is in that machine, not the machine itself.
        wire: in the wire.
        power: in the power.
        ground: what is outside.
        around: the machines that it holds.
    """

    node: str = ""
    inside: bool = False
    wire: bool = False
    power: bool = False
    ground: bool = False
    around: tuple[str, ...] = ()


def places(lab: Lab, names: Iterable[str]) -> tuple[Place, ...]:
    """Where each of some parts is, or each part of a cause that several share; what is nowhere is left out."""
    found: list[Place] = []
    for name in names:
        members = [name] if ThingId(name) in lab.things else _sharing(lab, name)
        found.extend(_place(lab, member) for member in members)
    return tuple(found)


def _sharing(lab: Lab, cause: str) -> list[str]:
    """The parts of a batch or of a firmware, by the name of what they share."""
    return [part.id for part in lab.of(Part) if cause in (f"batch {part.batch}", f"firmware {part.firmware}")]


def _place(lab: Lab, name: str) -> Place:
    """Found by what a part is, else by what holds it, however deep."""
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Node):
        return Place(node=name)
    if isinstance(thing, Copy):
        return Place(node=str(thing.host), inside=True)
    if isinstance(thing, Switch | Cable):
        return Place(wire=True)
    if isinstance(thing, Strip | Ups | Circuit):
        return Place(power=True)
    if isinstance(thing, Outside):
        return Place(ground=True)
    if isinstance(thing, Enclosure | Rack | Room):
        return Place(around=_inside(lab, name))
    holder = str(getattr(thing, "holder", "") or "")
    if not holder and isinstance(thing, Part) and thing.in_ is not None and thing.in_.ids:
        holder = str(thing.in_.ids[0])
    if not holder or holder == name:
        return Place(power=True)
    held = _place(lab, holder)
    if held.around:
        return Place(power=True) if isinstance(thing, Supply) else Place(node=held.around[0], inside=True)
    return replace(held, inside=bool(held.node))


def _inside(lab: Lab, name: str) -> tuple[str, ...]:
    """The machines within an enclosure, rack or room."""
    return tuple(each.name for each in machines(lab) if name in (each.box, each.rack, each.room))
