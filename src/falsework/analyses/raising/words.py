"""In which words are the steps of an order of work told?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.raising.result import Doing, StateMove
from falsework.errors import few
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Enclosure, Node, Part, Powered, Strip, Switch, Thing, Ups
from falsework.model.people import Alarm, StandIn
from falsework.model.services import Copy, Pool, Store
from falsework.units import Dimension

DATA = "Before you move data, make sure that a copy which you have restored from exists elsewhere."
POWER = "Mains voltage can kill: defer to local electrical codes, makers' instructions and licensed practice."
WEIGHT = "{what}: lift it as the makers' instructions and the rules of your place ask for."

HEAVY_KG = 10.0
"""What weighs less is not named; that is no word on what is safe to lift."""
MOST = 8
"""Names that a sentence gives before it counts."""


def listed(names: Sequence[str]) -> str:
    """Names in a sentence of a step."""
    return few(names, MOST)


def bring_says(lab: Lab, things: Sequence[Thing], *, more: bool, maker: str) -> str:
    """The action that makes things of one sort.

    Args:
        lab: what they belong to.
        things: what is made; copies of one service, or things of one sort.
        more: whether other copies of the service stand already.
        maker: what makes them, in words; empty where nothing does.
    """
    first = things[0]
    names = listed([thing.id for thing in things])
    by = f" with {maker}" if maker else ""
    if isinstance(first, Copy):
        where = listed([f"on {copy.host or copy.pool}" for copy in things if isinstance(copy, Copy)])
        again = " once more" if more else ""
        return f"Start {first.service}{again} {where}{by}"
    if isinstance(first, Circuit | Ups | Strip):
        sources = listed(list(dict.fromkeys(name for thing in things for name in _feeds(thing))))
        return f"Connect {names}{f' to {sources}' if sources else ''}"
    if isinstance(first, Enclosure | Node | Switch):
        places = dict.fromkeys(
            name for thing in things if isinstance(thing, Part) and thing.in_ for name in thing.in_.ids
        )
        where = f" in {listed(list(places))}" if places else ""
        return (
            f"Mount{where}, connect and install {names}{by}"
            if isinstance(first, Enclosure)
            else f"Connect and install {names}{where}{by}"
        )
    if isinstance(first, Store):
        return f"Lay out {names} ({first.layout}){by}"
    if isinstance(first, Pool):
        return f"Join the hosts of {names}{by}"
    if isinstance(first, Alarm):
        return f"Let {names} tell of faults{by}"
    return f"Make {names}{by}"


def _feeds(thing: Thing) -> tuple[str, ...]:
    return thing.fed_by.ids if isinstance(thing, Powered) and thing.fed_by is not None else ()


def bring_check(things: Sequence[Thing]) -> str:
    """How to see that they stand, where the owner says nothing."""
    first = things[0]
    names = listed([thing.id for thing in things])
    if isinstance(first, Copy):
        return f"{first.service} answers from each new copy"
    if isinstance(first, Circuit | Ups | Strip):
        return f"there is power at {names}"
    if isinstance(first, Switch):
        return f"{names} shows a link on every port in use"
    if isinstance(first, Alarm):
        return f"a test message of {names} arrives"
    return f"{names} answers" if len(things) == 1 else f"each of {names} answers"


def lend_says(stand_in: StandIn) -> str:
    """The action that sets up a stand-in."""
    covered = listed(list(stand_in.for_.ids if stand_in.for_ else ()))
    on = f" on {listed(list(stand_in.on.ids))}" if stand_in.on else ""
    at = f", at {stand_in.address}" if stand_in.address else ""
    return f"Set up {stand_in.id}{on} in place of {covered}{at}"


def cut_says(doing: Doing, targets: str, stand_in: str, how: str, moves: Sequence[StateMove]) -> str:
    """The action of one step of a cut-over.

    Args:
        doing: which step.
        targets: what takes over, in words.
        stand_in: who served until now.
        how: what becomes of what clients know, in words.
        moves: the state that moves.
    """
    states = listed([move.state for move in moves]) or "its state"
    size = units.format(sum(move.size for move in moves), Dimension.DATA) if moves else ""
    return {
        Doing.FREEZE: f"Stop writing to {states} on {stand_in}",
        Doing.COPY: f"Copy {states} from {stand_in} to {targets}{f', {size}' if size else ''}",
        Doing.CHECK: f"Compare the copy of {states} with what is on {stand_in}",
        Doing.HAND_OVER: f"Let {targets} take over from {stand_in}: {how}",
        Doing.PROVE: f"Unplug {stand_in} for a while and see that {targets} serves",
        Doing.RETIRE: f"Take {stand_in} away",
    }.get(doing, f"{doing.value.capitalize()} {targets}")


def cautions(lab: Lab, things: Sequence[Thing]) -> tuple[str, ...]:
    """What can be hurt when things are made: by mains, by weight, and data on drives."""
    found = []
    if any(isinstance(thing, Circuit | Ups | Strip) for thing in things):
        found.append(POWER)
    heavy = [
        f"{thing.id} weighs {units.format(thing.weighs, Dimension.MASS)}"
        for thing in things
        if isinstance(thing, Part) and thing.weighs is not None and thing.weighs >= HEAVY_KG
    ]
    if heavy:
        found.append(WEIGHT.format(what=listed(heavy)))
    if any(isinstance(thing, Store) for thing in things):
        found.append(f"Laying out drives wipes them. {DATA}")
    return tuple(found)
