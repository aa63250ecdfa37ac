"""How much does the best single way from one vertex to another carry?"""

from __future__ import annotations

import heapq

from falsework.engines.flow.net import Link, Net


def widest(net: Net, one: str, other: str) -> tuple[int, tuple[Link, ...]]:
    """What the widest way carries, and its links in order; 0 and no links where there is no way.

    Dijkstra's search with the narrowest link in place of the length (M. Pollack 1960, "The maximum capacity through
    a network", Operations Research 8). Of ways that are equally wide one with fewest links is taken.
    """
    around = net.around()
    passes = net.passes
    waiting = [(-passes.get(one, _most(net)), 0, 0, one)]
    came: dict[str, Link] = {}
    settled: dict[str, int] = {}
    best: dict[str, tuple[int, int]] = {one: (waiting[0][0], 0)}
    number = 0
    while waiting:
        width, steps, _, at = heapq.heappop(waiting)
        if at in settled:
            continue
        settled[at] = -width
        if at == other:
            break
        if at in net.ends and at != one:
            continue
        for link in around.get(at, ()):
            there = link.across(at)
            wide = min(-width, link.carries, passes.get(there, link.carries))
            if wide > 0 and there not in settled and (-wide, steps + 1) < best.get(there, (0, 0)):
                best[there] = (-wide, steps + 1)
                came[there] = link
                number += 1
                heapq.heappush(waiting, (-wide, steps + 1, number, there))
    if other not in settled or other == one:
        return 0, ()
    way: list[Link] = []
    at = other
    while at != one:
        way.append(came[at])
        at = came[at].across(at)
    return settled[other], tuple(reversed(way))


def _most(net: Net) -> int:
    return max((link.carries for link in net.links), default=0)
