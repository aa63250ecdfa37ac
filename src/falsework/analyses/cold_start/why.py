"""Why is each stuck thing stuck, down to the root, and what is the least that unsticks it?

Causes are taken away one after another and the start is tried again each time, on the exact graph: first what
stays down by itself, then, where things wait for each other, the one change that raises most. What turns out
not to be needed is put back. So all mends together are enough, and none of them can be left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from falsework.analyses.cold_start import mends
from falsework.analyses.cold_start.blocked import Blocked, How, Mend, Reason, Root, Stuck, Why
from falsework.analyses.cold_start.blockers import blockers, own_cause
from falsework.analyses.cold_start.circles import circles
from falsework.analyses.cold_start.mends import Trial
from falsework.analyses.cold_start.result import ColdStart
from falsework.analyses.cold_start.scene import Reached, Scene
from falsework.analyses.cold_start.start import first_scene
from falsework.engines.uncollected import uncollected
from falsework.engines.ways import reach
from falsework.support.gates import feeding
from falsework.support.standing import Standing

ROUNDS = 24
"""So many times at most the start is tried anew."""
TRIALS = 60_000
"""Starts tried at most, times things: a lab of 300 things gets 200, one of 3,000 gets 20."""


@dataclass(slots=True)
class _Peel:
    """One cause taken away: why, which things, and how; no trial where nobody knows how."""

    why: Why
    things: tuple[str, ...]
    trial: Trial | None
    hangs: frozenset[str] = field(default=frozenset())


@uncollected()
def why_stuck(standing: Standing, found: ColdStart, *, hands: bool = False, outside: bool = True) -> Blocked:
    """Why what is stuck is stuck, and what unsticks it.

    Args:
        standing: the lab.
        found: its cold start, asked with the same `hands` and `outside`.
        hands: as it was asked.
        outside: as it was asked.

    Cost:
        A cold start for each cause, and for each change that could cut a circle; fewer in a big lab.
    """
    scene = first_scene(standing, hands=hands, outside=outside, off_s=found.off_s)
    searching = _Searching(standing, scene, found.stuck)
    return searching.blocked()


class _Searching:
    def __init__(self, standing: Standing, scene: Scene, stuck: tuple[str, ...]) -> None:
        self.lab = standing.lab
        self.scene = scene
        self.stuck = stuck
        self.feeds = feeding(scene.support)
        self.left = max(TRIALS // max(len(scene.support.things), 1), 12)

    def blocked(self) -> Blocked:
        first = self.scene.reached()
        edges = blockers(self.scene, first)
        peels, last = self._peeled(first)
        peels, last = self._needed(peels, last)
        above = _above(edges, self.stuck)
        roots = tuple(self._root(peel, above) for peel in peels)
        still = tuple(name for name in self.stuck if name not in last.back)
        return Blocked(
            stuck=tuple(self._stuck(name, edges, peels, roots, first) for name in self.stuck),
            roots=roots,
            up_s={name: last.up_s[name] for name in last.up_s if name not in first.back},
            left=still,
            hands_s=self.scene.hands_s,
        )

    # -- taking causes away ------------------------------------------------------------------------

    def _peeled(self, first: Reached) -> tuple[list[_Peel], Reached]:
        scene, reached = self.scene, first
        peels: list[_Peel] = []
        done: set[tuple[Why, tuple[str, ...]]] = set()
        for _ in range(ROUNDS):
            stuck = [name for name in self.stuck if name not in reached.back]
            if not stuck or self.left <= 0:
                break
            edges = blockers(scene, reached)
            fresh = [
                peel
                for peel in self._causes(scene, reached, edges, stuck)
                if (peel.why, peel.things) not in done
            ]
            if not fresh:
                fresh = self._cut(scene, reached, edges, stuck)
                fresh = [
                    peel
                    for peel in fresh
                    if peel.trial is None or (peel.why, (peel.trial.mend.says,)) not in done
                ]
            if not fresh:
                break
            for peel in fresh:
                done.add((peel.why, peel.things))
                if peel.trial is not None:
                    done.add((peel.why, (peel.trial.mend.says,)))
                    scene = peel.trial.apply(scene)
            peels.extend(fresh)
            if not any(peel.trial for peel in fresh):
                break
            reached = self._tried(scene)
        return peels, reached

    def _tried(self, scene: Scene) -> Reached:
        self.left -= 1
        return scene.reached()

    def _causes(
        self, scene: Scene, reached: Reached, edges: Mapping[str, tuple[Reason, ...]], stuck: Iterable[str]
    ) -> list[_Peel]:
        """What stays down by itself among all that the stuck ones wait for."""
        found: dict[tuple[str, ...], _Peel] = {}
        for name in _below(edges, stuck):
            why = own_cause(scene, reached, name, self.feeds)
            if why is None:
                continue
            trial = mends.of_cause(why, name, scene, self.lab)
            things = trial.mend.things if trial is not None else (name,)
            found.setdefault(things, _Peel(why, things, trial))
        return list(found.values())

    def _cut(
        self, scene: Scene, reached: Reached, edges: Mapping[str, tuple[Reason, ...]], stuck: list[str]
    ) -> list[_Peel]:
        """The one change to a circle that raises most; the smallest of these."""
        below = frozenset(_below(edges, stuck))
        rings = [ring for ring in circles(scene.support, reached.back) if below.issuperset(ring)]
        best: tuple[int, int, int, str] | None = None
        chosen: _Peel | None = None
        for at, ring in enumerate(rings[:4]):
            pairs = set(pairwise(ring))
            along = [each for name in ring[:-1] for each in edges[name] if (each.thing, each.on) in pairs]
            for trial in mends.of_knot(along, scene, reached, self.lab):
                if self.left <= 0:
                    break
                tried = self._tried(trial.apply(scene))
                down = sum(name not in tried.back for name in self.stuck)
                score = (down, list(How).index(trial.mend.how), at, trial.mend.says)
                if best is None or score < best:
                    best, chosen = score, _Peel(Why.LOOP, ring, trial)
        if chosen is None and rings:
            chosen = _Peel(Why.LOOP, rings[0], None)
        if chosen is not None:
            return [chosen]
        return [_Peel(Why.UNSEEN, (name,), None) for name in _below(edges, stuck) if not edges.get(name)]

    def _needed(self, peels: list[_Peel], last: Reached) -> tuple[list[_Peel], Reached]:
        """Without those mends that are not needed for what came up in the end, the greatest left out first."""
        up = frozenset(name for name in self.stuck if name in last.back)
        kept = list(peels)
        order = sorted(peels, key=lambda peel: -list(How).index(peel.trial.mend.how) if peel.trial else 0)
        for peel in order:
            if peel.trial is None or len(kept) < 2 or self.left <= 0:
                continue
            if peel.why in (Why.OFF, Why.FIRST) and any(name in self.stuck for name in peel.things):
                continue  # it is stuck itself
            fewer = [each for each in kept if each is not peel]
            tried = self._tried(self._all(fewer))
            if up <= tried.back:
                kept, last = fewer, tried
        return kept, last

    def _all(self, peels: Iterable[_Peel]) -> Scene:
        scene = self.scene
        for peel in peels:
            if peel.trial is not None:
                scene = peel.trial.apply(scene)
        return scene

    # -- telling it --------------------------------------------------------------------------------

    def _root(self, peel: _Peel, above: Mapping[str, frozenset[str]]) -> Root:
        mend: Mend | None = peel.trial.mend if peel.trial is not None else None
        hangs = frozenset[str]().union(*(above.get(name, frozenset()) for name in peel.things))
        peel.hangs = hangs
        return Root(
            why=peel.why,
            things=peel.things,
            says=says(peel.why, peel.things),
            mend=mend,
            hangs=tuple(name for name in self.stuck if name in hangs),
        )

    def _stuck(
        self,
        name: str,
        edges: Mapping[str, tuple[Reason, ...]],
        peels: list[_Peel],
        roots: tuple[Root, ...],
        first: Reached,
    ) -> Stuck:
        ends = {each: at for at, peel in reversed(list(enumerate(peels))) for each in peel.things}
        # What waits for others too is no end where there is a deeper one.
        deep = {each: at for each, at in ends.items() if peels[at].why is Why.LOOP or not edges.get(each)}
        chain, end = _way(name, edges, deep)
        if end is None:
            chain, end = _way(name, edges, ends)
        if end is not None and not chain:
            root = roots[ends[end]]
            if root.why is Why.LOOP:
                ring = root.things[:-1]
                ring = (*ring[ring.index(name) :], *ring[: ring.index(name)], name)
                pairs = list(pairwise(ring))
                chain = [each for pair in pairs for each in edges.get(pair[0], ()) if each.on == pair[1]]
        if end is not None and roots[ends[end]].why is not Why.LOOP:
            where = self.scene.support.things[end].where
            chain = [*chain, Reason(thing=end, on="", says=says(roots[ends[end]].why, (end,)), where=where)]
        return Stuck(
            thing=name,
            because=tuple(chain),
            root=None if end is None else ends[end],
            unsticks=tuple(at for at, peel in enumerate(peels) if name in peel.hangs),
        )


def says(why: Why, things: tuple[str, ...]) -> str:
    """A root in a clause."""
    if why is Why.LOOP:
        named = [name for name in things if name.rpartition(".")[0] not in things]
        if len(set(named)) == 1:
            copies = [name for name in things if name not in named]
            how = f": {copies[0]} needs {named[0]} to start" if copies else ""
            return f"{named[0]} waits for itself{how}"
        ring = named if len(named) > 1 and named[0] == named[-1] else list(things)
        return f"each waits for the next: {' -> '.join(ring)}"
    name = things[0] if things else ""
    return {
        Why.OFF: f"{name} stays off until switched on by hand",
        Why.FIRST: f"{name} starts only once a person has picked the first copy",
        Why.EARLY: f"{name} tried once, before what it needs was up",
        Why.EXPIRED: f"{name} ran out while the power was out, and nothing is said to renew it",
        Why.OUTSIDE: f"{name} is outside, and is not counted on",
        Why.NOBODY: f"{name} is not there",
        Why.OUT: f"{name} was out beforehand",
    }.get(why, f"{name} can't see what it needs over the wire, or has too much to carry")


def _below(edges: Mapping[str, tuple[Reason, ...]], stuck: Iterable[str]) -> tuple[str, ...]:
    """Everything that these wait for, themselves first; nearest first."""
    return reach(stuck, lambda name: (each.on for each in edges.get(name, ())))


def _above(edges: Mapping[str, tuple[Reason, ...]], stuck: Iterable[str]) -> Mapping[str, frozenset[str]]:
    """For each thing, which of the stuck ones wait for it, themselves among them."""
    found: dict[str, set[str]] = {}
    for name in stuck:
        for each in _below(edges, (name,)):
            found.setdefault(each, set()).add(name)
    return {name: frozenset(each) for name, each in found.items()}


def _way(
    start: str, edges: Mapping[str, tuple[Reason, ...]], ends: Mapping[str, int]
) -> tuple[list[Reason], str | None]:
    """The shortest chain from a thing to the nearest end, and that end."""
    came: dict[str, Reason | None] = {start: None}
    queue = [start]
    for name in queue:
        if name in ends:
            chain: list[Reason] = []
            at = name
            while (step := came[at]) is not None:
                chain.append(step)
                at = step.thing
            return chain[::-1], name
        for each in edges.get(name, ()):
            if each.on not in came:
                came[each.on] = each
                queue.append(each.on)
    return [], None
