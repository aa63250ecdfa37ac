"""How long does it take to copy data from one place to another, and what limits it?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from falsework.model.lab import Lab
from falsework.model.parts import Drive, Node, Outside, ThingId
from falsework.model.services import Copy, Data, Pool, Service, Store
from falsework.model.timing import settled_s
from falsework.support.reached import ASSUMED_PORT, ASSUMED_SIZE, best_port, nodes_of

ASSUMED_OUTSIDE = 5e7
"""Assumed between the lab and what is outside: 50 Mb/s. Nobody but us says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Copying:
    """One copy of data.

    Attributes:
        size: bytes.
        speed: bit/s.
        slowest: what limits the speed, in words.
        seconds: 8 size / speed; of a restore what was written or measured of it instead, if anything was.
        assumed: whether size or speed was assumed.
        known: whether that is what restores took, the work of whoever does them counted in.
    """

    size: float
    speed: float
    slowest: str
    seconds: float
    assumed: bool
    known: bool = False


class Copier:
    """A lab, ready to be asked how fast data move between two of its places."""

    def __init__(self, lab: Lab) -> None:
        self.lab = lab
        self.copies: dict[str, list[Copy]] = {}
        for copy in lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy)
        self.drives: dict[str, list[Drive]] = {}
        for drive in lab.of(Drive):
            if drive.in_ is not None:
                self.drives.setdefault(drive.in_.ids[0], []).append(drive)

    def copying(self, data: Data, source: Iterable[str], target: Iterable[str]) -> Copying:
        """The copying of a data set; the slowest of source, wire and target decides.

        A place of several nodes is as fast as the slowest of their best ports; one of several drives as its
        slowest drive: that errs on the slow side.
        """
        limits: list[tuple[float, str, bool]] = []
        for name in dict.fromkeys((*source, *target)):
            limits.extend(self._limits(name))
        if not any(words.startswith(("the best port", "the line")) for _, words, _ in limits):
            limits.append((ASSUMED_PORT, "a port of 1 Gb/s, assumed", True))
        speed, slowest, guessed = min(limits, key=lambda limit: limit[0])
        size = ASSUMED_SIZE if data.size is None else data.size
        return Copying(
            size=size,
            speed=speed,
            slowest=slowest,
            seconds=8 * size / speed,
            assumed=guessed or data.size is None,
        )

    def restoring(self, data: Data, source: Iterable[str], target: Iterable[str]) -> Copying:
        """The copying of a data set back from a backup, by what its owner wrote or measured of that, if anything."""
        found = self.copying(data, source, target)
        seconds = settled_s(data, "restores_in", found.seconds)
        if seconds == found.seconds:
            return found
        return replace(
            found, seconds=seconds, slowest="what is known of its restores", assumed=False, known=True
        )

    def _limits(self, name: str) -> Iterator[tuple[float, str, bool]]:
        thing = self.lab.things.get(ThingId(name))
        if thing is None or isinstance(thing, Outside):
            where = name if thing is not None else "outside"
            yield ASSUMED_OUTSIDE, f"the line to {where}, 50 Mb/s assumed", True
            return
        for node in dict.fromkeys(self._nodes(name)):
            best = best_port(self.lab, node)
            if best is not None:
                yield best, f"the best port of {node}", False
        for drive in self._drives(name):
            if drive.speed:
                yield drive.speed, f"the drive {drive.id}", False

    def _nodes(self, name: str) -> Iterator[str]:
        thing = self.lab.things[ThingId(name)]
        if isinstance(thing, Node):
            yield thing.id
        elif isinstance(thing, Service):
            for copy in self.copies.get(thing.id, ()):
                yield copy.host
        elif isinstance(thing, Store):
            yield from nodes_of(self.lab, thing)

    def _drives(self, name: str) -> Iterator[Drive]:
        thing = self.lab.things[ThingId(name)]
        if isinstance(thing, Store):
            for each in self.lab.named(thing.drives.ids if thing.drives else ()):
                if isinstance(each, Drive):
                    yield each
        elif isinstance(thing, Node):
            yield from self.drives.get(thing.id, ())
        elif isinstance(thing, Service):
            if thing.state_in is not None:
                bearer = self.lab.things[ThingId(thing.state_in.ids[0])]
                if not isinstance(bearer, Service) or bearer.state_in is None:
                    yield from self._drives(bearer.id)
                return
            for copy in self.copies.get(thing.id, ()):
                pool = self.lab.things.get(ThingId(copy.pool)) if copy.pool else None
                under = pool.store.ids[0] if isinstance(pool, Pool) and pool.store else copy.host
                yield from self._drives(under)
