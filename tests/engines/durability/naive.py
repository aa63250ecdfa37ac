"""What would one who names every drive make of a group? Slow and obvious: the judge of the chain."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from math import exp

import numpy as np
from scipy.linalg import expm

from falsework.engines.durability.group import Group
from falsework.engines.durability.pools import Pool
from falsework.engines.durability.redundant import Alike

LOST = "lost"


@dataclass(frozen=True, slots=True)
class Named:
    """One drive, by number."""

    of: Alike
    alone: float


def drives(group: Group) -> list[Named]:
    """All drives of a group, each with what it fails at by itself."""
    shared = shocks(group)
    return [
        Named(each, each.rate * (1 - each.in_common) if each.batch in shared else each.rate)
        for each in group.members
        for _ in range(each.count)
    ]


def shocks(group: Group) -> dict[str, float]:
    """Rate of each cause in common: the mean over those that share it, two or more."""
    of: dict[str, list[float]] = {}
    for each in group.members:
        for _ in range(each.count):
            of.setdefault(each.batch, []).append(each.rate * each.in_common)
    return {name: float(np.mean(each)) for name, each in of.items() if name and len(each) > 1 and sum(each)}


def steps(group: Group, state, *, reads: bool = True) -> Iterator[tuple[object, float]]:
    """Where it can go from a state (numbers that are out, spares to come), and how fast."""
    out, coming = state
    every = drives(group)
    there = [n for n in range(len(every)) if n not in out]
    waits = group.spare_comes_s > 0

    def after(more) -> object:
        if len(out | more) > group.tolerated:
            return LOST
        return (out | more, coming + len(more) * waits)

    for n in there:
        yield after(frozenset({n})), every[n].alone
    for name, rate in shocks(group).items():
        hit = frozenset(n for n in there if every[n].of.batch == name)
        if hit:
            yield after(hit), rate
    # Those that are out share bodies and hands.
    bodies = min(len(out), group.spares - coming + len(out))
    hands = bodies if group.at_once else min(1, bodies)
    for n in out:
        slowest = min([every[n].of.bytes_per_s] + [every[k].of.bytes_per_s for k in there])
        a_byte = max(
            1 / (slowest * group.load_leaves), group.needed / group.reads_at_most, 1 / group.writes_at_most
        )
        rate = hands / len(out) / (group.begins_after_s + every[n].of.size_bytes * a_byte)
        bad = 0.0
        if reads and len(out) == group.tolerated:
            bad = 1 - exp(-sum(8 * every[k].of.size_bytes * every[k].of.read_errors for k in there))
        yield (out - {n}, coming), rate * (1 - bad)
        yield LOST, rate * bad
    if coming and group.spare_comes_s < float("inf"):
        yield (out, coming - 1), coming / group.spare_comes_s


def solve(group: Group, horizon_s: float, *, reads: bool = True) -> tuple[float, float, float]:
    """Mean time to loss, chance of loss within the horizon, and mean time exposed, by plain linear algebra."""
    start = (frozenset(), 0)
    number = {start: 0}
    order = [start]
    arcs = []
    for state in order:
        for to, rate in steps(group, state, reads=reads):
            if not rate:
                continue
            if to != LOST and to not in number:
                number[to] = len(order)
                order.append(to)
            arcs.append((number[state], to, rate))
    n = len(order)
    # The last two: lost, and a counter of the time exposed.
    q = np.zeros((n + 2, n + 2))
    for i, to, rate in arcs:
        q[i, n if to == LOST else number[to]] += rate
        q[i, i] -= rate
    mean = float(np.linalg.solve(-q[:n, :n], np.ones(n))[0])
    q[:n, n + 1] = [float(len(out) == group.tolerated) / horizon_s for out, _ in order]
    after = expm(q * horizon_s)[0]
    return mean, float(after[n]), float(after[n + 1]) * horizon_s


def pool_mean(pool: Pool) -> float:
    """Mean time to loss of a pool in which every drive has a name: a domain misses something while any of its is out.

    Any set of drives is in use, and nothing is unreadable. Drives are numbered domain by domain.
    """
    domains = pool.apart or tuple(
        tuple(int(i == index) for i in range(len(pool.members)))
        for index, each in enumerate(pool.members)
        for _ in range(each.count)
    )
    every = [
        (number, pool.members[index])
        for number, domain in enumerate(domains)
        for index, many in enumerate(domain)
        for _ in range(many)
    ]
    order = [frozenset[int]()]
    number_of = {order[0]: 0}
    arcs: list[tuple[int, frozenset[int] | str, float]] = []
    for out in order:
        there = [n for n in range(len(every)) if n not in out]
        for n in there:
            to = out | {n}
            lost = len({every[k][0] for k in to}) > pool.tolerated
            if not lost and to not in number_of:
                number_of[to] = len(order)
                order.append(to)
            arcs.append((number_of[out], LOST if lost else to, every[n][1].rate))
        speed = pool.load_leaves * sum(every[n][1].bytes_per_s for n in there)
        for n in out:
            # What it held is read and written by all others, which all rebuilds share.
            work = (pool.pieces + 1) * every[n][1].size_bytes / speed
            arcs.append((number_of[out], out - {n}, 1 / (pool.begins_after_s + len(out) * work)))
    q = np.zeros((len(order), len(order)))
    for i, to, rate in arcs:
        q[i, i] -= rate
        if not isinstance(to, str):
            q[i, number_of[to]] += rate
    return float(np.linalg.solve(-q, np.ones(len(order)))[0])


def lives(group: Group, runs: int, seed: int) -> list[float]:
    """Times to loss, drawn one event at a time."""
    draw = random.Random(seed)
    found = []
    for _ in range(runs):
        state: object = (frozenset(), 0)
        now = 0.0
        while state != LOST:
            choices = list(steps(group, state))
            rates = [rate for _, rate in choices]
            now += draw.expovariate(sum(rates))
            state = draw.choices([to for to, _ in choices], rates)[0]
        found.append(now)
    return found
