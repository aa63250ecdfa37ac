"""How long after power has returned does each thing begin to draw?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Part, Powered, Strip, Supply, ThingId, Ups


class ComingOn:
    """When things come on after a cut that has emptied every battery.

    An outlet of a strip that `staggers` comes on so much after the one before it; what names no outlet is plugged
    into the free ones in lab order. What `comes on after` its feed is live waits so long itself.

    Args:
        lab: the lab.
    """

    def __init__(self, lab: Lab) -> None:
        self._lab = lab
        self._supplies: dict[str, list[Supply]] = {}
        self._outlet_s: dict[str, float] = {}
        plugs: dict[str, list[tuple[str, int | None]]] = {}
        for supply in lab.of(Supply):
            own = self._supplies.setdefault(supply.holder, [])
            holder = lab.things[supply.holder]
            feeds = holder.fed_by.plugs if isinstance(holder, Powered) and holder.fed_by else ()
            outlet = feeds[len(own) % len(feeds)][1] if feeds else None
            own.append(supply)
            plugs.setdefault(supply.source, []).append((supply.id, outlet))
        for source in lab.of(Powered):
            if isinstance(source, Circuit | Ups | Strip) and source.fed_by is not None:
                for name, outlet in source.fed_by.plugs:
                    plugs.setdefault(name, []).append((source.id, outlet))
        for strip in lab.of(Strip):
            if strip.staggers:
                for plug, outlet in _outlets(plugs.get(strip.id, ())).items():
                    self._outlet_s[plug] = (outlet - 1) * strip.staggers

    def outlet_s(self, plug: str) -> float:
        """How much later than the strip that it is plugged into a supply or a source has power, seconds."""
        return self._outlet_s.get(plug, 0.0)

    def waits_s(self, thing: Part) -> float:
        """How long a thing waits, its feed being live, before it begins to draw, seconds."""
        own = thing.comes_on_after if isinstance(thing, Powered) else None
        return (own or 0.0) + (0.0 if isinstance(thing, Supply) else self._plugged_s(thing))

    def _plugged_s(self, thing: Part) -> float:
        return self.outlet_s(thing.id) if isinstance(thing, Circuit | Ups | Strip) else 0.0

    def live_s(self, source: str) -> float:
        """When a source has power at its outlets, or the first of them, seconds after the power is back."""
        total = 0.0
        at: str | None = source
        seen: set[str] = set()
        while at and at not in seen:
            seen.add(at)
            thing = self._lab.things[ThingId(at)]
            if not isinstance(thing, Powered):
                break
            total += self.waits_s(thing)
            at = thing.fed_by.ids[0] if thing.fed_by and thing.fed_by.ids else None
        return total

    def fed_s(self, machine: str) -> Mapping[str, float]:
        """When each supply of a machine has power, seconds after the power is back."""
        return {
            supply.id: self.live_s(supply.source) + self.outlet_s(supply.id)
            for supply in self._supplies.get(machine, ())
        }


def _outlets(plugs: list[tuple[str, int | None]] | tuple[()]) -> Mapping[str, int]:
    """The outlet of each plug, from 1: as named, the others in the free ones in order."""
    named = {outlet for _, outlet in plugs if outlet is not None}
    found: dict[str, int] = {}
    free = 1
    for plug, outlet in plugs:
        if outlet is None:
            while free in named:
                free += 1
            outlet, free = free, free + 1
        found[plug] = outlet
    return found
