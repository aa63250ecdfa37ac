"""Who is told to stop after a power cut, and when, with what power is left then?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.analyses.shutdown.drain import NEVER, Drain, Wiring, drained
from falsework.analyses.shutdown.order import Leaning, Plan
from falsework.analyses.shutdown.way import host_of
from falsework.model.parts import Controller, Node, Part, Switch, ThingId, Ups
from falsework.model.services import Copy
from falsework.support.standing import Standing


class Settled:
    """What is behind every answer: both drains, who is told when, and the plan of the stop.

    Args:
        standing: the lab; parts out beforehand stay out.
        cut: sources of power that are cut.
    """

    def __init__(self, standing: Standing, cut: tuple[str, ...]) -> None:
        self.standing, self.lab, self.cut = standing, standing.lab, cut
        self.draws = standing.draws()
        self.wiring = Wiring(self.lab, self.draws, {*cut, *standing.out})
        self.constant = drained(self.wiring, ends={}, cuts=False)
        self.fed: dict[str, str] = {
            name: self.draws.fed(thing)
            for name, thing in self.lab.things.items()
            if isinstance(thing, Node | Switch)
        }
        self.behind = self._behind()
        self.controlled = {each.holder for each in self.lab.of(Controller)}
        self.copies: dict[str, list[str]] = {}
        self.of_service: dict[str, list[str]] = {}
        for copy in self.lab.of(Copy):
            self.copies.setdefault(copy.host, []).append(copy.id)
            self.of_service.setdefault(copy.service, []).append(copy.id)
        self.tells = {
            ups.id: self._hearers(ups)
            for ups in self.lab.of(Ups)
            if ups.signals_at is not None and ups.id in self.constant.begins_s
        }
        self.plan, self.falling = self._settled()

    # -- power ----------------------------------------------------------------------------------------------

    def _behind(self) -> Mapping[str, tuple[str, ...]]:
        """The batteries that carry at some moment and are behind a machine's supplies, the nearest of each."""
        found = {}
        for name, supplies in self.draws.supplies.items():
            near = (self._battery(supply.source) for supply in supplies)
            found[name] = tuple(dict.fromkeys(each for each in near if each))
        return found

    def _battery(self, source: str) -> str:
        for each in self.draws.chain(source):
            if each in self.constant.begins_s:
                return each
        return ""

    def _carries(self, ups: str, node: str) -> bool:
        """Whether power for a machine comes through a battery."""
        supplies = self.draws.supplies.get(self.fed.get(node, ""), ())
        return any(ups in self.draws.chain(supply.source) for supply in supplies)

    def _power_s(self, name: str, drain: Drain) -> float:
        """How long a node or switch has power."""
        if name in self.standing.out or name in self.cut:
            return 0.0
        fed = self.fed.get(name, "")
        return 0.0 if fed in self.standing.out else drain.off_s.get(fed, NEVER)

    def _lit(self, name: str) -> bool:
        """Whether a node has power at second 0, be it only until its battery is asked for too much."""
        return self._power_s(name, self.constant) > 0 or self.fed.get(name, "") in self.constant.lit

    # -- who is told, and when --------------------------------------------------------------------------------

    def _hearers(self, ups: Ups) -> tuple[str, ...]:
        """The nodes and copies that stop at a battery's signal and are on until then."""
        named = ups.tells.ids if ups.tells is not None else self._on(ups.id)
        found: dict[str, None] = {}
        for name in named:
            for each in self._stopping(name):
                if self._lit(host_of(self.lab, each)):
                    found[each] = None
        return tuple(found)

    def _stopping(self, name: str) -> Sequence[str]:
        """What stops when a node or a service is told to."""
        return (name, *self.copies.get(name, ())) if name in self.fed else self.of_service.get(name, ())

    def _on(self, ups: str) -> tuple[str, ...]:
        """The nodes that a battery carries."""
        return tuple(
            node.id for node in self.lab.of(Node) if self._carries(ups, node.id) and self._lit(node.id)
        )

    def _told(self, drain: Drain) -> dict[str, tuple[float, str]]:
        """When each thing hears the first signal that is sent, and whose; where none is, when it would have been."""
        found: dict[str, tuple[bool, float, str]] = {}
        for ups, hearers in self.tells.items():
            battery = self.wiring.ups[ups]
            nominal = self.constant.begins_s[ups] + (battery.signals_at or 0.0)
            signal = (ups not in drain.signals_s, drain.signals_s.get(ups, nominal), ups)
            for name in hearers:
                found[name] = min(found.get(name, signal), signal)
        return {name: (at, ups) for name, (_, at, ups) in found.items()}

    def _settled(self) -> tuple[Plan, Drain]:
        """The plan, and the drain at the load as it falls by it.

        As loads fall batteries last longer, and a signal may be sent that is not at constant load; so both are
        worked out again until no more signals come.
        """
        self.told = self._told(self.constant)
        times = [at for at, _ in self.told.values()]
        leaning = Leaning(
            self.lab, self.standing.support, self.told, max(times, default=0.0) - min(times, default=0.0)
        )
        plan = leaning.plan({name: at for name, (at, _) in self.told.items()})
        # The verdict is at constant load; only the figure beside it may count on what comes later.
        fading = plan
        for _ in range(len(self.tells) + 1):
            drain = drained(self.wiring, ends=self._ends(fading), cuts=True)
            again = {name: at for name, (at, _) in self._told(drain).items()}
            if again == fading.told_s:
                break
            fading = leaning.plan(again)
        self.fading = fading
        return plan, drain

    def _ends(self, plan: Plan) -> dict[str, float]:
        """When the draw of each thing ends: of a node and its drives when it has stopped, of a box with its last node."""
        inside: dict[str, list[str]] = {}
        for node in self.lab.of(Node):
            if node.in_ is not None:
                inside.setdefault(node.in_.ids[0], []).append(node.id)
        done = plan.done_s

        def end(name: str) -> float:
            if name in self.fed:
                return done.get(name, NEVER)
            within = inside.get(name, ())
            return max((done.get(each, NEVER) for each in within), default=NEVER)

        found = {}
        for parts in self.draws.shares.values():
            for thing, _ in parts:
                part = self.lab.things[ThingId(thing)]
                holder = (
                    part.in_.ids[0] if isinstance(part, Part) and part.IS == "drive" and part.in_ else thing
                )
                found[thing] = end(holder)
        return found
