"""Which cables work as one?"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from falsework.model.lab import Lab
from falsework.model.parts import Cable, Switch


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """Cables that work as one, or a single cable that works by itself.

    Attributes:
        group: the name that the owner gave them; empty for a single cable without one.
        boxes: the machines at its ends, in the order in which they are met: two, or more where a machine has a
            group that goes to several switches.
        cables: in lab order.
    """

    group: str
    boxes: tuple[str, ...]
    cables: tuple[str, ...]


def bundles(lab: Lab) -> tuple[Bundle, ...]:
    """Every cable once, with those that it works with.

    Cables of one group name are one bundle where they join the same two boxes, and where they leave the same node,
    even to different switches; the same name on another pair of boxes is another bundle.
    """
    switches = frozenset(switch.id for switch in lab.of(Switch))
    found: dict[tuple[str, ...], list[Cable]] = {}
    for cable in lab.of(Cable):
        found.setdefault(_key(cable, switches), []).append(cable)
    return tuple(
        Bundle(
            group=cables[0].group,
            boxes=tuple(dict.fromkeys(machine for cable in cables for machine, _ in cable.ends)),
            cables=tuple(cable.id for cable in cables),
        )
        for cables in found.values()
    )


def _key(cable: Cable, switches: Collection[str]) -> tuple[str, ...]:
    if not cable.group:
        return ("", cable.id)
    machines = [machine for machine, _ in cable.ends]
    nodes = [machine for machine in machines if machine not in switches]
    return (cable.group, *(nodes if len(nodes) == 1 else sorted(machines)))


def between_switches(lab: Lab, those: Iterable[Bundle]) -> tuple[Bundle, ...]:
    """The bundles that join two switches."""
    switches = frozenset(switch.id for switch in lab.of(Switch))
    return tuple(each for each in those if all(box in switches for box in each.boxes))
