"""Which bars of wire and power are there, which columns meet them, and which stands on which?

A switch, strip, battery or circuit is a bar under the machines that it serves; each bar stands on the bars that
feed it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from falsework.faces.report.columns import Columns
from falsework.model.lab import Lab
from falsework.model.parts import (
    Cable,
    Circuit,
    Enclosure,
    Node,
    Outside,
    Part,
    Powered,
    Strip,
    Supply,
    Switch,
    Ups,
)

TYPE = 11.0
"""Type size inside a bar."""
GROUND = 99
"""The level of what is outside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Where a column meets a bar.

    Attributes:
        column: number of the column.
        parts: the cables or supplies that join them.
    """

    column: int
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar.

    Attributes:
        name: id of the thing; of the cable, for a cable from node to node.
        word: what it is.
        says: its label.
        joints: where columns meet it.
        level: 0 for the uppermost course.
        left: its edges, once laid.
        right: its edges, once laid.
        row: counted from the top, once laid.
    """

    name: str
    word: str
    says: str
    joints: tuple[Joint, ...] = ()
    level: int = 0
    left: float = 0.0
    right: float = 0.0
    row: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """What joins two bars.

    Attributes:
        upper: id of the bar that stands, or of one end of a cable.
        lower: id of the bar that it stands on, or of the other end.
        parts: the cables or supplies between them; empty for a plug.
        x: where, once laid.
    """

    upper: str
    lower: str
    parts: tuple[str, ...] = ()
    x: float = 0.0


@dataclass(slots=True)
class Plan:
    """Bars and ties on their way to being laid."""

    bars: dict[str, Bar] = field(default_factory=dict)
    ties: list[Tie] = field(default_factory=list)


def wire(lab: Lab, columns: Columns) -> Plan:
    """Switches, cables between nodes, and the cables between switches."""
    plan = Plan()
    switches = {switch.id for switch in lab.of(Switch)}
    joints: dict[str, dict[int, list[str]]] = {switch.id: {} for switch in lab.of(Switch)}
    pairs: dict[tuple[str, str], list[str]] = {}
    direct: list[tuple[Cable, list[int]]] = []
    for cable in lab.of(Cable):
        ends = [machine for machine, _ in cable.ends]
        inside = [each for each in ends if each in switches]
        if len(inside) == 2:
            one, other = sorted((str(each) for each in ends), key=list(joints).index)
            pairs.setdefault((one, other), []).append(cable.id)
        elif len(inside) == 1:
            for each in columns.of(ends):
                joints[inside[0]].setdefault(each, []).append(cable.id)
        else:
            direct.append((cable, list(columns.of(ends))))
    for switch in lab.of(Switch):
        plan.bars[switch.id] = Bar(
            name=switch.id,
            word=switch.IS,
            says=switch.id,
            joints=_joints(joints[switch.id]),
            level=0 if joints[switch.id] else 1,
        )
    if any(bar.level == 0 for bar in plan.bars.values()):
        for cable, ends_at in direct:
            if len(ends_at) == 2:
                plan.bars[cable.id] = _direct(cable, ends_at)
    else:
        for cable, ends_at in direct:
            plan.bars[cable.id] = _direct(cable, ends_at)
    order = list(plan.bars)
    for (one, other), cables in pairs.items():
        upper, lower = sorted((one, other), key=lambda name: (plan.bars[name].level, order.index(name)))
        plan.ties.append(Tie(upper=upper, lower=lower, parts=tuple(cables)))
    return plan


def _direct(cable: Cable, ends_at: Sequence[int]) -> Bar:
    joints = tuple(Joint(column=each, parts=(cable.id,)) for each in ends_at)
    return Bar(name=cable.id, word=cable.IS, says="", joints=joints)


def power(lab: Lab, columns: Columns, runtimes: Mapping[str, str]) -> Plan:
    """Strips, batteries, circuits and, lowest, everything outside, with what stands on what.

    Args:
        lab: the lab.
        columns: the uprights.
        runtimes: how long each battery runs, in words.
    """
    plan = Plan()
    sources: list[Powered] = [thing for thing in lab.of(Powered) if isinstance(thing, Circuit | Ups | Strip)]
    supplies: dict[tuple[str, str], list[str]] = {}
    for supply in lab.of(Supply):
        supplies.setdefault((supply.holder, supply.source), []).append(supply.id)
    joints: dict[str, dict[int, list[str]]] = {}
    inside = _inside(lab)
    for thing in lab.of(Powered):
        for source in dict.fromkeys(thing.fed_by.ids if thing.fed_by else ()):
            parts = tuple(supplies.get((thing.id, source), ()))
            if isinstance(thing, Node | Enclosure):
                for each in columns.of((thing.id, *inside.get(thing.id, ()))):
                    joints.setdefault(source, {}).setdefault(each, []).extend(parts)
            else:
                plan.ties.append(Tie(upper=thing.id, lower=source, parts=parts))
    levels = _levels(sources)
    for part in (*sources, *lab.of(Outside)):
        plan.bars[part.id] = Bar(
            name=part.id,
            word=part.IS,
            says=_called(part, runtimes),
            joints=_joints(joints.get(part.id, {})),
            level=levels.get(part.id, GROUND),
        )
    return plan


def _called(thing: Part, runtimes: Mapping[str, str]) -> str:
    if isinstance(thing, Outside):
        return thing.id
    word = {"ups": "battery"}.get(thing.IS, thing.IS)
    name = thing.id if word in thing.id.lower() or thing.IS in thing.id.lower() else f"{word} {thing.id}"
    return f"{name}, {runtimes[thing.id]}" if thing.id in runtimes else name


def _inside(lab: Lab) -> Mapping[str, tuple[str, ...]]:
    """The nodes of each enclosure that have no feed of their own."""
    found: dict[str, list[str]] = {}
    for node in lab.of(Node):
        if node.in_ is not None and node.fed_by is None:
            found.setdefault(node.in_.ids[0], []).append(node.id)
    return {name: tuple(nodes) for name, nodes in found.items()}


def _joints(found: Mapping[int, Iterable[str]]) -> tuple[Joint, ...]:
    return tuple(
        Joint(column=each, parts=tuple(dict.fromkeys(parts))) for each, parts in sorted(found.items())
    )


def _levels(sources: Sequence[Powered]) -> Mapping[str, int]:
    """Strips uppermost, circuits on the ground, and nothing above what it feeds."""
    level: dict[str, int] = {thing.id: {"strip": 0, "ups": 1, "circuit": 2}[thing.IS] for thing in sources}
    for _ in sources:
        for thing in sources:
            for source in thing.fed_by.ids if thing.fed_by else ():
                if source in level and level[source] <= level[thing.id] <= len(sources) + 2:
                    level[source] = level[thing.id] + 1
    used = sorted(set(level.values()))
    return {name: used.index(each) for name, each in level.items()}
