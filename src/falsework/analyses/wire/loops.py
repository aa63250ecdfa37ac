"""Which switches are joined in circles, and what keeps messages from going round in them?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.analyses.wire.result import Loop
from falsework.engines.blocks import blocks, circle
from falsework.model.lab import Lab
from falsework.model.parts import Switch, ThingId
from falsework.support.carriers import Carrier, Wires

NOTHING = "nothing"
"""What a switch says that does not cut circles."""


def loops(lab: Lab, wires: Wires) -> tuple[Loop, ...]:
    """Every set of switches that are joined in more than one way on some network, in lab order.

    Cables of one group are one way, two cables without a group are two: that is a circle too. A message goes round
    only where one network spans the whole circle.
    """
    found: dict[tuple[str, ...], Loop] = {}
    for wired in wires.networks.values():
        for those in blocks([trunk.ends for trunk in wired.trunks]):
            if len(those) > 1:
                trunks = [wired.trunks[number] for number in those]
                cables = tuple(cable for trunk in trunks for cable in trunk.cables)
                if cables not in found:
                    found[cables] = _loop(lab, trunks, cables)
    return tuple(found.values())


def _loop(lab: Lab, trunks: Sequence[Carrier], cables: tuple[str, ...]) -> Loop:
    met = {end for trunk in trunks for end in trunk.ends}
    switches = [switch for switch in lab.of(Switch) if switch.id in met]
    cut_by: dict[str, str] = {switch.id: switch.loops_cut_by or "" for switch in switches}
    return Loop(
        switches=tuple(switch.id for switch in switches),
        cables=cables,
        ring=circle([trunk.ends for trunk in trunks]),
        cut_by=cut_by,
        uncut=circle(list(_among(trunks, cut_by))),
        unsaid=tuple(name for name, word in cut_by.items() if not word),
        where=lab.things[ThingId(cables[0])].where,
    )


def _among(trunks: Sequence[Carrier], cut_by: dict[str, str]) -> Iterator[tuple[str, str]]:
    """The ways between switches that both say that they cut nothing."""
    for trunk in trunks:
        if all(cut_by[end] == NOTHING for end in trunk.ends):
            yield trunk.ends
