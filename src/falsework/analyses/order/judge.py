"""What does not stand at a step of an order although it should, by the exact support graph?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

import numpy as np

from falsework.analyses.order.result import Slip
from falsework.analyses.order.walk import Walked
from falsework.model.parts import ThingId
from falsework.model.people import StandIn, Step
from falsework.model.services import Copy, Pool
from falsework.support.graph import Lean, Phase, Support
from falsework.support.moments import Stages, owned

_COMES = ("copy", "active", "supply", "drive", "card", "controller", "cable", "share", "owner")
"""Words of what nobody brings by itself: the reason is told for what it leans on."""
DEEPEST = 12
"""Leans followed from a thing that does not stand to the thing that is not there."""


def judge(stages: Stages, walked: Walked) -> tuple[tuple[Slip, ...], tuple[tuple[str, ...], ...]]:
    """Slips that only the support graph knows, and for each step what it stops.

    Args:
        stages: the lab ready for moments.
        walked: its order walked through.

    Cost:
        All moments at once, 64 to a machine word.
    """
    return _Judge(stages, walked).judged()


class _Judge:
    def __init__(self, stages: Stages, walked: Walked) -> None:
        self.stages, self.walked = stages, walked
        self.lab = stages.standing.lab
        self.things = stages.staged.graph.things
        self.named = {
            branch: target for target, some in stages.staged.owners.items() for branch in some.values()
        }
        self.named.update((own, name) for name, own in stages.staged.own.items())
        self.copies: dict[str, list[str]] = {}
        for name, thing in stages.standing.support.things.items():
            if thing.word == "copy":
                self.copies.setdefault(name.rpartition(".")[0], []).append(name)
        on = np.stack([stages.on(moment) for moment in walked.moments], axis=1)
        for column, stale in enumerate(walked.stale):
            for client in stale:
                leaf = stages.staged.own.get(client, client)
                if leaf in stages.row:
                    on[stages.row[leaf], column] = False
        self.rows = stages.rows(on)
        own, back = stages.staged.own, stages.gates.back
        self.judged_names = [name for name in self.lab.things if name in self.things]
        standing = self.rows[[back[own.get(name, name)] for name in self.judged_names]]
        self.stopping = standing[:, :-1] & ~standing[:, 1:]  # (n_names, n_steps)
        self.owners = owned(stages.standing)
        self.slips: list[Slip] = []

    def judged(self) -> tuple[tuple[Slip, ...], tuple[tuple[str, ...], ...]]:
        broken = []
        for number, step in enumerate(self.lab.order, start=1):
            self._comes(number, step)
            broken.append(self._stops(number, step))
        return tuple(self.slips), tuple(broken)

    # -- truth -------------------------------------------------------------------------------------

    def stands(self, name: str, at: int) -> bool:
        """Whether a thing itself stands at a moment."""
        row = self.stages.gates.back.get(self.stages.staged.own.get(name, name))
        return row is None or bool(self.rows[row, at])

    def served(self, name: str, at: int) -> bool:
        """Whether somebody serves for a thing at a moment; what the graph does not know is taken to be there."""
        row = self.stages.gates.back.get(self.stages.whoever(name))
        return row is None or bool(self.rows[row, at])

    def _should(self, name: str) -> bool:
        """Whether it stands in the finished lab; what does not is no fault of the order."""
        things = self.stages.standing.support.things
        return name not in things or self.stages.standing.baseline.back(name)

    # -- what a step brings ------------------------------------------------------------------------

    def _comes(self, number: int, step: Step) -> None:
        brought = self.walked.brought[number - 1]
        stale = self.walked.stale[number]
        found: dict[str, tuple[str, str]] = {}
        waiting = self._waiting(number, brought)
        for name in brought:
            if name in stale or not self._should(name) or self._gone(name, number):
                continue
            if name in waiting:
                found[name] = ("unmet", waiting[name])
            elif name not in self.things:  # a pool, which is nothing by itself, or data
                continue
            elif not self.stands(name, number):
                found[name] = self._why(name, number, Phase.RUN) or ("down", name)
            else:
                late = self._why(name, number, Phase.START)
                if late is not None:
                    found[name] = late
        found = {name: why for name, why in found.items() if name in waiting or not self._knot(name, why[1])}
        roots = {name: why for name, why in found.items() if why[1] not in found or why[1] == name}
        for name, (what, on) in (roots or found).items():
            lent = isinstance(self.lab.things[ThingId(name)], StandIn)
            self._slip(what, number, step, "with_" if lent and step.with_ else "brings", name, on)

    def _knot(self, name: str, on: str) -> bool:
        """Whether two things need each other every moment: one comes first, and both serve once both are there."""
        things = self.stages.standing.support.things
        seen: set[str] = set()
        left = [on]
        while left:
            each = left.pop()
            if each == name:
                return on != name
            if each in things and each not in seen:
                seen.add(each)
                left.extend(
                    other for lean in things[each].leans if Phase.RUN in lean.phases for other in lean.on
                )
        return False

    def _gone(self, name: str, number: int) -> bool:
        """Whether the step that brings it takes it away as well."""
        moment = self.walked.moments[number]
        return name in self.things and name not in moment.built and name not in moment.lent

    def _waiting(self, number: int, brought: Sequence[str]) -> Mapping[str, str]:
        """Things of a step that can't begin, with the first that each waits for; they may help each other."""
        ready: set[str] = set()
        waiting = [name for name in brought if name in self.lab.things]
        while True:
            able = [name for name in waiting if self._first_unmet(name, number, brought, ready) is None]
            if not able:
                break
            ready.update(able)
            waiting = [name for name in waiting if name not in able]
        found = {name: self._first_unmet(name, number, brought, ready) for name in waiting}
        return {name: on for name, on in found.items() if on is not None}

    def _first_unmet(
        self, name: str, number: int, brought: Collection[str], ready: Collection[str]
    ) -> str | None:
        for of, enough in self._to_begin(name):
            unmet = [each for each in of if not self._met(each, name, number, brought, ready)]
            if len(of) - len(unmet) < enough:
                return unmet[0]
        return None

    def _to_begin(self, name: str) -> Iterator[tuple[tuple[str, ...], int]]:
        """What a thing needs to begin, and how many of it; for a pool a host, and where its copies lie."""
        thing = self.lab.things[ThingId(name)]
        if isinstance(thing, Copy):
            thing = self.lab.things[ThingId(thing.service)]
        if thing.needs is not None:
            for need in (*thing.needs.run_and_start, *thing.needs.to_start, *thing.needs.to_build):
                if not need.soft:
                    yield need.of.ids, need.enough or 1
        if isinstance(thing, Pool):
            for bound in (thing.hosts, thing.store):
                if bound is not None:
                    yield bound.ids, 1

    def _met(
        self, each: str, asks: str, number: int, brought: Collection[str], ready: Collection[str]
    ) -> bool:
        """Served before the step, or by something of it that is ready; nobody meets a need of its own."""
        if self.served(each, number - 1):
            return True
        if each not in brought and self.served(each, number):
            return self.walked.moments[number].serving.get(each) != asks
        if each in ready and self.stands(each, number):
            return True
        stand_ins = (self.lab.things[ThingId(name)] for name in ready if name != asks)
        return any(
            isinstance(other, StandIn) and other.for_ is not None and each in other.for_.ids
            for other in stand_ins
        )

    # -- what a step stops -------------------------------------------------------------------------

    def _stops(self, number: int, step: Step) -> tuple[str, ...]:
        retired = step.retires.ids if step.retires else ()
        there = self.walked.moments[number].built
        stale = self.walked.stale[number]
        found = []
        for at in np.flatnonzero(self.stopping[:, number - 1]).tolist():
            name = self.judged_names[at]
            known = name in self.stages.services or any(
                name in some for some in self.walked.brought[: number - 1]
            )
            if not known or name not in there or not self._should(name):
                continue
            found.append(name)
        reasons = {name: self._why(name, number, Phase.RUN) for name in found}
        for name, why in reasons.items():
            if name in stale or retired:
                on = stale.get(name) or next(iter(retired), name)
                self._slip("breaks", number, step, "retires" if retired else "brings", name, on)
            elif (
                why is None or why[1] not in found
            ):  # what merely falls with something else is not told again
                self._slip(
                    "breaks" if why else "trips", number, step, "brings", name, why[1] if why else name
                )
        return tuple(found)

    # -- why ---------------------------------------------------------------------------------------

    def _why(self, name: str, number: int, phase: Phase, depth: int = 0) -> tuple[str, str] | None:
        """The first thing on which a thing leans in vain: `unmet`, or `unseen` where it is there."""
        staged = self.stages.staged.own.get(name, name)
        gates = self.stages.gates
        comes_back = gates.up[staged] != gates.back[staged]  # then only leans that count later matter
        for lean, rows in zip(self.things[staged].leans, gates.leans[staged], strict=True):
            row = rows[1] if comes_back and (phase is Phase.RUN or rows[1] >= 0) else rows[0]
            only_start = phase is Phase.START and Phase.RUN in lean.phases
            if phase not in lean.phases or only_start or row < 0 or self.rows[row, number]:
                continue
            return self._blame(self.things[staged], lean, number, depth)
        if phase is Phase.START:
            copies = (self._why(copy, number, phase) for copy in self.copies.get(name, ()))
            return next((why for why in copies if why is not None), None)
        return None

    def _blame(self, thing: Support, lean: Lean, number: int, depth: int) -> tuple[str, str]:
        back = self.stages.gates.back
        down = [each for each in lean.on if not self.rows[back[each], number]]
        if len(lean.on) - len(down) >= lean.enough:
            unplugged = self._unplugged(thing, number)
            return ("unmet", unplugged) if unplugged else ("unseen", self.named.get(lean.on[0], lean.on[0]))
        first = down[0]
        if self.things[first].word not in _COMES or first in self.named:
            return "unmet", self.named.get(first, first)
        built = self.walked.moments[number].built
        deeper = self._why(first, number, Phase.RUN, depth + 1) if depth < DEEPEST else None
        if deeper is not None:
            return deeper
        away = [each for each in self.owners.get(first, ()) if each not in built]
        return ("unmet", away[0]) if away else ("down" if first in built else "unmet", first)

    def _unplugged(self, thing: Support, number: int) -> str:
        """The first switch that the places of a thing are plugged into and that is not there, if none is."""
        vertices = [
            attachment.vertex
            for network in self.stages.staged.graph.networks.values()
            for place in thing.places
            for attachment in network.attachments.get(place, ())
        ]
        down = [vertex for vertex in vertices if not self.stands(vertex, number)]
        return down[0] if down and len(down) == len(vertices) else ""

    def _slip(self, what: str, number: int, step: Step, key: str, thing: str, on: str) -> None:
        self.slips.append(Slip(what=what, step=number, thing=thing, on=on, where=step.place(key)))
