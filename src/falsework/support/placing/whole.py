"""What problem of items and bins is the placing of a lab?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.placing.problem import HARD, NOWHERE, Bools, Comfort, Ints, Moves, Problem
from falsework.model.parts import ThingId
from falsework.model.services import Pool
from falsework.support.placing.amounts import (
    CORES,
    DISK,
    MEMORY,
    RESOURCES,
    UNBOUND,
    capacities,
    shared,
    sizes,
)
from falsework.support.placing.company import Named, apart, near
from falsework.support.placing.losing import Losses, losses, rooms, spread
from falsework.support.placing.scene import Scene, scene
from falsework.support.standing import Standing
from falsework.where import Where

LEVELS = ("aims", "single points", "interruptions", "room", "nearness", "moves", "copied", "balance")
"""What a placement is judged by, the weightiest first.

aims: losses after which an aim is not met; single points: pairs of a part and a service that stops without it;
interruptions: the same for services whose copies come back by themselves; room: copies that find no room when a
machine is lost, over all machines; nearness: copies that are not near what they should be near; moves: copies that
move; copied: MiB that the moves copy; balance: MiB that are used above 60, 70, 80 and 90 percent of a host, counted once
for each, and four times above its comfort; cores count as much memory as goes with them over all hosts.
"""
AIMS, SINGLE, INTERRUPTED, ROOM, NEARNESS, MOVES, COPIED, BALANCE = range(len(LEVELS))
STEPS = (60, 70, 80, 90)
"""Percent of a host from which on what is used weighs more: an uneven load costs more than an even one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placeable:
    """A lab as a placing problem.

    Attributes:
        scene: items are its copies, bins its hosts.
        problem: what is asked.
        today: (n_items,) the bin of each copy in the lab, assumed places included; NOWHERE on a host that is out.
        losses: which hosts each part takes away.
        named: the place in the lab file of each rule, copy and host, by its name in the problem.
    """

    scene: Scene
    problem: Problem
    today: Ints
    losses: Losses
    named: Mapping[str, Where]


def placeable(standing: Standing) -> Placeable:
    """Every copy whose place is open, the hosts it may run on, and what is asked of a placement.

    Which hosts a loss takes away is read off the lab as it is placed today; whether the aims are met by the
    placement that is found has to be asked anew.
    """
    found = scene(standing)
    lost = losses(found)
    named: Named = {copy.id: copy.where for copy in found.copies}
    named.update((host, standing.lab.things[ThingId(host)].where) for host in found.hosts)
    size, capacity = sizes(found), capacities(found)
    problem = Problem(
        levels=LEVELS,
        item_names=tuple(copy.id for copy in found.copies),
        bin_names=found.hosts,
        resource_names=RESOURCES,
        size=size,
        capacity=capacity,
        twice=np.array([resource == DISK for resource in range(len(RESOURCES))]),
        group=_groups(found),
        start=_start(found),
        allowed=_allowed(found),
        restarts=np.array([bool(copy.pool) for copy in found.copies], dtype=bool),
        sheds=np.array([found.services[copy.service].sheds for copy in found.copies], dtype=bool),
        apart=tuple(apart(found, named)),
        near=tuple(near(found, named, wished=NEARNESS)),
        at_most=tuple(spread(found, lost, named, aimed=AIMS, single=SINGLE, interrupted=INTERRUPTED)),
        losses=tuple(rooms(found, lost, named, aimed=AIMS, otherwise=ROOM)),
        shared=tuple(shared(found, size, capacity)),
        comfort=tuple(_comfort(found, capacity)),
        moves=_moves(found, size),
    )
    today = [found.bin.get(copy.host, NOWHERE) for copy in found.copies]
    return Placeable(
        scene=found, problem=problem, today=np.array(today, dtype=np.int64), losses=lost, named=named
    )


def insisting(problem: Problem, level: int = AIMS) -> Problem:
    """The same problem with everything at a level turned into what must be."""
    return replace(
        problem,
        at_most=tuple(replace(each, level=HARD) if each.level == level else each for each in problem.at_most),
        losses=tuple(replace(each, level=HARD) if each.level == level else each for each in problem.losses),
    )


def _groups(found: Scene) -> Ints:
    order = {name: number for number, name in enumerate(found.items)}
    return np.array([order[copy.service] for copy in found.copies], dtype=np.int64)


def _start(found: Scene) -> Ints:
    """Where the owner says that copies run today; a place that was assumed counts as nowhere yet."""
    return np.array(
        [
            found.bin.get(copy.host, NOWHERE)
            if len(may) == 1 or found.services[copy.service].placed is not None
            else NOWHERE
            for copy, may in zip(found.copies, found.may, strict=True)
        ],
        dtype=np.int64,
    )


def _allowed(found: Scene) -> Bools:
    allowed = np.zeros((len(found.copies), len(found.hosts)), dtype=bool)
    for number, hosts in enumerate(found.may):
        allowed[number, [found.bin[host] for host in hosts]] = True
    return allowed


def _moves(found: Scene, size: Ints) -> tuple[Moves, ...]:
    """How many copies move, and what is copied then: memory, and the disk where it lies on the host."""
    once = np.ones(len(found.copies), dtype=np.int64)
    return (
        Moves(level=MOVES, each=once),
        Moves(level=COPIED, each=size[:, MEMORY] + size[:, DISK]),
    )


def _comfort(found: Scene, capacity: Ints) -> Iterator[Comfort]:
    """Above each step, and above what the owner calls comfort, what is used costs once more."""
    bound = capacity < UNBOUND // 2
    there = np.where(bound, capacity, 0).sum(axis=0)
    weight = np.zeros(len(RESOURCES), dtype=np.int64)
    weight[MEMORY] = 1
    weight[CORES] = max(1, round(there[MEMORY] / there[CORES])) if there[CORES] else 0
    for percent in STEPS:
        yield Comfort(level=BALANCE, upto=np.where(bound, capacity * percent // 100, UNBOUND), weight=weight)
    share = _comfortable(found)
    if (share < 1.0).any():
        upto = np.where(bound, np.floor(capacity * share[:, None]).astype(np.int64), UNBOUND)
        yield Comfort(level=BALANCE, upto=upto, weight=len(STEPS) * weight)


def _comfortable(found: Scene) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """By host, how full it should be at most: the least that its pools say."""
    share = np.ones(len(found.hosts))
    for pool in found.standing.lab.of(Pool):
        for host in pool.hosts.ids if pool.hosts else ():
            if pool.comfort is not None and host in found.bin:
                share[found.bin[host]] = min(share[found.bin[host]], pool.comfort)
    return share
