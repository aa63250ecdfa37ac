"""What does it do to lose, or to stop, these things together; asked once of each?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from falsework.analyses.drilling.alike import labels
from falsework.analyses.drilling.ways import FOOT, Use, Way, Ways
from falsework.analyses.verdicts import Effect, Verdict, losses, single_verdicts
from falsework.model.services import Data
from falsework.support.standing import AT_ONCE, Standing
from falsework.support.stopped import stoppable

Lost = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """One set of things lost or stopped together.

    Attributes:
        lost: parts, copies and stores, as asked.
        effects: by service, where it does not merely stand.
        down: all that does not stand without interruption, and did before.
        ways: the spare ways that are used.
        gone: data of which nothing is left.
        held: the ways that bridge by a hold: from when until when, seconds after the loss.
        reached: services that lean on anything that is down or on a spare way, however far below.
        shape: equal for losses that are told apart only by the names of parts.
    """

    lost: Lost
    effects: Mapping[str, Effect]
    down: frozenset[str]
    ways: frozenset[Way]
    gone: frozenset[str]
    held: Mapping[Way, tuple[float, float]]
    reached: frozenset[str]
    shape: Hashable

    def shown_by(self, other: Tried, name: str) -> bool:
        """Whether another loss shows what this one does to a service or store.

        What this loss reaches must fare just the same; what it does not must be seen to serve while it is out.
        """
        theirs = other.effects.get(name)
        if name in self.reached or name in self.down:
            return self.effects.get(name) == theirs and (name in self.down) == (name in other.down)
        return theirs is None or theirs.verdict < Verdict.FALLS


class Scene:
    """A lab, ready to be asked about losses and stops.

    Args:
        standing: the lab.
        progress: told how many losses are known, of how many that were asked so far.
    """

    def __init__(self, standing: Standing, *, progress: Callable[[int, int], None] | None = None) -> None:
        self.plain = standing
        self.standing = stoppable(standing)
        self.lab = standing.lab
        self.support = self.standing.support
        self.parts = standing.parts
        self.ways = Ways(self.standing)
        self.progress = progress
        self._known: dict[frozenset[str], Tried] = {}
        self._cones: dict[frozenset[str], frozenset[str]] = {}

    @cached_property
    def labels(self) -> Mapping[str, Hashable]:
        """See `alike.labels`."""
        return labels(self.standing)

    @cached_property
    def classes(self) -> Mapping[str, Hashable]:
        """For each part its label, what its loss does to each service, and the labels of what leans on it."""
        verdicts = single_verdicts(self.standing, self.parts)
        things, label = self.support.things, self.labels
        return {
            part: (
                label[part],
                column.tobytes(),
                frozenset(
                    Counter(
                        (label[name], things[name].leans[number].enough)
                        for name, number in self.ways.leaners.get(part, ())
                    ).items()
                ),
            )
            for part, column in zip(self.parts, verdicts.T.copy(), strict=True)
        }

    def tried(self, sets: Sequence[Lost]) -> list[Tried]:
        """What each does, in the order asked."""
        new = list(dict.fromkeys(frozenset(each) for each in sets if frozenset(each) not in self._known))
        order = {frozenset(each): each for each in reversed(sets)}
        for first in range(0, len(new), AT_ONCE):
            some = [order[each] for each in new[first : first + AT_ONCE]]
            for lost, loss in zip(some, losses(self.standing, some), strict=True):
                effects = {each.service: each for each in loss.effects if each.verdict is not Verdict.STANDS}
                falls = {name: each.falls_s for name, each in loss.down.items()}
                ways, held = self.ways.of(loss.view, lost, falls)
                down = frozenset(name for name in loss.down if self.standing.baseline.up(name))
                gone = frozenset(
                    data.id
                    for data in self.lab.of(Data)
                    if self.standing.baseline.kept(f"kept:{data.id}")
                    and not loss.view.kept(f"kept:{data.id}")
                )
                self._known[frozenset(lost)] = Tried(
                    lost=lost,
                    effects=effects,
                    down=down,
                    ways=ways,
                    gone=gone,
                    held=held,
                    reached=self.ways.above((*down, *(way.thing for way in ways))),
                    shape=self._shape(lost, effects, down, ways),
                )
            if self.progress is not None:
                self.progress(first + len(some), len(new))
        return [self._known[frozenset(each)] for each in sets]

    def known(self, lost: Iterable[str]) -> Tried | None:
        """What has been tried already."""
        return self._known.get(frozenset(lost))

    def cone(self, services: Collection[str]) -> frozenset[str]:
        """Everything these lean on; see `Ways.cone`."""
        key = frozenset(services)
        if key not in self._cones:
            self._cones[key] = self.ways.cone(services)
        return self._cones[key]

    def _shape(
        self, lost: Lost, effects: Mapping[str, Effect], down: Iterable[str], ways: Iterable[Way]
    ) -> Hashable:
        label = self.labels
        used = Counter(
            (
                way.use,
                # More load is told by the source that carries it: each has a limit of its own.
                way.thing if way.use is Use.LOAD else label.get(way.thing, way.thing),
                way.number,
                frozenset(Counter(self._called(each) for each in way.gone).items()),
            )
            for way in ways
        )
        return (
            frozenset(Counter(label[each] for each in lost).items()),
            frozenset(effects.values()),
            frozenset(used.items()),
            frozenset(Counter(label[each] for each in down).items()),
        )

    def _called(self, name: str) -> Hashable:
        """The label of a thing, or of a node's foot on a switch."""
        if name in self.labels:
            return self.labels[name]
        node, _, vertex = name.partition(FOOT)
        return (self.labels[node], self.labels[vertex])
