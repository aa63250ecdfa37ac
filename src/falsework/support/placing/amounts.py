"""What does each copy take, what does each host have, and what do hosts have together?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from falsework.engines.placing.problem import NOWHERE, Ints, Shared
from falsework.model.parts import Circuit, Node, Part, Strip, ThingId, Ups
from falsework.model.services import Copy, Pool
from falsework.support import power
from falsework.support.placing.scene import Scene

RESOURCES = ("cores", "memory", "disk", "accelerators", "ports", "watts")
CORES, MEMORY, DISK, ACCELERATORS, PORTS, WATTS = range(len(RESOURCES))
CORE = 100
"""A core is a hundred, so that it can be promised to several in any proportion."""
MIB = float(1 << 20)
"""Memory and disks are counted in MiB: what a copy takes is rounded up, what a host has down."""
UNBOUND = 1 << 40
"""What a host has of something that nobody gave a figure for: more than all copies take."""


def sizes(scene: Scene) -> Ints:
    """(n_items, n_resources): what each copy takes of its host."""
    rows = [_size(scene, copy) for copy in scene.copies]
    return np.array(rows, dtype=np.int64).reshape(len(rows), len(RESOURCES))


def _size(scene: Scene, copy: Copy) -> tuple[int, ...]:
    takes = scene.services[copy.service].takes
    if takes is None:
        return (0,) * len(RESOURCES)
    return (
        CORE * (takes.cores or 0),
        math.ceil((takes.memory or 0.0) / MIB),
        math.ceil((takes.disk or 0.0) / MIB) if is_local(scene, copy) else 0,
        takes.accelerators,
        takes.ports,
        math.ceil(takes.draws or 0.0),
    )


def is_local(scene: Scene, copy: Copy) -> bool:
    """Whether a copy's disk lies on its host, and moves with it."""
    pool = scene.standing.lab.things.get(ThingId(copy.pool)) if copy.pool else None
    return not isinstance(pool, Pool) or pool.store is None


def capacities(scene: Scene) -> Ints:
    """(n_bins, n_resources): what each host has for the copies that are placed.

    A figure that nobody gave binds nothing. What copies without a choice take is taken off. A host of several
    pools has the least that these promise.
    """
    found = np.full((len(scene.hosts), len(RESOURCES)), UNBOUND, dtype=np.int64)
    pools = _pools(scene)
    for number, host in enumerate(scene.hosts):
        node = scene.standing.lab.things[ThingId(host)]
        if isinstance(node, Node):
            found[number] = _has(scene, node, pools[host])
    placed = {copy.id for copy in scene.copies}
    for copy in scene.standing.lab.of(Copy):
        at = scene.bin.get(copy.host, NOWHERE)
        if copy.id not in placed and at != NOWHERE:
            found[at] -= np.array(_size(scene, copy), dtype=np.int64)
    return np.maximum(found, 0)


def _pools(scene: Scene) -> Mapping[str, Sequence[Pool]]:
    found: dict[str, list[Pool]] = {host: [] for host in scene.hosts}
    for pool in scene.standing.lab.of(Pool):
        for host in pool.hosts.ids if pool.hosts else ():
            if host in found:
                found[host].append(pool)
    return found


def _has(scene: Scene, node: Node, pools: Sequence[Pool]) -> tuple[int, ...]:
    shared = min((pool.cores_shared or 1.0 for pool in pools), default=1.0)
    kept = max((pool.keeps_free or 0.0 for pool in pools), default=0.0)
    return (
        math.floor(node.cores * shared * CORE + 1e-6) if node.cores else UNBOUND,
        math.floor((node.memory - kept) / MIB) if node.memory else UNBOUND,
        math.floor(node.disk / MIB) if node.disk else UNBOUND,
        node.accelerators,
        len(node.ports) - _plugged(scene, node.id) if node.ports else UNBOUND,
        math.floor(node.draws.high - node.draws.low) if node.draws else UNBOUND,
    )


def _plugged(scene: Scene, host: str) -> int:
    """How many ports of a host have a cable in them already."""
    networks = scene.standing.support.networks.values()
    ways = (each for network in networks for each in network.attachments.get(host, ()))
    return len({(each.vertex, each.through) for each in ways})


def shared(scene: Scene, size: Ints, capacity: Ints) -> Iterator[Shared]:
    """Circuits, strips and batteries that the work of copies could ask for more than they carry.

    Counted carefully: every machine with a cord here as if it drew all its power here, and every machine that
    hosts none of these copies at its busiest.
    """
    if not size[:, WATTS].any():
        return
    lab = scene.standing.lab
    draws = scene.standing.draws()
    volts = power.volts_at(lab, draws)
    fed: dict[str, list[str]] = {}
    for host in scene.hosts:
        thing = lab.things[ThingId(host)]
        if isinstance(thing, Part):
            fed.setdefault(draws.fed(thing), []).append(host)
    for source in (*lab.of(Circuit), *lab.of(Strip), *lab.of(Ups)):
        limit = power.limit_w(source, volts)
        consumers = tuple(draws.through(source.id))
        bins = tuple(scene.bin[host] for each in consumers for host in fed.get(each, ()))
        if limit is None or not bins:
            continue
        work = capacity[list(bins), WATTS]
        others = sum(draws.consumers[each] for each in consumers) - int(work[work < UNBOUND].sum())
        yield Shared(
            name=f"what {source.id} carries",
            bins=bins,
            resource=WATTS,
            capacity=max(0, math.floor(limit - others)),
        )
