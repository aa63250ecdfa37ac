"""What does an assignment cost by the published statement alone, and which rule does it break?

It reads the files itself, knows nothing of the engine, and adds up the slow way.

Source:
    As `reassignment_model.py`: the challenge's statement of the problem.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """The five parts of the cost, each with its weight."""

    load: int
    balance: int
    process_moves: int
    service_moves: int
    machine_moves: int

    @property
    def total(self) -> int:
        """Their sum."""
        return self.load + self.balance + self.process_moves + self.service_moves + self.machine_moves


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What became of an assignment: its cost, and the rules that it breaks, each told in words."""

    cost: Cost
    broken: tuple[str, ...]


class Statement:
    """A model file as its statement reads."""

    def __init__(self, text: bytes) -> None:
        read = _Reader(text)
        self.transient: list[bool] = []
        self.load_weight: list[int] = []
        for _ in range(read.next()):
            self.transient.append(read.next() == 1)
            self.load_weight.append(read.next())
        n = len(self.transient)
        self.neighbourhood: list[int] = []
        self.location: list[int] = []
        self.capacity: list[list[int]] = []
        self.safety: list[list[int]] = []
        self.move_cost: list[Ints] = []
        n_machines = read.next()
        for _ in range(n_machines):
            self.neighbourhood.append(read.next())
            self.location.append(read.next())
            self.capacity.append(read.many(n).tolist())
            self.safety.append(read.many(n).tolist())
            self.move_cost.append(read.many(n_machines))
        self.spread: list[int] = []
        self.depends: list[list[int]] = []
        for _ in range(read.next()):
            self.spread.append(read.next())
            self.depends.append(read.many(read.next()).tolist())
        self.service: list[int] = []
        self.requirement: list[list[int]] = []
        self.process_move_cost: list[int] = []
        for _ in range(read.next()):
            self.service.append(read.next())
            self.requirement.append(read.many(n).tolist())
            self.process_move_cost.append(read.next())
        self.balances: list[tuple[int, int, int, int]] = []
        for _ in range(read.next()):
            self.balances.append((read.next(), read.next(), read.next(), read.next()))
        self.process_weight = read.next()
        self.service_weight = read.next()
        self.machine_weight = read.next()

    def judge(self, start: Ints, after: Ints) -> Verdict:
        """The verdict on going from one assignment to another."""
        n, n_machines = len(self.transient), len(self.capacity)
        first, last = start.tolist(), after.tolist()
        if len(last) != len(self.service) or any(not 0 <= machine < n_machines for machine in last):
            raise ValueError("the assignment does not name one machine for each process")
        use = [[0] * n for _ in range(n_machines)]
        held = [[0] * n for _ in range(n_machines)]
        moved = []
        for process, (old, new) in enumerate(zip(first, last, strict=True)):
            for r, amount in enumerate(self.requirement[process]):
                use[new][r] += amount
                held[new][r] += amount
                if old != new and self.transient[r]:
                    held[old][r] += amount
            if old != new:
                moved.append(process)
        broken = [
            f"machine {machine} holds {held[machine][r]} of resource {r}, has {self.capacity[machine][r]}"
            for machine in range(n_machines)
            for r in range(n)
            if held[machine][r] > self.capacity[machine][r]
        ]
        broken += self._broken_services(last)
        load = sum(
            self.load_weight[r] * max(0, use[machine][r] - self.safety[machine][r])
            for machine in range(n_machines)
            for r in range(n)
        )
        balance = 0
        for one, two, target, weight in self.balances:
            for machine in range(n_machines):
                free_one = self.capacity[machine][one] - use[machine][one]
                free_two = self.capacity[machine][two] - use[machine][two]
                balance += weight * max(0, target * free_one - free_two)
        by_service = Counter(self.service[process] for process in moved)
        cost = Cost(
            load=load,
            balance=balance,
            process_moves=self.process_weight * sum(self.process_move_cost[process] for process in moved),
            service_moves=self.service_weight * max(by_service.values(), default=0),
            machine_moves=self.machine_weight
            * sum(int(self.move_cost[first[process]][last[process]]) for process in moved),
        )
        return Verdict(cost=cost, broken=tuple(broken))

    def _broken_services(self, machines: list[int]) -> list[str]:
        where: defaultdict[int, list[int]] = defaultdict(list)
        for process, machine in enumerate(machines):
            where[self.service[process]].append(machine)
        broken = []
        for service, some in sorted(where.items()):
            if len(set(some)) < len(some):
                broken.append(f"two processes of service {service} share a machine")
        for service, least in enumerate(self.spread):
            locations = {self.location[machine] for machine in where[service]}
            if len(locations) < least:
                broken.append(f"service {service} is in {len(locations)} locations, not {least}")
        for service, needed in enumerate(self.depends):
            here = {self.neighbourhood[machine] for machine in where[service]}
            broken += [
                f"service {service} has no {other} in neighbourhood {lone}"
                for other in needed
                for lone in sorted(here - {self.neighbourhood[machine] for machine in where[other]})
            ]
        return broken


class _Reader:
    def __init__(self, text: bytes) -> None:
        self._found: Ints = np.fromstring(text, dtype=np.int64, sep=" ")
        self._at = 0

    def next(self) -> int:
        return int(self.many(1)[0])

    def many(self, count: int) -> Ints:
        self._at += count
        if self._at > self._found.size:
            raise ValueError("the model ends too early")
        return self._found[self._at - count : self._at]
