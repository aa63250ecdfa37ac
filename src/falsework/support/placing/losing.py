"""What must a placement keep when something is lost?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import GateGraph
from falsework.engines.placing.problem import AtMost, Bools, Loss
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


def in_touch(standing: Standing, hosts: Sequence[str], lost: Sequence[Iterable[str]]) -> Bools:
    """Which hosts stand and see the wire that they are on: (n_hosts, n_losses)."""
    if not hosts:
        return np.zeros((0, len(lost)), dtype=np.bool_)
    graph = _Touch(standing.support, out=standing.out).graph(hosts)
    row = {name: number for number, name in enumerate(graph.leaf_names)}
    failures = [[row[name] for name in each if name in row] for each in lost]
    return np.asarray(Evaluator(graph).stands(failures))


def spread(
    scene: Scene, found: Losses, named: Named, *, aimed: int, single: int, interrupted: int
) -> Iterator[AtMost]:
    """No loss takes away more copies of a service than it can spare.

    An aim that names the loss comes at the level `aimed`: for a service whose copies restart elsewhere only if it
    may not be interrupted. Every other loss costs at the level `single`, or `interrupted` where copies restart,
    as much as there are parts that do it.
    """
    for name in scene.items:
        most = scene.spare(name)
        restarts = any(scene.copies[item].pool for item in scene.items[name])
        for bins, parts in found.parts.items():
            if most_in(scene, name, bins) <= most or not _escapes(scene, name, bins, most):
                continue
            for aim, lost in _aimed(scene, name, parts, restarts=restarts):
                rule = f"aim {aim.name!r}: {name} without {lost}"
                named[rule] = aim.where
                yield _at_most(scene, name, bins, most, rule, aimed, 1)
            rule = f"{name} without {few(parts, 2)}"
            named[rule] = scene.services[name].where
            yield _at_most(scene, name, bins, most, rule, interrupted if restarts else single, len(parts))


def _at_most(
    scene: Scene, name: str, bins: frozenset[int], most: int, rule: str, level: int, weight: int
) -> AtMost:
    return AtMost(
        name=rule, items=scene.items[name], bins=tuple(sorted(bins)), most=most, level=level, weight=weight
    )


def most_in(scene: Scene, name: str, bins: frozenset[int]) -> int:
    """How many copies of a service could lie in these bins at all, as its `apart` has it."""
    items = scene.items[name]
    able = sum(1 for item in items if any(scene.bin[host] in bins for host in scene.may[item]))
    level = scene.services[name].apart
    if level == "not":
        return able
    domain = scene.domains(level)
    return min(able, len({domain[at] for at in bins}))


def _escapes(scene: Scene, name: str, bins: frozenset[int], most: int) -> bool:
    """Whether enough copies could lie elsewhere: else no placement helps, and the rule says nothing."""
    items = scene.items[name]
    able = sum(1 for item in items if any(scene.bin[host] not in bins for host in scene.may[item]))
    return able >= len(items) - most


def _aimed(scene: Scene, name: str, parts: Sequence[str], *, restarts: bool) -> Iterator[tuple[Aim, str]]:
    """Aims that a service falls short of when one of these parts is lost, and the part."""
    for aim in scene.standing.lab.aims:
        if (
            aim.lose is None
            or aim.at_once > 1
            or aim.within is not None
            or (aim.of is not None and name not in aim.of.ids)
        ):
            continue
        if aim.at_most in ("falls", "lost") or (restarts and aim.at_most == "blinks"):
            continue
        lost = next((part for part in parts if part in aim.lose.ids), None)
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
