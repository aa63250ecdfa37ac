"""What does each group of cables survive?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from falsework.analyses.wire.result import Group, Run
from falsework.support.bundles import Bundle, bundles
from falsework.support.graph import Role
from falsework.support.single_losses import Change, There, now, single_losses
from falsework.support.standing import Standing
from falsework.support.wire import cards_of

Card = Mapping[tuple[str, str], str]
"""The card of a port, where the owner names cards."""


@dataclass(slots=True)
class _Told:
    """What was found out of a group so far."""

    survives: list[str] = field(default_factory=list)
    fails: list[str] = field(default_factory=list)
    isolated: list[str] = field(default_factory=list)


def groups(standing: Standing, runs: Mapping[str, Run]) -> tuple[Group, ...]:
    """Every set of cables that do the same job, in lab order; what each survives is told by the verdict engine.

    Args:
        standing: the lab.
        runs: the cables of the schedule, by id.

    Every part is lost by itself. A cable carries while it stands, with both machines and the cards in them; nothing
    is asked of the cables of a machine that is down, nor of those between two switches of which one is.
    """
    those = bundles(standing.lab, standing.support.networks)
    if not those:
        return ()
    cards = cards_of(standing.lab)
    rests: dict[str, set[int]] = {}
    for number, bundle in enumerate(those):
        for cable in bundle.cables:
            for name in _stands_on(runs[cable], cards):
                rests.setdefault(name, set()).add(number)
    others = {
        each
        for bundle in those
        if bundle.owner
        for network in standing.support.networks.values()
        for way in network.attachments.get(bundle.owner, ())
        for each in (way.vertex, *way.through)
    }
    found = [_Told() for _ in those]
    names = [*rests, *sorted(others - rests.keys())]
    inside = {
        name
        for name in names
        if _falls_alone(standing, name)
        and all(_stands_alone(standing, box) for number in rests.get(name, ()) for box in those[number].boxes)
    }
    calm = now(standing, names)
    changes = [
        Change(
            parts=(name,),
            there=There(calm.interrupted | {name}, calm.gone | {name}),
            changed=frozenset((name,)),
        )
        for name in names
        if name in inside and calm.up(name)
    ]
    # What a cable or card is part of takes it along: that is read off the box itself.
    changes.extend(single_losses(standing, [name for name in names if name not in inside]))
    for change in changes:
        hit = {number for name in change.changed for number in rests.get(name, ())}
        for number in hit:
            there = There(change.there.interrupted | calm.interrupted, change.there.gone | calm.gone)
            _judge(standing, those[number], runs, cards, calm, there, change.parts, found[number])
    order = {part: number for number, part in enumerate(standing.parts)}
    return tuple(
        _group(bundle, [runs[cable] for cable in bundle.cables], cards, calm, told, order)
        for bundle, told in zip(those, found, strict=True)
    )


def _falls_alone(standing: Standing, name: str) -> bool:
    """Whether a thing falls by its own loss, or with the box that it is in, and by nothing else."""
    thing = standing.support.things[name]
    return thing.word in ("cable", "card") and all(lean.role is Role.HOUSING for lean in thing.leans)


def _stands_alone(standing: Standing, box: str) -> bool:
    """Whether a machine needs nothing over the wire, so that it does not fall by the loss of its cables."""
    return all(lean.role is not Role.NEED for lean in standing.support.things[box].leans)


def _stands_on(run: Run, cards: Card) -> Iterable[str]:
    """A cable, both machines that it joins, and the cards in them."""
    yield run.id
    for end in run.ends:
        yield end.machine
        if (end.machine, end.port) in cards:
            yield cards[end.machine, end.port]


def _judge(
    standing: Standing,
    bundle: Bundle,
    runs: Mapping[str, Run],
    cards: Card,
    calm: There,
    there: There,
    parts: Sequence[str],
    told: _Told,
) -> None:
    """Note what losing these parts does to a group; nothing is asked where a machine that it is of is down."""
    if not all(there.up(box) for box in ((bundle.owner,) if bundle.owner else bundle.boxes)):
        return
    before = [all(calm.up(name) for name in _stands_on(runs[cable], cards)) for cable in bundle.cables]
    works = [all(there.up(name) for name in _stands_on(runs[cable], cards)) for cable in bundle.cables]
    if any(works):
        if works != before:
            told.survives.extend(parts)
        return
    if not any(before):
        return
    told.fails.extend(parts)
    if bundle.owner and not _in_touch(standing, there, bundle.owner):
        told.isolated.extend(parts)


def _in_touch(standing: Standing, there: There, node: str) -> bool:
    """Whether a node that stands has any way onto the wire."""
    return any(
        there.up(way.vertex) and all(there.up(each) for each in way.through)
        for network in standing.support.networks.values()
        for way in network.attachments.get(node, ())
    )


def _group(
    bundle: Bundle, members: Sequence[Run], cards: Card, calm: There, told: _Told, order: Mapping[str, int]
) -> Group:
    on = [(end.machine, end.port) for run in members for end in run.ends]
    return Group(
        group=bundle.group,
        boxes=bundle.boxes,
        cables=bundle.cables,
        labels=tuple(run.label for run in members),
        cards=tuple(dict.fromkeys(cards[end] for end in on if end in cards)),
        splits=len(bundle.boxes) > 2,
        speeds=tuple(sorted({run.speed for run in members if run.speed is not None})),
        down=tuple(run.id for run in members if not all(calm.up(name) for name in _stands_on(run, cards))),
        survives=tuple(sorted(told.survives, key=order.__getitem__)),
        fails=tuple(sorted(told.fails, key=order.__getitem__)),
        isolated=tuple(sorted(told.isolated, key=order.__getitem__)),
        where=members[0].where,
    )
