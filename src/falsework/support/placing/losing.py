"""What must a placement keep when something is lost?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import GateGraph
from falsework.engines.placing.problem import AtMost, Bools, Ints, Loss
from falsework.errors import few
from falsework.model.people import Aim
from falsework.support.gates import Compiler
from falsework.support.placing.company import Named
from falsework.support.placing.scene import Scene
from falsework.support.standing import Standing
from falsework.where import Where

MACHINES = ("node", "enclosure")
"""Room is wanted with any one of these gone, where no aim says what."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Losses:
    """Which hosts each loss takes away, read off the lab as it is placed today.

    Attributes:
        bins: the hosts that are gone, by lost part; only parts that take some host away.
        parts: the parts that take away just these hosts, by the hosts.
    """

    bins: Mapping[str, frozenset[int]]
    parts: Mapping[frozenset[int], tuple[str, ...]]


def losses(scene: Scene) -> Losses:
    """What losing any one part does to the hosts."""
    names = scene.standing.parts
    gone = ~in_touch(scene.standing, scene.hosts, [(name,) for name in names])
    bins: dict[str, frozenset[int]] = {}
    parts: dict[frozenset[int], list[str]] = {}
    for column in np.flatnonzero(gone.any(axis=0)):
        lost = bins[names[column]] = frozenset(np.flatnonzero(gone[:, column]).tolist())
        parts.setdefault(lost, []).append(names[column])
    return Losses(bins=bins, parts={lost: tuple(each) for lost, each in parts.items()})


class _Touch(Compiler):
    """A compiler that is asked about hosts alone."""

    def graph(self, hosts: Sequence[str]) -> GateGraph:
        return self.builder.freeze([self._in_touch(host) for host in hosts])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ready:
    """Some hosts, ready to be asked about: the engine, and the row of each leaf."""

    engine: Evaluator
    row: Mapping[str, int]


def in_touch(standing: Standing, hosts: Sequence[str], lost: Sequence[Iterable[str]]) -> Bools:
    """Which hosts stand and see the wire that they are on: (n_hosts, n_losses).

    Cost:
        The graph compiled once for a lab and some hosts, which takes far longer than asking it.
    """
    if not hosts:
        return np.zeros((0, len(lost)), dtype=np.bool_)
    key = ("in touch", tuple(hosts))
    ready = standing.asked.get(key)
    if not isinstance(ready, _Ready):
        graph = _Touch(standing.support, out=standing.out).graph(hosts)
        row = {name: number for number, name in enumerate(graph.leaf_names)}
        ready = standing.asked[key] = _Ready(engine=Evaluator(graph), row=row)
    failures = [[ready.row[name] for name in each if name in ready.row] for each in lost]
    return np.asarray(ready.engine.stands(failures))


def rooms_without(standing: Standing, lost: Sequence[Iterable[str]]) -> list[list[frozenset[int]]]:
    """By loss and room of the graph, the hosts (positions) on which no copy can run then."""
    rooms = standing.support.rooms
    hosts = tuple(dict.fromkeys(host for room in rooms for host in room.hosts))
    row = {host: number for number, host in enumerate(hosts)}
    touch = in_touch(standing, hosts, lost)
    return [
        [
            frozenset(at for at, host in enumerate(room.hosts) if not touch[row[host], column])
            for room in rooms
        ]
        for column in range(len(lost))
    ]


def spread(
    scene: Scene, found: Losses, named: Named, *, aimed: int, single: int, interrupted: int
) -> Iterator[AtMost]:
    """No loss takes away more copies of a service than it can spare.

    An aim that names the loss comes at the level `aimed`: for a service whose copies restart elsewhere only if it
    may not be interrupted. Every other loss costs at the level `single`, or `interrupted` where copies restart,
    as much as there are parts that do it.
    """
    reach = _Reach(scene, tuple(found.parts))
    aims = [
        (aim, frozenset(aim.lose.ids if aim.lose else ())) for aim in scene.standing.lab.aims if _binds(aim)
    ]
    for name in scene.items:
        most = scene.spare(name)
        restarts = any(scene.copies[item].pool for item in scene.items[name])
        level = interrupted if restarts else single
        free: list[AtMost] = []
        for bins in reach.matter(name, most):
            parts = found.parts[bins]
            for aim, lost in _aimed(aims, name, parts, restarts=restarts):
                rule = f"aim {aim.name!r}: {name} without {lost}"
                named[rule] = aim.where
                yield _at_most(scene, name, bins, most, rule, aimed, 1)
            rule = f"{name} without {few(parts, 2)}"
            named[rule] = scene.services[name].where
            free.append(_at_most(scene, name, bins, most, rule, level, len(parts)))
        yield from _merged(scene, name, free, named)


def _at_most(
    scene: Scene, name: str, bins: frozenset[int], most: int, rule: str, level: int, weight: int
) -> AtMost:
    return AtMost(
        name=rule, items=scene.items[name], bins=tuple(sorted(bins)), most=most, level=level, weight=weight
    )


def _merged(scene: Scene, name: str, rules: Sequence[AtMost], named: Named) -> Sequence[AtMost]:
    """One rule for all that a lone copy breaks wherever it lies, if that is as much on every host.

    No placement changes what it costs, and the search is spared most of its rules.
    """
    items = scene.items[name]
    if len(items) > 1 or len(rules) < 2:
        return rules
    may = [scene.bin[host] for host in scene.may[items[0]]]
    costs = dict.fromkeys(may, 0)
    for rule in rules:
        for at in rule.bins:
            if at in costs:
                costs[at] += rule.weight
    if len(set(costs.values())) > 1:
        return rules
    whole = f"{name} without what it runs on, wherever that is"
    named[whole] = scene.services[name].where
    return (_at_most(scene, name, frozenset(may), rules[0].most, whole, rules[0].level, costs[may[0]]),)


class _Reach:
    """Which losses can take away too much of a service, and need not."""

    def __init__(self, scene: Scene, losses: Sequence[frozenset[int]]) -> None:
        self.scene, self.losses = scene, losses
        self.lost = np.zeros((len(losses), len(scene.hosts)), dtype=np.int32)
        for number, bins in enumerate(losses):
            self.lost[number, list(bins)] = 1
        self.widths: dict[str, Ints] = {}

    def matter(self, name: str, most: int) -> Iterator[frozenset[int]]:
        """Losses in which more than `most` copies could lie, as the service's `apart` has it, and need not.

        Where not enough copies could lie elsewhere no placement helps, and a rule would say nothing.
        """
        scene = self.scene
        kinds = Counter(scene.may[item] for item in scene.items[name])
        inside = np.zeros(len(self.losses), dtype=np.int64)
        outside = np.zeros(len(self.losses), dtype=np.int64)
        for may, count in kinds.items():
            bins = [scene.bin[host] for host in may]
            here = self.lost[:, bins].sum(axis=1)
            inside += count * (here > 0)
            outside += count * (here < len(bins))
        level = scene.services[name].apart
        if level != "not":
            inside = np.minimum(inside, self._width(level))
        enough = outside >= len(scene.items[name]) - most
        for number in np.flatnonzero((inside > most) & enough).tolist():
            yield self.losses[number]

    def _width(self, level: str) -> Ints:
        """How many domains each loss takes away hosts of."""
        if level not in self.widths:
            domain = self.scene.domains(level)
            self.widths[level] = np.array(
                [len({domain[at] for at in bins}) for bins in self.losses], dtype=np.int64
            )
        return self.widths[level]


def _binds(aim: Aim) -> bool:
    """Whether an aim is about what single losses do at once."""
    return (
        aim.lose is not None
        and aim.at_once == 1
        and aim.within is None
        and aim.at_most not in ("falls", "lost")
    )


def _aimed(
    aims: Sequence[tuple[Aim, frozenset[str]]], name: str, parts: Sequence[str], *, restarts: bool
) -> Iterator[tuple[Aim, str]]:
    """Aims that a service falls short of when one of these parts is lost, and the part."""
    for aim, may_go in aims:
        if (aim.of is not None and name not in aim.of.ids) or (restarts and aim.at_most == "blinks"):
            continue
        lost = next((part for part in parts if part in may_go), None)
        if lost is not None:
            yield aim, lost


def rooms(scene: Scene, found: Losses, named: Named, *, aimed: int, otherwise: int) -> Iterator[Loss]:
    """Copies that restart find room without any one of what an aim names, and of any one machine."""
    if not any(copy.pool for copy in scene.copies):
        return
    told: set[frozenset[int]] = set()
    for aim in scene.standing.lab.aims:
        for part in aim.room_without.ids if aim.room_without else ():
            bins = found.bins.get(part)
            if bins is not None and bins not in told:
                told.add(bins)
                yield _room(f"aim {aim.name!r}: room without {part}", bins, aimed, named, aim.where)
    things = scene.standing.support.things
    for bins, parts in found.parts.items():
        machine = next((part for part in parts if things[part].word in MACHINES), None)
        if machine is not None and bins not in told and len(bins) < len(scene.hosts):
            yield _room(f"room without {machine}", bins, otherwise, named, things[machine].where)


def _room(name: str, bins: frozenset[int], level: int, named: Named, where: Where | None) -> Loss:
    if where is not None:
        named[name] = where
    return Loss(name=name, bins=tuple(sorted(bins)), level=level)
