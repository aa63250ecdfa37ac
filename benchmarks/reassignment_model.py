"""Which placing problem do two files of the published machine reassignment problem describe?

Source:
    H. M. Afsar, C. Artigues, E. Bourreau, S. Kedad-Sidhoum (2016), Machine reassignment problem: the ROADEF/EURO
    challenge 2012, Annals of Operations Research 242, 1-17: a model file and an assignment file of whole numbers.
"""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from falsework.engines.placing.problem import (
    Apart,
    Balance,
    Comfort,
    Ints,
    Moves,
    Near,
    Problem,
    Spread,
)

_MOST = 2**40
"""Larger numbers than this are in no published file; sums of smaller ones stay exact."""


class Malformed(ValueError):
    """The text is not such a file; the message says where and why."""


def text_of(path: Path) -> bytes:
    """The bytes of a file, unpacked where it is gzipped."""
    raw = path.read_bytes()
    return gzip.decompress(raw) if raw[:2] == b"\x1f\x8b" else raw


def numbers(text: bytes) -> Ints:
    """The whole numbers of a text, in order.

    Raises:
        Malformed: something else stands in it, or a number is beyond what a file holds.
    """
    odd = text.translate(None, b"0123456789 \t\r\n")
    if odd:
        raise Malformed(f"a file holds whole numbers and blanks only, not {odd[:1]!r}")
    if not text.strip():
        return np.zeros(0, dtype=np.int64)
    found = np.fromstring(text, dtype=np.int64, sep=" ")
    if found.size and not 0 <= int(found.min()) <= int(found.max()) < _MOST:
        raise Malformed(f"a number is beyond {_MOST}")
    return found


def assignment(text: bytes) -> Ints:
    """The machine of each process."""
    return numbers(text)


def written(bin_of: Ints) -> str:
    """An assignment in the published form."""
    return " ".join(map(str, bin_of.tolist())) + "\n"


class _Cursor:
    def __init__(self, found: Ints) -> None:
        self._found = found
        self._at = 0

    def one(self, what: str) -> int:
        return int(self.some(1, what)[0])

    def some(self, count: int, what: str) -> Ints:
        end = self._at + count
        if end > self._found.size:
            raise Malformed(f"the model ends within its {what}")
        part = self._found[self._at : end]
        self._at = end
        return part

    def table(self, rows: int, width: int, what: str) -> Ints:
        return self.some(rows * width, what).reshape(rows, width)

    def close(self) -> None:
        if self._at != self._found.size:
            raise Malformed(f"{self._found.size - self._at} numbers follow after the end of the model")


def problem(model: bytes, start: Ints) -> Problem:
    """The problem of a model's text, with one level, `cost`.

    Args:
        model: the text of the model.
        start: (n_processes,) the machine of each process at the start.

    Raises:
        Malformed: not in the format, or the two do not fit together.
    """
    cursor = _Cursor(numbers(model))
    n_resources = cursor.one("number of resources")
    resources = cursor.table(n_resources, 2, "resources")
    n_machines = cursor.one("number of machines")
    if not n_machines:
        raise Malformed("there are no machines")
    machines = cursor.table(n_machines, 2 + 2 * n_resources + n_machines, "machines")
    n_services = cursor.one("number of services")
    services: list[tuple[int, tuple[int, ...]]] = []
    for _ in range(n_services):
        at_least, count = cursor.some(2, "services").tolist()
        services.append((at_least, tuple(cursor.some(count, "services").tolist())))
    n_processes = cursor.one("number of processes")
    processes = cursor.table(n_processes, 2 + n_resources, "processes")
    balances = cursor.table(cursor.one("number of balance costs"), 4, "balance costs")
    weight_process, weight_service, weight_machine = cursor.some(3, "weights").tolist()
    cursor.close()

    if start.shape != (n_processes,):
        raise Malformed(f"the assignment has {start.size} machines for {n_processes} processes")
    _below(start, n_machines, "a process of the assignment is on a machine")
    _below(processes[:, 0], n_services, "a process belongs to a service")
    _below(balances[:, :2], n_resources, "a balance cost speaks of a resource")
    for _, needed in services:
        _below(np.array(needed, dtype=np.int64), n_services, "a service depends on a service")

    members: list[list[int]] = [[] for _ in range(n_services)]
    for process, service in enumerate(processes[:, 0].tolist()):
        members[service].append(process)
    items = [tuple(some) for some in members]
    by_machine = tuple(range(n_machines))
    by_location = tuple(machines[:, 1].tolist())
    by_neighbourhood = tuple(machines[:, 0].tolist())
    first_way = 2 + 2 * n_resources
    return Problem(
        levels=("cost",),
        item_names=tuple(f"p{number}" for number in range(n_processes)),
        bin_names=tuple(f"m{number}" for number in range(n_machines)),
        resource_names=tuple(f"r{number}" for number in range(n_resources)),
        size=np.ascontiguousarray(processes[:, 1 : 1 + n_resources]),
        capacity=np.ascontiguousarray(machines[:, 2 : 2 + n_resources]),
        twice=resources[:, 0] != 0,
        group=np.ascontiguousarray(processes[:, 0]),
        start=start,
        apart=tuple(
            Apart(name=f"service {number}", items=some, domain=by_machine)
            for number, some in enumerate(items)
            if len(some) > 1
        ),
        spread=tuple(
            Spread(name=f"spread of service {number}", items=some, domain=by_location, at_least=at_least)
            for number, (some, (at_least, _)) in enumerate(zip(items, services, strict=True))
            if at_least > 1
        ),
        near=tuple(
            Near(
                name=f"service {number} on {other}",
                items=items[number],
                to=items[other],
                domain=by_neighbourhood,
            )
            for number, (_, needed) in enumerate(services)
            for other in needed
            if items[number] and other != number
        ),
        comfort=(
            Comfort(
                level=0,
                upto=np.ascontiguousarray(machines[:, 2 + n_resources : first_way]),
                weight=np.ascontiguousarray(resources[:, 1]),
            ),
        ),
        balance=tuple(
            Balance(resource=one, against=two, target=target, level=0, weight=weight)
            for one, two, target, weight in balances.tolist()
        ),
        moves=(
            Moves(
                level=0,
                each=weight_process * processes[:, 1 + n_resources],
                busiest=weight_service,
                way=_compact(machines[:, first_way:]),
                way_weight=weight_machine,
            ),
        ),
    )


def _below(some: Ints, count: int, what: str) -> None:
    if some.size and int(some.max()) >= count:
        raise Malformed(f"{what} {int(some.max())}, of {count}")


def _compact(way: Ints) -> NDArray[np.integer]:
    """The same numbers in the fewest bytes: five thousand machines have 25 million ways."""
    return way.astype(np.min_scalar_type(int(way.max(initial=0))))
