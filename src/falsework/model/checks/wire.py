"""Do ports, cables and switches contradict themselves: speeds of nothing, cables faster than both their ports?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Node, Switch, Thing
from falsework.units import Dimension


def wire(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in ports and cables.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults.
    """
    for thing in firm:
        if isinstance(thing, Node | Switch):
            slow = [name for name, speed in thing.ports.items() if speed is not None and speed <= 0]
            if slow:
                what = f"port {slow[0]} of {thing.id} has a speed of nothing"
                tell.fault(thing, "ports", what, "give its speed, such as 1 Gb/s, or leave the port out")
        if isinstance(thing, Switch) and thing.forwards is not None and thing.forwards <= 0:
            what = f"{thing.id} passes nothing on, it says"
            tell.fault(thing, "forwards", what, "give the most that it passes on at once, such as 40 Gb/s")
    seen: set[object] = set()
    for cable in lab.of(Cable):
        if cable.where not in seen and _cable(lab, cable, tell):
            seen.add(cable.where)  # one line may lay many cables: told once


def _cable(lab: Lab, cable: Cable, tell: Tell) -> bool:
    """Note what is wrong with a cable; whether anything is."""
    say = tell.say.at("wire.cables")
    if cable.speed is not None and cable.speed <= 0:
        say.fault(
            cable.where, f"{cable.id} runs at no speed, it says", "give its speed, or leave `speed` out"
        )
        return True
    if cable.length is not None and cable.length <= 0:
        say.fault(cable.where, f"{cable.id} has no length, it says", "give its length, or leave `length` out")
        return True
    speeds = []
    for machine, port in cable.ends:
        thing = lab.things.get(machine)
        speeds.append(thing.ports.get(port) if isinstance(thing, Node | Switch) else None)
    known = [speed for speed in speeds if speed is not None]
    if cable.speed is not None and len(known) == 2 and cable.speed > max(known) > 0:
        runs, port_s = (units.format(each, Dimension.SPEED) for each in (cable.speed, max(known)))
        say.fault(
            cable.where,
            f"{cable.id} runs at {runs}, it says, and its faster port at {port_s}",
            "`speed` is for a cable that is slower than its ports: correct it, or the ports",
        )
        return True
    return False
