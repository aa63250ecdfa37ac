"""How does a probe become a thing that stands while it would be answered?

A probe leans on what it sees and on where it asks from; where it asks from a machine of the lab, it has to see its
target over the wire from there. So all that is known of things - what stands, when they fall, why - is known of
probes as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from falsework.model.lab import Lab
from falsework.model.parts import Controller, Outside, ThingId
from falsework.model.services import Service
from falsework.support.graph import Lean, Phase, Role, Support, SupportGraph
from falsework.support.probing import Question, questions
from falsework.support.standing import Standing, View

PING = "ping "
"""How the things begin that say whether a machine answers where users are, and a controller that its machine runs."""


class Watched(Standing):
    """A lab in which every probe is a thing, and whether each machine is reached from where users are.

    Args:
        standing: the lab, with what is out beforehand.
        asked: probes that are not in the lab file, besides those that are.
        unseen_s: a hold that lasts as long as this, or longer, has not run out by what nobody has seen yet, seconds.
        programs: whether services, and copies of those that have several, are parts that can fail by themselves.
    """

    def __init__(
        self,
        standing: Standing,
        *,
        asked: Sequence[Question] = (),
        unseen_s: float = math.inf,
        programs: bool = False,
    ) -> None:
        self.questions = {each.name: each for each in (*questions(standing.lab), *asked) if each.sees}
        self.unseen_s = unseen_s
        self.programs = frozenset(_programs(standing)) if programs else frozenset[str]()
        self._as_it_is: View | None = standing.baseline
        super().__init__(standing.lab, out=standing.out)
        self._as_it_is = None

    def _compile(self) -> None:
        kept = self.support if self._as_it_is is None else _short(self.support, self._as_it_is, self.unseen_s)
        if self.programs:
            own = {name: replace(kept.things[name], part=True) for name in self.programs}
            kept = replace(kept, things={**kept.things, **own})
        self.support = with_probes(self.lab, kept, self.questions.values())
        super()._compile()


def watched(standing: Standing, unseen_s: float = math.inf, *, programs: bool = False) -> Watched:
    """The same lab with its probes; made once for each time that a fault stays unseen, seconds."""
    key = ("watched", unseen_s, programs)
    known = standing.asked.get(key)
    if not isinstance(known, Watched):
        known = standing.asked[key] = Watched(standing, unseen_s=unseen_s, programs=programs)
    return known


def _programs(standing: Standing) -> Iterator[str]:
    """Services, and copies of those that have more than one: a program hangs, a setting is wrong, a disk is full."""
    for service in standing.lab.of(Service):
        yield service.id
        copies = _copies(standing.support, service.id)
        yield from copies if len(copies) > 1 else ()


def _short(support: SupportGraph, before: View, unseen_s: float) -> SupportGraph:
    """The graph without leans that are bridged for longer than a fault stays unseen; those broken already stay."""
    things = {}
    for name, thing in support.things.items():
        leans = tuple(
            lean if lean.hold_s < unseen_s or not before.lean_holds(name, number) else _to_start(lean)
            for number, lean in enumerate(thing.leans)
        )
        kept = tuple(lean for lean in leans if lean is not None)
        things[name] = thing if kept == thing.leans else replace(thing, leans=kept)
    return replace(support, things=things)


def _to_start(lean: Lean) -> Lean | None:
    """What is left of a lean that counts only when something starts."""
    return replace(lean, phases=frozenset((Phase.START,)), hold_s=0.0) if Phase.START in lean.phases else None


def with_probes(lab: Lab, support: SupportGraph, asked: Iterable[Question]) -> SupportGraph:
    """The graph with a thing for each question, and one for each machine that is on a wire."""
    things = dict(support.things)
    for question in asked:
        things[question.name] = Support(
            id=question.name,
            word="probe",
            leans=tuple(_leans(lab, support, question)),
            places=(question.from_,) if _is_node(lab, question.from_) else (),
            where=question.where,
        )
    on_wire = dict.fromkeys(node for network in support.networks.values() for node in network.attachments)
    for name in on_wire:
        part = lab.things[ThingId(name)]
        leans = [Lean(on=(name,), enough=1, role=Role.NEED, together=True)]
        if isinstance(part, Controller):  # it is asked whether its machine runs
            leans.append(Lean(on=(part.holder,), enough=1, role=Role.NEED))
        things[PING + name] = Support(id=PING + name, word="probe", leans=tuple(leans), where=part.where)
    return replace(support, things=things)


def _leans(lab: Lab, support: SupportGraph, question: Question) -> Iterator[Lean]:
    """What must hold for a question to be answered."""
    target, host, where = question.sees, question.ask.host, question.where
    at = support.answers.get(target, {})
    only = at.get(host, ())
    if question.from_:
        yield Lean(on=(question.from_,), enough=1, role=Role.HOST, where=where)
    if _is_node(lab, question.from_):
        known = (host,) if host in at else ()
        yield Lean(on=(target,), enough=1, role=Role.NEED, seen=True, at=known, where=where)
        return
    on_wire = any(target in network.attachments for network in support.networks.values())
    # As users see it: where a network says where they sit, from there, else from anywhere it is plugged in.
    yield Lean(on=(target,), enough=1, role=Role.NEED, together=on_wire, where=where)
    service = lab.things.get(ThingId(target))
    if isinstance(service, Service) and only and set(only) != set(_copies(support, target)):
        yield Lean(on=only, enough=1, role=Role.NEED, together=True, where=where)


def _copies(support: SupportGraph, service: str) -> tuple[str, ...]:
    """All copies of a service."""
    leans = [lean.on for lean in support.things[service].leans if lean.role is Role.COPIES]
    return max(leans, key=len, default=())


def _is_node(lab: Lab, name: str) -> bool:
    thing = lab.things.get(ThingId(name)) if name else None
    return thing is not None and not isinstance(thing, Outside)
