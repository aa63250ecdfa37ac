"""Which layouts have the pieces of a datum apart, in different machines or enclosures?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from heapq import heapify, heappop, heappush
from itertools import combinations_with_replacement

from falsework.analyses.drives.result import Apart, Bays, Group, Plan, Stick
from falsework.engines.usable import usable_spread

MOST_CHECK = 3
MOST_KEPT = 2
MOST_PIECES = 20
"""Wider than that is not tried."""


def network_plans(chosen: Sequence[Stick], bays: Sequence[Bays], *, least: int) -> Iterator[Plan]:
    """Copies and pieces, apart by node and by enclosure, as many as there are of them; with room kept free or not.

    Args:
        chosen: the drives, the largest first; what does not fit into the bays stays out.
        bays: where they may go.
        least: how many drives must be survived.
    """
    for apart in (Apart.NODE, Apart.ENCLOSURE):
        sticks = housed(chosen, bays, apart)
        by_domain = domains_of(sticks, bays, apart)
        sizes = tuple(sorted((tuple(sorted((each.size_bytes for each in those), reverse=True)) for those in by_domain.values()), reverse=True))  # fmt: skip
        if apart is Apart.ENCLOSURE and len(by_domain) == len(domains_of(sticks, bays, Apart.NODE)):
            continue  # every machine is an enclosure of its own
        for data, check in _widths(len(by_domain)):
            if check < least:
                continue
            for kept in range(MOST_KEPT + 1):
                usable = usable_keeping(sizes, data=data, check=check, kept=kept)
                if usable <= 0:
                    break
                scheme = f"{check + 1} copies" if data == 1 else f"{data}+{check} pieces"
                group = Group(sticks=sticks, data=data, check=check, apart=apart)
                yield Plan(
                    scheme=scheme,
                    apart=apart,
                    groups=(group,),
                    spares=kept,
                    usable_bytes=usable,
                )


def _widths(domains: int) -> Iterator[tuple[int, int]]:
    """How many pieces hold data, and how many may be gone."""
    yield from ((1, check) for check in (1, 2) if check + 1 <= domains)
    for check in range(1, MOST_CHECK + 1):
        yield from ((data, check) for data in range(2, min(domains, MOST_PIECES) - check + 1))


def housed(chosen: Sequence[Stick], bays: Sequence[Bays], apart: Apart) -> tuple[Stick, ...]:
    """Drives in bays: each next one where the least lies so far; then a batch gathered in few domains.

    A cause that takes a batch takes one piece of each datum then, and not several.
    """
    free = {each.holder: each.free for each in bays}
    domain = {each.holder: each.domain(apart) for each in bays}
    beside = {each.holder: each.enclosure for each in bays}
    filled: defaultdict[str, float] = defaultdict(float)

    def fill(holder: str) -> tuple[float, float, float]:
        return filled[f"d {domain[holder]}"], filled[f"e {beside[holder]}"], filled[f"h {holder}"]

    waiting = [(fill(each.holder), number, each.holder) for number, each in enumerate(bays)]
    heapify(waiting)
    placed: list[tuple[Stick, str]] = []
    for each in chosen:
        while waiting:
            told, number, best = heappop(waiting)
            if not free[best]:
                continue
            if told == fill(best):
                break
            heappush(waiting, (fill(best), number, best))  # a neighbour has filled it since
        else:
            break
        free[best] -= 1
        for name in (f"d {domain[best]}", f"e {beside[best]}", f"h {best}"):
            filled[name] += each.size_bytes
        placed.append((each, best))
        heappush(waiting, (fill(best), number, best))
    return _gathered(placed, domain)


def _gathered(placed: Sequence[tuple[Stick, str]], domain: Mapping[str, str]) -> tuple[Stick, ...]:
    """The same places, drives of one size changed among them so that those of one batch are neighbours."""
    places: defaultdict[float, list[str]] = defaultdict(list)
    drives: defaultdict[float, list[Stick]] = defaultdict(list)
    for each, holder in placed:
        places[each.size_bytes].append(holder)
        drives[each.size_bytes].append(each)
    found: list[Stick] = []
    for size, some in drives.items():
        count = {
            batch: sum(1 for each in some if each.batch == batch) for batch in {each.batch for each in some}
        }
        some.sort(key=lambda each: (-count[each.batch], each.batch, each.name))
        here = sorted(places[size], key=lambda holder: (domain[holder], holder))
        found.extend(replace(each, bay=holder) for each, holder in zip(some, here, strict=True))
    return tuple(sorted(found, key=lambda each: (-each.size_bytes, each.bay, each.name)))


def domains_of(
    sticks: Sequence[Stick], bays: Sequence[Bays], apart: Apart
) -> Mapping[str, tuple[Stick, ...]]:
    """Drives by what may hold only one piece."""
    of = {each.holder: each.domain(apart) for each in bays}
    found: defaultdict[str, list[Stick]] = defaultdict(list)
    for each in sticks:
        found[of[each.bay]].append(each)
    return {name: tuple(those) for name, those in found.items()}


def usable_keeping(sizes: Sequence[Sequence[float]], *, data: int, check: int, kept: int) -> float:
    """How much may lie on it so that all still fits after the loss of any `kept` drives, pieces apart.

    Room grows with every drive, so in each domain only its largest drives are tried; domains that are alike are tried
    once.

    Args:
        sizes: of the drives of each domain, the largest first.
        data: pieces that hold data.
        check: pieces that may be gone.
        kept: 0 to 2.
    """
    whole = [sum(each) for each in sizes]
    if not kept:
        return usable_spread(whole, data=data, check=check)
    best = float("inf")
    first_of: dict[tuple[float, ...], list[int]] = {}
    for number, each in enumerate(sizes):
        first_of.setdefault(tuple(each), []).append(number)
    # Of alike domains one is tried, and two for a loss in each.
    some = [number for those in first_of.values() for number in those[: max(kept, 1)]]
    for first, second in combinations_with_replacement(some, 2) if kept > 1 else ((one, one) for one in some):
        if kept > 1 and first == second and len(sizes[first]) < 2:
            continue
        left = list(whole)
        if first == second:
            left[first] -= sum(sizes[first][:kept])
        else:
            left[first] -= sizes[first][0]
            left[second] -= sizes[second][0]
        best = min(best, usable_spread([each for each in left if each > 0], data=data, check=check))
    return 0.0 if best == float("inf") else best
