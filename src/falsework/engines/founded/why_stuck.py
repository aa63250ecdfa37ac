"""Where not everything can begin: which is the smallest ring that waits for itself, and what one more offer would do?"""

from __future__ import annotations

import time
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from falsework.engines.founded.reach import allowed
from falsework.engines.founded.system import Clause, Reach, System
from falsework.engines.ways import shortest_circle


def smallest_reason(system: System, found: Reach, alike: Mapping[int, int] | None = None) -> tuple[int, ...]:
    """The shortest ring of items that wait for each other.

    Args:
        system: the items.
        found: how far it gets.
        alike: items that count as another one, such as the copies of one thing; others count as themselves.

    Returns:
        The ring, ending where it began; each waits for the next. Empty where nothing waits. Every item that does
        not serve lacks something that does not serve, so a ring there is, unless a clause can never hold.
        Of several as short, the first by position.

    Cost:
        O(waiting items x their waits); searches stop at the length of the shortest ring so far.
    """
    alike = alike or {}
    waits: dict[int, list[int]] = {}
    for item in range(len(system.names)):
        for other in _waits(system, found, item):
            one, two = alike.get(item, item), alike.get(other, other)
            if one != two:
                waits.setdefault(one, []).append(two)
    best: tuple[int, ...] = ()
    for start in sorted(waits):
        # The best so far has one step less than names; only a shorter one is of interest.
        ring = shortest_circle(start, lambda item: waits.get(item, ()), most=len(best) - 2 if best else None)
        if ring:
            best = ring
        if len(best) == 3:
            break
    return best


def would_do(
    system: System, goals: Collection[int], candidates: Iterable[int], *, seconds: float = 5.0
) -> tuple[int, ...]:
    """The candidates of which one more offer, for that item alone, would let every goal serve with all offers.

    Args:
        system: items and offers.
        goals: items that must serve in the end.
        candidates: tried in this order.
        seconds: about how long; what was not tried by then is not in the answer.
    """
    ends = time.monotonic() + seconds
    found = []
    for item in candidates:
        other = _stood_in(system, item)
        if frozenset(goals) <= allowed(other, tuple(other.costs)).serves:
            found.append(item)
        if time.monotonic() > ends:
            break
    return tuple(found)


def _waits(system: System, found: Reach, item: int) -> Iterable[int]:
    """What an item that does not begin, or does not serve, is still lacking."""
    if found.serves[item] >= 0:
        return
    clauses: Sequence[Clause] = system.begin[item] if found.begun[item] < 0 else system.serve[item]
    for clause in clauses:
        rounds = found.begun if clause.begun else found.serves
        lacking = [each for each in dict.fromkeys(clause.of) if rounds[each] < 0]
        if len(set(clause.of)) - len(lacking) < clause.enough:
            yield from lacking


def _stood_in(system: System, item: int) -> System:
    """The system in which something else serves for an item wherever it is needed."""
    instead = len(system.names)

    def swapped(clause: Clause) -> Clause:
        if item not in clause.of:
            return clause
        return replace(clause, of=tuple(instead if each == item else each for each in clause.of))

    return System(
        names=(*system.names, f"something for {system.names[item]}"),
        begin=(*(tuple(map(swapped, clauses)) for clauses in system.begin), ()),
        serve=(*(tuple(map(swapped, clauses)) for clauses in system.serve), ()),
        costs=system.costs,
    )
