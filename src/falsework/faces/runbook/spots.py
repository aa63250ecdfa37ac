"""Where is a machine: in which rack, at which outlet, at which address is it managed?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework import units
from falsework.model.lab import Lab
from falsework.model.parts import Part, Powered, ThingId
from falsework.model.services import Copy
from falsework.units import Dimension


def place(lab: Lab, name: str) -> Iterator[str]:
    """Lines on where a thing is; a copy is where its host is; nothing where the lab file says nothing."""
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Copy):
        host = thing.host or thing.pool
        yield f"{name} runs on {host}"
        yield from place(lab, host)
        return
    if not isinstance(thing, Part):
        return
    if thing.in_ is not None:
        unit = "" if thing.at is None else f", from {units.format(thing.at, Dimension.RACK)} up"
        yield f"{name} is in {', '.join(thing.in_.ids)}{unit}"
        outer = lab.things.get(ThingId(thing.in_.ids[0]))
        if isinstance(outer, Part) and outer.in_ is not None:
            yield from place(lab, outer.id)
    if isinstance(thing, Powered) and thing.fed_by is not None:
        plugs = [
            source if outlet is None else f"{source}, outlet {outlet}"
            for source, outlet in thing.fed_by.plugs
        ]
        yield f"{name} is plugged in at {'; '.join(plugs)}"
    controller = f"{name}.controller"
    if controller in lab.things:
        yield f"{name} has a management controller at its port {getattr(thing, 'controller', '')}"


def sources(lab: Lab, name: str) -> tuple[str, ...]:
    """What a thing takes its power from, itself or the enclosure that it is in."""
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Powered) and thing.fed_by is not None:
        return tuple(thing.fed_by.ids)
    if isinstance(thing, Part) and thing.in_ is not None:
        return sources(lab, thing.in_.ids[0])
    return ()
