"""Over which cables do switches really pass traffic on, once bridges have cut every circle?

Bridges leave a tree open: from the root each switch keeps its cheapest way, every other cable waits (IEEE 802.1D-2004,
clause 17; the cost of a cable is 20 Tb/s over its speed, table 17-3). Which switch is the root is set by its owner or
by chance of its address, and the lab file does not say it: here it is the switch whose cables to other switches carry
most, of equals the first in the file. Each network is cut by itself.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass

from falsework.support.carriers import Carrier, Stands, Wired, Wires

COST_OVER = 20_000_000_000_000
"""bit/s; the cost of a carrier is this over what it carries (IEEE 802.1D-2004, table 17-3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """What bridges leave open on one network.

    Attributes:
        roots: of each piece that hangs together, in order; mostly one.
        above: each other switch's way towards its root: the next switch and the carrier.
        depth: how many carriers from the root.
        piece: the root of the piece that each switch hangs in.
    """

    roots: tuple[str, ...]
    above: Mapping[str, tuple[str, Carrier]]
    depth: Mapping[str, int]
    piece: Mapping[str, str]

    @property
    def cables(self) -> frozenset[str]:
        """The cables between switches that are open, every member of a group among them, lost ones too."""
        return frozenset(cable for _, carrier in self.above.values() for cable in carrier.cables)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Over one carrier into a machine."""

    carrier: Carrier
    into: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How traffic goes: its steps, and the switches it passes (those at its ends too)."""

    steps: tuple[Step, ...]
    switches: tuple[str, ...]


def tree(wired: Wired, stands: Stands, *, root: str | None = None) -> Tree:
    """What bridges leave open on a network when all is calm again.

    Args:
        wired: the network.
        stands: what is there.
        root: the root, if it is to be another than the usual one; it must stand.
    """
    order = {switch: number for number, switch in enumerate(wired.switches)}
    around: dict[str, list[tuple[int, int, Carrier]]] = {switch: [] for switch in wired.switches}
    for number, trunk in enumerate(wired.trunks):
        carries = sum(trunk.live(stands))
        if carries:
            for end in trunk.ends:
                around[end].append((-(-COST_OVER // carries), number, trunk))
    above: dict[str, tuple[str, Carrier]] = {}
    depth: dict[str, int] = {}
    roots: list[str] = []
    piece: dict[str, str] = {}
    first = sorted(wired.switches, key=lambda switch: (switch != root, wired.rank[switch]))
    for start in first:
        if start in depth or not stands(start):
            continue
        roots.append(start)
        waiting: list[tuple[int, int, int, str, Carrier | None, str]] = [(0, 0, 0, "", None, start)]
        while waiting:
            cost, _, _, parent, carrier, at = heapq.heappop(waiting)
            if at in depth:
                continue
            depth[at], piece[at] = 0, start
            if carrier is not None:
                above[at], depth[at] = (parent, carrier), depth[parent] + 1
            for more, number, trunk in around[at]:
                there = trunk.across(at)
                if there not in depth and stands(there):
                    heapq.heappush(waiting, (cost + more, order[at], number, at, trunk, there))
    return Tree(roots=tuple(roots), above=above, depth=depth, piece=piece)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Where traffic between two machines goes onto a network and leaves it.

    Attributes:
        network: its name.
        start, end: the switches in between; empty where a cable joins the two directly.
        leaving: the step from the first machine to `start`, or straight to the other; None where it is a switch.
        entering: the step from `end` to the other machine; None where that is a switch or is reached straight.
    """

    network: str
    start: str
    end: str
    leaving: Step | None
    entering: Step | None


class OpenWays:
    """The ways that are open at one moment.

    Args:
        wires: the carriers and networks.
        stands: what is there.
        known: trees found already that are still right.
    """

    def __init__(self, wires: Wires, stands: Stands, known: Mapping[str, Tree] | None = None) -> None:
        self.wires, self.stands = wires, stands
        self.trees: dict[str, Tree] = dict(known or {})
        self._between: dict[tuple[str, str, str], Way] = {}
        self._known: dict[tuple[str, str], tuple[tuple[Carrier | None, str], ...]] = {}

    def tree(self, network: str) -> Tree:
        """What is open on a network."""
        if network not in self.trees:
            self.trees[network] = tree(self.wires.networks[network], self.stands)
        return self.trees[network]

    def ends(self, network: str, one: str, other: str) -> Ends | None:
        """Where traffic from a node, controller or switch to another goes on and off one network; None where it can't.

        A machine with several plugs uses the first of them, in the order of the file, that gets there: of two
        ports that are no group one is used and the other waits.
        """
        wired = self.wires.networks[network]
        carrier = wired.straight.get(one, {}).get(other)
        if carrier is not None and carrier.live(self.stands):
            step = Step(carrier=carrier, into=other)
            return Ends(network=network, start="", end="", leaving=step, entering=None)
        piece = self.tree(network).piece
        for leaving, start in self._plugs(wired, one):
            for entering, end in self._plugs(wired, other):
                if piece[start] == piece[end]:
                    return Ends(
                        network=network,
                        start=start,
                        end=end,
                        leaving=None if leaving is None else Step(carrier=leaving, into=start),
                        entering=None if entering is None else Step(carrier=entering, into=other),
                    )
        return None

    def way(self, network: str, one: str, other: str) -> Way | None:
        """How traffic goes from a node, controller or switch to another over one network; None where it can't."""
        found = self.ends(network, one, other)
        if found is None:
            return None
        ends = tuple(step for step in (found.leaving, found.entering) if step is not None)
        if not found.start:
            return Way(steps=ends, switches=())
        inner = self.inner(network, found.start, found.end)
        before = () if found.leaving is None else (found.leaving,)
        after = () if found.entering is None else (found.entering,)
        return Way(steps=(*before, *inner.steps, *after), switches=inner.switches)

    def _plugs(self, wired: Wired, end: str) -> tuple[tuple[Carrier | None, str], ...]:
        key = (wired.name, end)
        found = self._known.get(key)
        if found is None:
            if end in wired.rank:
                found = ((None, end),) if self.stands(end) else ()
            else:
                found = tuple(
                    (plug.carrier, plug.into) for plug in wired.plugs.get(end, ()) if plug.live(self.stands)
                )
            self._known[key] = found
        return found

    def inner(self, network: str, start: str, end: str) -> Way:
        """The way from switch to switch along the tree; both must hang in one piece."""
        key = (network, start, end)
        found = self._between.get(key)
        if found is None:
            found = self._between[key] = _along(self.tree(network), start, end)
        return found


def _along(open_: Tree, start: str, end: str) -> Way:
    up, down = [], []
    climbed, met = [start], [end]
    while climbed[-1] != met[-1]:
        if open_.depth[climbed[-1]] >= open_.depth[met[-1]]:
            parent, carrier = open_.above[climbed[-1]]
            up.append(Step(carrier=carrier, into=parent))
            climbed.append(parent)
        else:
            parent, carrier = open_.above[met[-1]]
            down.append(Step(carrier=carrier, into=met[-1]))
            met.append(parent)
    return Way(steps=(*up, *reversed(down)), switches=(*climbed, *reversed(met[:-1])))
