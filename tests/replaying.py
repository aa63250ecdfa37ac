"""How is the lab at each step of an order of work, and what is wrong with the step? Used by `tests.replayer`."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from tests.ground import MADE, Ground, Now

from falsework.analyses.raising.result import Doing, Moment, Plan, StateMove, Step
from falsework.model.lab import Lab
from falsework.model.parts import Thing
from falsework.model.people import StandIn
from falsework.model.services import Copy, Data, Pool, Service


def made_of(names: Iterable[str], lab: Lab) -> set[str]:
    """Those that somebody makes; a service stands for its copies."""
    found: set[str] = set()
    for name in names:
        if isinstance(lab.things.get(name), Service):
            found.update(copy.id for copy in lab.of(Copy) if copy.service == name)
        elif isinstance(lab.things.get(name), MADE):
            found.add(name)
    return found


@dataclass
class Replay:
    """The lab while an order is walked, and what was wrong so far."""

    ground: Ground
    plan: Plan
    made: set[str] = field(default_factory=set)
    lent: list[str] = field(default_factory=list)
    ever_lent: set[str] = field(default_factory=set)
    retired: set[str] = field(default_factory=set)
    serving: dict[str, str] = field(default_factory=dict)
    owner: dict[str, str] = field(default_factory=dict)
    frozen: set[tuple[str, str]] = field(default_factory=set)
    copied: dict[tuple[str, str], StateMove] = field(default_factory=dict)
    checked: set[tuple[str, str]] = field(default_factory=set)
    over: set[tuple[str, str]] = field(default_factory=set)
    proved: set[tuple[str, str]] = field(default_factory=set)
    learnt: dict[tuple[str, str], set[str]] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)
    listed: bool = False  # walked in the order in which it is listed: notes are true there

    def walk(self, steps: Sequence[Step], moments: Sequence[Moment] = ()) -> list[str]:
        """What is wrong with these steps in this order, and with the moments, where there are any."""
        self.lab = self.ground.lab
        self.listed = bool(moments)
        copies = {copy.id for copy in self.lab.of(Copy)}
        self.made = {name for name in made_of(self.plan.already, self.lab) if name not in copies}
        self.made |= copies & set(self.plan.already)
        self._compare(moments[0] if moments else None, None)
        for step in steps:
            before = self._now()
            {
                Doing.LEND: self._lend,
                Doing.BRING: self._bring,
                Doing.FREEZE: self._freeze,
                Doing.COPY: self._copy,
                Doing.CHECK: self._check,
                Doing.HAND_OVER: self._hand_over,
                Doing.REPOINT: self._repoint,
                Doing.PROVE: self._prove,
                Doing.RETIRE: self._retire,
            }[step.doing](step)
            gone = before.serves - self._now().serves - self.retired
            if gone:
                self._say(step, f"stops {', '.join(sorted(gone))}")
            self._compare(moments[step.number] if moments else None, step)
        self._end()
        return self.wrong

    def _say(self, step: Step, what: str) -> None:
        self.wrong.append(f"step {step.number} ({step.doing} {', '.join(step.things)}) {what}")

    # -- making ------------------------------------------------------------------------------------------

    def _lend(self, step: Step) -> None:
        for name in step.things:
            stand_in = self._stand_in(step, name)
            if stand_in is None:
                continue
            if name in self.ever_lent:
                self._say(step, f"lends {name} a second time")
            lack = self.ground.lacks(name, self._now(), self._covers())
            if lack is not None:
                self._say(step, f"lends {name}, which lacks {self._words(lack.of)}")
            now = self._now()
            self.lent.append(name)
            self.ever_lent.add(name)
            for target in stand_in.for_.ids if stand_in.for_ else ():
                if target in self.serving or target in now.serves:
                    continue
                self.serving[target] = name
                for state in self._states(target):
                    if self.owner.get(state, name) != name:
                        self._say(step, f"makes {name} a second owner of {state} beside {self.owner[state]}")
                    self.owner[state] = name
            self._learn([name])

    def _bring(self, step: Step) -> None:
        left: list[str] = []
        for name in step.things:
            if isinstance(self.lab.things.get(name), Service):
                copies = self.ground.copies.get(name, [])
                left += [copy for copy in copies if copy not in self.made]
                if all(copy in self.made for copy in copies):
                    self._say(step, f"brings {name} a second time")
            elif not isinstance(self.lab.things.get(name), MADE):
                self._say(step, f"brings {name}, which nobody makes")
            elif name in self.made:
                self._say(step, f"brings {name} a second time")
            else:
                left.append(name)
        fresh = list(left)
        while left:
            now = self._now()
            able = [name for name in left if self.ground.lacks(name, now, self._covers()) is None]
            if not able:
                for name in left:
                    lack = self.ground.lacks(name, now, self._covers())
                    self._say(step, f"brings {name}, which lacks {self._words(lack.of if lack else ())}")
                able = left
            self.made.update(able)
            left = [name for name in left if name not in able]
        self._learn(fresh)
        for service in dict.fromkeys(
            each.service for each in map(self.lab.things.get, fresh) if isinstance(each, Copy)
        ):
            self._is_redundancy(step, service)

    def _is_redundancy(self, step: Step, name: str) -> None:
        """More than one copy counts only once a stand-in no longer holds their state; else the step must say so."""
        service = self.lab.things[name]
        homes = service.state_in.ids if isinstance(service, Service) and service.state_in else ()
        held = [each for each in (name, *homes) if self.serving.get(each, each) != each]
        copies = [copy for copy in self.ground.copies[name] if copy in self.made]
        if self.listed and held and len(copies) > 1 and not step.notes:
            self._say(
                step, f"adds a copy of {name} while {self.serving[held[0]]} holds its state, and says nothing"
            )

    def _learn(self, fresh: Iterable[str]) -> None:
        """What is new has learnt the address of each stand-in that serves what it needs while it runs."""
        for name in fresh:
            thing = self.lab.things[name]
            asking = self.lab.things[thing.service] if isinstance(thing, Copy) else thing
            for target, knows in _kept_to(asking):
                stand_in = self.serving.get(target, target)
                if stand_in in (target, asking.id) or knows:
                    continue
                if self._goes_away(stand_in, target):
                    self.learnt.setdefault((stand_in, target), set()).add(asking.id)

    def _goes_away(self, stand_in: str, target: str) -> bool:
        """Whether what a client knows of the stand-in ends with it: no name, and no address that stays."""
        thing, address = self.lab.things[target], self.ground.stand_ins[stand_in].address
        if not isinstance(thing, Service):
            return bool(address)
        if thing.named is not None:
            return False
        stays = (*thing.reached_at, *(thing.floats.address if thing.floats else ()))
        if address:
            return address not in stays
        return bool(thing.reached_at) and thing.floats is None

    # -- cut-overs -----------------------------------------------------------------------------------------

    def _freeze(self, step: Step) -> None:
        self._of_a_lent(step)
        for name in step.things:
            self.frozen |= {(step.of, state) for state in self._states(name)}

    def _copy(self, step: Step) -> None:
        self._of_a_lent(step)
        if not step.moves:
            self._say(step, "copies nothing")
        now = self._now()
        for move in step.moves:
            if move.source != step.of:
                self._say(step, f"copies {move.state} from {move.source}, and {step.of} is relieved")
            if self.owner.get(move.state) != step.of:
                self._say(step, f"copies {move.state}, which {step.of} does not own")
            if not move.in_use and (step.of, move.state) not in self.frozen:
                self._say(step, f"copies {move.state} while it is written")
            home = self.lab.things.get(move.target)
            if isinstance(home, (*MADE, Service)) and move.target not in now.there:
                self._say(step, f"copies {move.state} to {move.target}, which is not there")
            self.copied[step.of, move.state] = move

    def _check(self, step: Step) -> None:
        self._of_a_lent(step)
        for name in step.things:
            for state in self._states(name):
                if (step.of, state) in self.copied:
                    self.checked.add((step.of, state))

    def _hand_over(self, step: Step) -> None:
        self._of_a_lent(step)
        now = self._now()
        for name in step.things:
            if self.serving.get(name) != step.of:
                self._say(step, f"hands over {name}, which {step.of} does not serve")
            if name not in now.serves:
                self._say(step, f"hands over {name}, which does not serve yet")
            for state in self._states(name):
                if self._has_state(step.of, name) and (step.of, state) not in self.copied:
                    self._say(step, f"hands over {name}, and {state} stays with {step.of}")
                elif (step.of, state) in self.copied:
                    if (step.of, state) not in self.checked:
                        self._say(step, f"hands over {name}, and the copy of {state} was not checked")
                    if (step.of, state) not in self.frozen:
                        self._say(step, f"hands over {name}, and {step.of} still writes {state}")
                if self.owner.get(state) != step.of:
                    self._say(step, f"hands over {state}, which {self.owner.get(state)} owns")
                self.owner[state] = name
            self.serving[name] = name
            self.over.add((step.of, name))

    def _repoint(self, step: Step) -> None:
        self._of_a_lent(step)
        if not any(stand_in == step.of for stand_in, _ in self.over):
            self._say(step, f"points clients away from {step.of} before anything was handed over")
        for (stand_in, target), clients in self.learnt.items():
            if stand_in == step.of and (stand_in, target) in self.over:
                clients.difference_update(step.things)
        for name in step.things:
            if name not in self.lab.things:
                self._say(step, f"repoints {name}, which the lab does not have")

    def _prove(self, step: Step) -> None:
        self._of_a_lent(step)
        for name in step.things:
            if (step.of, name) not in self.over:
                self._say(step, f"proves {name} before it was handed over")
            self._nobody_knows(step, step.of, name)
            self.proved.add((step.of, name))

    def _retire(self, step: Step) -> None:
        for name in step.things:
            stand_in = self._stand_in(step, name)
            if stand_in is None:
                continue
            if name not in self.lent:
                self._say(step, f"retires {name}, which is not lent")
                continue
            for target in stand_in.for_.ids if stand_in.for_ else ():
                if self.serving.get(target) == name:
                    self._say(step, f"retires {name} while it serves {target}")
                if (name, target) in self.over and (name, target) not in self.proved:
                    self._say(step, f"retires {name} before {target} was proved without it")
                self._nobody_knows(step, name, target)
            for target in stand_in.until.ids if stand_in.until else ():
                if target not in self._now().there and isinstance(
                    self.lab.things[target], (*MADE, Service, StandIn)
                ):
                    self._say(step, f"retires {name} before {target} is there")
            self.lent.remove(name)
            self.retired.add(name)

    def _nobody_knows(self, step: Step, stand_in: str, target: str) -> None:
        bound = self.learnt.get((stand_in, target))
        if bound:
            self._say(step, f"leaves {', '.join(sorted(bound))} pointing at {stand_in} for {target}")

    def _of_a_lent(self, step: Step) -> None:
        if step.of not in self.lent:
            self._say(step, f"speaks of {step.of or 'no stand-in'}, which is not lent")

    # -- state -----------------------------------------------------------------------------------------------

    def _states(self, name: str) -> tuple[str, ...]:
        """The data of a covered thing, or its own name where it has none."""
        return tuple(each.id for each in self.lab.of(Data) if each.of and name in each.of.ids) or (name,)

    def _has_state(self, stand_in: str, name: str) -> bool:
        """Whether something must be copied: there is data, or state of its own, and the stand-in gathers some."""
        thing, who = self.lab.things[name], self.ground.stand_ins[stand_in]
        known = self._states(name) != (name,) or (isinstance(thing, Service) and thing.state_in is not None)
        alone = len(who.for_.ids if who.for_ else ()) == 1 and bool(who.gathers)
        return (known and who.gathers != 0) or alone

    # -- how things are ---------------------------------------------------------------------------------------

    def _covers(self) -> dict[str, tuple[str, ...]]:
        return {name: (who,) for name, who in self.serving.items() if who != name}

    def _now(self) -> Now:
        return self.ground.now(self.made, self.lent, self._covers())

    def _stand_in(self, step: Step, name: str) -> StandIn | None:
        if name not in self.ground.stand_ins:
            self._say(step, f"speaks of {name}, which is no stand-in")
        return self.ground.stand_ins.get(name)

    @staticmethod
    def _words(names: Collection[str]) -> str:
        return " or ".join(names)

    def _compare(self, moment: Moment | None, step: Step | None) -> None:
        if moment is None:
            return
        at = f"after step {step.number}" if step else "before the first step"
        made = {name for name in moment.built if isinstance(self.lab.things.get(name), MADE)}
        if made != self.made:
            self.wrong.append(f"{at} the moment and the steps differ about {sorted(made ^ self.made)}")
        services = {each.id for each in self.lab.of(Service)}
        there = self._now().there & services
        if (moment.built & services) != there:
            self.wrong.append(f"{at} the moment is wrong about {sorted((moment.built & services) ^ there)}")
        if moment.lent != set(self.lent):
            self.wrong.append(f"{at} {sorted(moment.lent)} are said to be lent and {self.lent} are")
        told = {name: who for name, who in moment.serving.items() if name in self.serving or who != name}
        if told != self.serving:
            self.wrong.append(f"{at} {told} is said to serve and {self.serving} does")
        owners = dict(step.owners or {}) if step else {}
        wrong = sorted(state for state, who in self.owner.items() if owners.get(state) != who)
        if step and wrong:
            self.wrong.append(
                f"{at} {wrong[0]} is owned by {owners.get(wrong[0])} and ought to be by {self.owner[wrong[0]]}"
            )

    def _end(self) -> None:
        left = [name for name in self.ground.made if name not in self.made]
        if left:
            self.wrong.append(f"in the end {', '.join(left)} were never brought")
        if self.lent:
            self.wrong.append(f"in the end {', '.join(self.lent)} are still lent")
        now = self._now()
        down = [name for name in self.ground.goals if name not in now.serves and name not in left]
        if down and not left:
            self.wrong.append(f"in the end {', '.join(down)} do not serve")
        held = [name for name, who in self.serving.items() if who != name]
        if held:
            self.wrong.append(f"in the end {', '.join(held)} are still served by stand-ins")


def _kept_to(thing: Thing) -> Iterable[tuple[str, bool]]:
    """What a thing keeps asking while it runs, and whether its own file tells it an address."""
    if thing.needs is not None:
        for need in (*thing.needs.run_and_start, *thing.needs.to_run):
            yield from ((name, bool(need.at)) for name in need.of.ids)
    if isinstance(thing, Service) and thing.state_in is not None:
        yield from ((name, False) for name in thing.state_in.ids)
    if isinstance(thing, Pool) and thing.store is not None:
        yield from ((name, False) for name in thing.store.ids)
