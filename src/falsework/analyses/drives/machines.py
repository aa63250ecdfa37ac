"""Which layouts have all pieces of a datum in one machine?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from falsework.analyses.drives.result import Apart, Bays, Group, Plan, Stick
from falsework.engines.usable import usable_array

SCHEMES: tuple[tuple[str, int, int, int], ...] = (
    ("single", 0, 1, 1),
    ("mirror", 1, 2, 2),
    ("parity", 1, 3, 16),
    ("double parity", 2, 4, 24),
    ("triple parity", 3, 5, 32),
)
"""Each with the drives that may be gone of a group, and the fewest and most drives that a group has."""
MOST_SPARES = 2


def machine_plans(
    chosen: Sequence[Stick], bays: Sequence[Bays], *, least: int, wanted: float | None = None
) -> Iterator[Plan]:
    """Groups of equal layout, each within one machine, its data over all of them; spares wait in each such machine.

    As many groups as fit are made; where a room is wanted, also as few as hold it.

    Args:
        chosen: the drives, the largest first.
        bays: where they may go.
        least: how many drives must be survived.
        wanted: the room that is wanted.
    """
    for scheme, check, fewest, most in SCHEMES:
        if check < least:
            continue
        for width in range(fewest, min(most, max((each.free for each in bays), default=0)) + 1):
            for spares in range(MOST_SPARES + 1) if check else (0,):
                places = _places(bays, width, spares)
                whole = _laid(scheme, check, width, spares, chosen, places)
                if whole is None:
                    continue
                yield whole
                if wanted is not None and whole.usable_bytes > wanted:
                    fewer = _as_few(whole, wanted)
                    if fewer < len(whole.groups):
                        less = _laid(scheme, check, width, spares, chosen, places[:fewer])
                        if less is not None:
                            yield less


def _places(bays: Sequence[Bays], width: int, spares: int) -> list[tuple[str, int]]:
    """A place for each group that fits: the machine, and how many groups it has by then.

    Roomy machines come first, so that few are needed, and neighbours one after another.
    """
    roomy = sorted(enumerate(bays), key=lambda each: (-((each[1].free - spares) // width), each[0]))
    return [
        (each.holder, number) for _, each in roomy for number in range(max((each.free - spares) // width, 0))
    ]


def _as_few(plan: Plan, wanted: float) -> int:
    """How many of its groups, the first ones, hold what is wanted."""
    total = 0.0
    for count, group in enumerate(plan.groups, 1):
        total += usable_array([each.size_bytes for each in group.sticks], check=group.check)
        if total >= wanted:
            return count
    return len(plan.groups)


def _laid(
    scheme: str,
    check: int,
    width: int,
    spares: int,
    chosen: Sequence[Stick],
    places: Sequence[tuple[str, int]],
) -> Plan | None:
    """As many groups as drives and places allow; None where that is none."""
    count = min(len(places), len(chosen) // width)
    while count and count * width + spares * _machines(places[:count]) > len(chosen):
        count -= 1
    if not count:
        return None
    places = places[:count]
    waiting = spares * _machines(places)
    # A spare must replace any drive, so the largest ones wait; of these those that fail most.
    largest = chosen[0].size_bytes
    waits = [each for each in reversed(chosen) if each.size_bytes == largest][:waiting] if waiting else []
    if len(waits) < waiting:
        waits = list(chosen[:waiting])
    taken = {each.name for each in waits}
    members = _dealt([each for each in chosen if each.name not in taken][: count * width], width)
    groups = []
    for number, (holder, which) in enumerate(places):
        own = members[number * width : (number + 1) * width]
        here = [waits.pop() for _ in range(spares)] if which == 0 else []
        groups.append(
            Group(
                sticks=tuple(replace(each, bay=holder) for each in own),
                data=width - check,
                check=check,
                apart=Apart.IN_ONE,
                spares=tuple(replace(each, bay=holder) for each in here),
            )
        )
    return Plan(
        scheme=scheme,
        apart=Apart.IN_ONE,
        groups=tuple(groups),
        spares=spares,
        usable_bytes=sum(
            usable_array([each.size_bytes for each in group.sticks], check=check) for group in groups
        ),
    )


def _machines(places: Sequence[tuple[str, int]]) -> int:
    return len({holder for holder, _ in places})


def _dealt(chosen: Sequence[Stick], width: int) -> list[Stick]:
    """In an order in which each `width` of them make a group: equal sizes together, a batch dealt over groups."""
    found: list[Stick] = []
    for _, run in groupby(chosen, key=lambda each: each.size_bytes):
        some = sorted(run, key=lambda each: (each.batch, each.name))
        hands = max(-(-len(some) // width), 1)
        for hand in range(hands):
            found.extend(some[hand::hands])
    return found
