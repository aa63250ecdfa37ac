"""Which numbered steps does a walk make, and how is the lab after each?"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from falsework.analyses.raising.cutover import cut_over, hands_of, needed_of, retire
from falsework.analyses.raising.moving import states
from falsework.analyses.raising.result import Doing, Moment, StateMove, Step
from falsework.analyses.raising.walk import Event, Walked
from falsework.analyses.raising.words import bring_check, bring_says, cautions, lend_says, listed
from falsework.engines.sofar import Coming
from falsework.model.effort import effort
from falsework.model.lab import Lab
from falsework.model.parts import Supply, Thing, ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Service, owner
from falsework.support.building import Building
from falsework.units import ThreePoint

_IMPLIED = ("supply", "cable", "card", "controller", "drive", "share", "person", "room", "rack")
"""Words of what a step does not name among the things that it leans on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """Steps, with the lab before the first and after each.

    Attributes:
        steps: n_steps, numbered from 1.
        moments: n_steps + 1.
    """

    steps: tuple[Step, ...]
    moments: tuple[Moment, ...]


def numbered(lab: Lab, building: Building, walked: Walked) -> Numbered:
    """Steps of a walk: one for each event, but for a hand-over, which takes several."""
    return _Steps(lab, building).numbered(walked)


@dataclass(slots=True)
class _Steps:
    lab: Lab
    building: Building
    steps: list[Step] = field(default_factory=list)
    moments: list[Moment] = field(default_factory=list)
    built: set[str] = field(default_factory=set)
    coming: Coming = field(default_factory=Coming)  # the same, for moments to share
    lent: dict[str, StandIn] = field(default_factory=dict)
    serving: dict[str, str] = field(default_factory=dict)
    owners: dict[str, str] = field(default_factory=dict)
    moved: dict[str, list[StateMove]] = field(default_factory=dict)
    step_of: dict[int, int] = field(default_factory=dict)  # of each event, the step after which it is over
    proofs: dict[str, list[int]] = field(default_factory=dict)
    ancestors: list[int] = field(default_factory=lambda: [0])  # of each step, as bits

    def numbered(self, walked: Walked) -> Numbered:
        offers = self.building.system.costs
        joins = frozenset(self.building.either.values())
        self._stand(item for item in walked.there if item not in offers and item not in joins)
        self._moment()
        for number, event in enumerate(walked.events):
            after = [self.step_of[each] for each in event.after]
            if event.doing is Doing.BRING:
                self._bring(event, after)
            elif event.doing is Doing.LEND:
                self._lend(event, after)
            elif event.doing is Doing.HAND_OVER:
                self.step_of[number] = self._hand_over(event, after)
            else:
                self._retire(event, after)
            self.step_of.setdefault(number, len(self.steps))
        return Numbered(steps=tuple(self.steps), moments=tuple(self.moments))

    # -- making ------------------------------------------------------------------------------------

    def _bring(self, event: Event, after: Sequence[int]) -> None:
        things = [self.lab.things[ThingId(name)] for name in event.things]
        first = things[0]
        more = isinstance(first, Copy) and first.service in self.built
        service = self.lab.things[ThingId(first.service)] if isinstance(first, Copy) else None
        makers = [service] if service is not None else things
        take, hands, assumed = _together(makers)
        self._stand(item for item in event.begun if item not in self.building.either.values())
        said = first.raising if service is None else service.raising
        self._add(
            Step(
                number=0,
                doing=Doing.BRING,
                things=self._named(things, service, more),
                says=bring_says(self.lab, things, more=more, maker=self._maker(service or first)),
                takes=take,
                hands_s=hands,
                leans=self._leans(event),
                by=hands_of(said),
                not_before=_not_before(makers),
                command=said.command if said else "",
                check=(said.check if said else "") or bring_check(things),
                back=(said.back if said else "") or self._way_back(things, service),
                cautions=cautions(self.lab, things),
                notes=self._notes(service, things),
                assumed=assumed,
            ),
            after,
        )

    def _named(self, things: Sequence[Thing], service: Thing | None, more: bool) -> tuple[str, ...]:
        """A service's own name where all of its copies come now, else the copies'."""
        if service is None:
            return tuple(thing.id for thing in things)
        copies = [copy.id for copy in self.lab.of(Copy) if copy.service == service.id]
        if not more and len(copies) == len(things):
            return (service.id,)
        return tuple(thing.id for thing in things)

    def _maker(self, thing: Thing) -> str:
        needs = thing.needs.to_build if thing.needs else ()
        return listed([self._whoever(name) for need in needs[:2] for name in need.of.ids[:1]])

    def _whoever(self, name: str) -> str:
        other = self.serving.get(name, name)
        return name if other == name else f"{name} ({other} stands in)"

    def _way_back(self, things: Sequence[Thing], service: Thing | None) -> str:
        if service is not None:
            covered = self.serving.get(service.id, service.id)
            still = f"; {covered} still serves" if covered != service.id else ""
            return f"stop it{still}" if len(things) == 1 else f"stop them{still}"
        it = "it" if len(things) == 1 else "them"
        return f"take {it} out again; nothing leans on {it} yet"

    def _notes(self, service: Thing | None, things: Sequence[Thing]) -> tuple[str, ...]:
        """When a second copy is no redundancy yet."""
        if not isinstance(service, Service):
            return ()
        notes = []
        copies = [copy for copy in self.lab.of(Copy) if copy.service == service.id]
        homes = [name for name in (service.state_in.ids if service.state_in else ()) if name in self.serving]
        held = [name for name in (service.id, *homes) if self.serving.get(name, name) != name]
        there = [copy for copy in copies if copy.id in self.built]
        if len(there) > 1 and held:
            notes.append(
                f"no redundancy yet: the state of {listed(held)} is still on {listed([self.serving[n] for n in held])}"
            )
        if (
            len(there) > 1
            and len(service.reached_at) == 1
            and service.floats is None
            and service.named is None
        ):
            notes.append(
                f"no redundancy: clients know only {service.reached_at[0]}; "
                "let a floating address or a name stand before all copies"
            )
        return tuple(notes)

    def _leans(self, event: Event) -> tuple[str, ...]:
        """What it was made on, by names that a person knows."""
        found: dict[str, None] = {}
        join = {item: name for name, item in self.building.either.items()}
        for item in event.leans:
            name = self.building.system.names[item]
            if item in join:
                found[self.serving.get(join[item], join[item])] = None
                continue
            thing = self.lab.things.get(ThingId(name))
            if isinstance(thing, Supply):
                found[thing.source] = None
            elif isinstance(thing, Copy):
                found[thing.service] = None
            elif thing is not None and thing.IS not in _IMPLIED:
                found[name] = None
        own = {*event.things, *(owner(self.lab.things, name) for name in event.things)}
        return tuple(name for name in found if name not in own)

    # -- stand-ins ---------------------------------------------------------------------------------

    def _lend(self, event: Event, after: Sequence[int]) -> None:
        stand_in = self._stand_in(event.things[0])
        take, hands, assumed = _together([stand_in])
        self.lent[stand_in.id] = stand_in
        for name in stand_in.for_.ids if stand_in.for_ else ():
            if name not in self.built and name not in self.serving:
                self.serving[name] = stand_in.id
                self.owners.update(dict.fromkeys(states(self.lab, stand_in, name) or (name,), stand_in.id))
        said = stand_in.raising
        self._add(
            Step(
                number=0,
                doing=Doing.LEND,
                things=(stand_in.id,),
                says=lend_says(stand_in),
                takes=take,
                hands_s=hands,
                leans=self._leans(event),
                by=hands_of(said),
                not_before=_not_before([stand_in]),
                command=said.command if said else "",
                check=(said.check if said else "")
                or f"it answers for {listed(list(stand_in.for_.ids if stand_in.for_ else ()))}",
                back=(said.back if said else "") or "unplug it",
                assumed=assumed,
            ),
            after,
        )

    def _hand_over(self, event: Event, after: Sequence[int]) -> int:
        """The steps of a cut-over; the number of the one that hands over."""
        stand_in = self._stand_in(event.of)
        mine = [name for name in event.things if self.serving.get(name) == stand_in.id]
        over = 0
        for step in cut_over(self.lab, stand_in, mine, self._clients(mine)):
            if step.doing is Doing.HAND_OVER:
                for name in mine:
                    self.serving[name] = name
                    self.owners.update(dict.fromkeys(states(self.lab, stand_in, name) or (name,), name))
                over = len(self.steps) + 1
            self.moved.setdefault(stand_in.id, []).extend(step.moves)
            self._add(step, after)
            after = [len(self.steps)]
        self.proofs.setdefault(stand_in.id, []).append(len(self.steps))
        return over

    def _retire(self, event: Event, after: Sequence[int]) -> None:
        stand_in = self._stand_in(event.things[0])
        self.lent.pop(stand_in.id)
        step = retire(stand_in, self.moved.get(stand_in.id, ()))
        self._add(step, [*after, *self.proofs.get(stand_in.id, ())])

    def _clients(self, names: Sequence[str]) -> tuple[str, ...]:
        """Things that stand and need one of these to run or to start, a service once for all its copies.

        A service counts from its first copy on, whether or not that is enough to serve.
        """
        there = self.built | {owner(self.lab.things, name) for name in self.built}
        return tuple(
            name
            for name in self.lab.things
            if (name in there or name in self.lent)
            and not isinstance(self.lab.things[name], Copy)
            and any(each in names and each != name for each in needed_of(self.lab, name))
        )

    def _stand_in(self, name: str) -> StandIn:
        thing = self.lab.things[ThingId(name)]
        if not isinstance(thing, StandIn):
            raise TypeError(f"{name} is no stand-in")
        return thing

    # -- keeping count -----------------------------------------------------------------------------

    def _stand(self, items: Iterable[int]) -> None:
        names = [self.building.system.names[item] for item in items]
        self.built.update(names)
        self.coming.come(names)

    def _add(self, step: Step, after: Sequence[int]) -> None:
        """Number a step, and let it wait for no step that another one waits for already."""
        number = len(self.steps) + 1
        wanted = sorted(set(after), reverse=True)
        mask = 0
        kept = []
        for each in wanted:
            if not mask >> each & 1:
                kept.append(each)
                mask |= self.ancestors[each] | 1 << each
        self.ancestors.append(mask)
        self.steps.append(replace(step, number=number, after=tuple(sorted(kept)), owners=dict(self.owners)))
        self._moment()

    def _moment(self) -> None:
        self.moments.append(
            Moment(
                step=len(self.steps),
                built=self.coming.so_far(),
                lent=frozenset(self.lent),
                serving=dict(self.serving),
            )
        )


def _together(things: Sequence[Thing]) -> tuple[ThreePoint, float, bool]:
    """Hands go from one to the next, and what goes on by itself goes on at the same time."""
    efforts = [effort(thing) for thing in things]
    hands = sum(each.hands_s for each in efforts)

    def all_of(times: Iterable[float]) -> float:
        alone = (max(time - each.hands_s, 0.0) for time, each in zip(times, efforts, strict=True))
        return hands + max(alone)

    takes = ThreePoint(
        low=all_of(each.takes.low for each in efforts),
        likely=all_of(each.takes.likely for each in efforts),
        high=all_of(each.takes.high for each in efforts),
    )
    return takes, hands, any(each.assumed for each in efforts)


def _not_before(things: Sequence[Thing]) -> datetime.date | None:
    days = [thing.raising.comes_on for thing in things if thing.raising and thing.raising.comes_on]
    return max(days, default=None)
