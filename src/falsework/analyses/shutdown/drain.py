"""How long does each battery carry what is left on it, and when does each machine lose its power?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from falsework.model.lab import Lab
from falsework.model.parts import Powered, Supply, Ups
from falsework.support import power

NEVER = float("inf")
TINY = 1e-9
"""A share of a full battery, or of a limit, that is only rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drain:
    """What becomes of every battery after the cut, if nothing comes back.

    Attributes:
        begins_s: when each battery begins to carry; only those that ever do.
        ends_s: when it is empty, or shuts off because it is asked for more than it carries; infinity for never.
        load_w: what it carries when it begins.
        trips: sources that were asked for more than they carry, with the moment.
        signals_s: when each battery that is still on tells the machines to stop.
        cuts_s: when it switches its outlets off.
        off_s: when each machine with supplies loses its power; infinity for never.
        gone_s: when the last of its supplies has no power any more, which may be later: one supply less than it needs to
            run still tells a machine that is off that nothing has changed.
        lit: machines that have power at second 0, before anything trips.
    """

    begins_s: Mapping[str, float]
    ends_s: Mapping[str, float]
    load_w: Mapping[str, float]
    trips: Mapping[str, float]
    signals_s: Mapping[str, float]
    cuts_s: Mapping[str, float]
    off_s: Mapping[str, float]
    gone_s: Mapping[str, float]
    lit: frozenset[str]


class Wiring:
    """A lab's supplies and sources, read once.

    Args:
        lab: the lab.
        draws: who draws how much.
        cut: sources that are cut, and parts that are out beforehand.
    """

    def __init__(self, lab: Lab, draws: power.Draws, cut: Iterable[str]) -> None:
        self.cut = frozenset(cut)
        self.draws = draws
        self.ups: dict[str, Ups] = {ups.id: ups for ups in lab.of(Ups)}
        self.feed: dict[str, str] = {
            thing.id: thing.fed_by.ids[0] if thing.fed_by is not None else ""
            for thing in lab.of(Powered)
            if not draws.supplies.get(thing.id)
        }
        self.enough = {name: draws.enough(name) for name in draws.supplies}
        volts = power.volts_at(lab, draws)
        self.limit: dict[str, float] = {}
        for thing in lab.of(Powered):
            limit = power.limit_w(thing, volts)
            if limit is not None:
                self.limit[thing.id] = limit

    def without(self, name: str) -> bool:
        """Whether a battery has no feed to stand in for."""
        return not self.feed.get(name)


@dataclass(slots=True)
class _State:
    """A moment of the stop, as it is worked out."""

    now: float = 0.0
    left: dict[str, float] = field(default_factory=dict)
    down: set[str] = field(default_factory=set)
    off: dict[str, float] = field(default_factory=dict)
    gone: dict[str, float] = field(default_factory=dict)
    loads: dict[str, float] = field(default_factory=dict)
    weights: dict[str, dict[str, float]] = field(default_factory=dict)
    carrying: set[str] = field(default_factory=set)


def drained(wiring: Wiring, *, ends: Mapping[str, float], cuts: bool) -> Drain:
    """Drain every battery by the load that is left, from event to event.

    A machine shares its draw equally among its supplies that have power. A battery carries while its own feed
    is out; when it is empty, its load goes to what else feeds those machines, and what can't carry that trips.

    Args:
        wiring: of the lab.
        ends: when the draw of a thing ends, seconds; what is not named draws until it loses its power.
        cuts: whether batteries switch their outlets off where they say so.

    Cost:
        Events times their machines; everything is looked at anew only where a source goes off.
    """
    return _Drainer(wiring, ends, cuts=cuts).run()


class _Drainer:
    def __init__(self, wiring: Wiring, ends: Mapping[str, float], *, cuts: bool) -> None:
        self.wiring, self.draws, self.cuts = wiring, wiring.draws, cuts
        shares = self.draws.shares
        self.watts = {name: sum(watts for _, watts in shares.get(name, ())) for name in self.draws.supplies}
        self.falls = sorted(
            (ends[thing], name, watts)
            for name, parts in shares.items()
            for thing, watts in parts
            if ends.get(thing, NEVER) < NEVER
        )
        self.state = _State(left=dict.fromkeys(wiring.ups, 1.0), down=set(wiring.cut))
        self.begins: dict[str, float] = {}
        self.first_w: dict[str, float] = {}
        self.unsaid: set[str] = set()  # batteries that carry something, of which nobody says what it draws
        self.ended: dict[str, float] = {}
        self.trips: dict[str, float] = {}
        self.signals: dict[str, float] = {}
        self.cut_at: dict[str, float] = {}
        self.lit: frozenset[str] = frozenset()

    def run(self) -> Drain:
        state, fallen = self.state, 0
        self._settle()
        while True:
            planned = [(at, "signal", name) for name, at in self._planned()]
            rates = {name: self._rate(name) for name in sorted(state.carrying)}
            planned += [
                (state.now + state.left[name] / rate, "empty", name)
                for name, rate in rates.items()
                if rate > 0
            ]
            if fallen < len(self.falls):
                planned.append((self.falls[fallen][0], "fall", ""))
            if not state.carrying or not planned:
                break
            at, what, name = min(planned)
            at = max(at, state.now)
            for each, rate in rates.items():
                # An infinite rate is a battery that lasts no time at all.
                used = rate * (at - state.now) if at > state.now else 0.0
                state.left[each] = max(state.left[each] - used, 0.0)
            state.now = at
            if what == "fall":
                while fallen < len(self.falls) and self.falls[fallen][0] <= at:
                    self._fall(*self.falls[fallen][1:])
                    fallen += 1
                continue
            if what == "empty":
                empty = [
                    each
                    for each in state.carrying
                    if each == name or (state.left[each] <= TINY and rates[each] > 0)
                ]
                self.ended.update(dict.fromkeys(empty, at))
                state.down.update(empty)
            else:
                self._tell(name)
            self._settle()
        return Drain(
            begins_s=self.begins,
            ends_s={name: self.ended.get(name, NEVER) for name in self.begins},
            load_w=self.first_w,
            trips=self.trips,
            signals_s=self.signals,
            cuts_s=self.cut_at,
            off_s={name: state.off.get(name, NEVER) for name in self.draws.supplies},
            gone_s={name: state.gone.get(name, NEVER) for name in self.draws.supplies},
            lit=self.lit,
        )

    def _planned(self) -> Iterable[tuple[str, float]]:
        """The next signal, or the switching off after it, of each battery that is on."""
        for name in sorted(self.state.carrying):
            ups = self.wiring.ups[name]
            if name in self.signals:
                if self.cuts and ups.then_cuts is not None:
                    yield name, self.signals[name] + ups.then_cuts
            elif ups.signals_at is not None:
                yield name, self.begins[name] + ups.signals_at

    def _tell(self, name: str) -> None:
        if name in self.signals:
            self.cut_at[name] = self.state.now
            self.state.down.add(name)
        else:
            self.signals[name] = self.state.now

    def _rate(self, name: str) -> float:
        """The share of a full battery that goes in a second; of the shortest runtime where nobody says any draw on it."""
        ups = self.wiring.ups[name]
        load = self.state.loads.get(name, 0.0)
        if name in self.unsaid and load <= TINY:
            runtime = power.runtime_s(ups, 0.0)
            return 1.0 / runtime if runtime > 0 else NEVER
        return power.drain_per_s(ups, load if load > TINY else 0.0)

    def _fall(self, consumer: str, watts: float) -> None:
        """A draw ends."""
        self.watts[consumer] -= watts
        for source, weight in self.state.weights.get(consumer, {}).items():
            self.state.loads[source] -= watts * weight

    # -- what has power -----------------------------------------------------------------------------------

    def _settle(self) -> None:
        """Who has power now, and over what, until nothing more trips."""
        state = self.state
        while True:
            known: dict[str, bool] = {}
            alive = self._alive(known)
            self._weigh(alive)
            self.lit = self.lit or frozenset(state.weights)
            state.carrying = {
                name
                for name, ups in self.wiring.ups.items()
                if name not in state.down and not self._fed(name, alive)
            }
            for name in sorted(state.carrying):
                if name not in self.begins:
                    self.begins[name] = state.now
                    self.first_w[name] = state.loads.get(name, 0.0)
                    if self.first_w[name] <= 0 and any(name in each for each in state.weights.values()):
                        self.unsaid.add(name)
            over = [
                name
                for name, load in state.loads.items()
                if name not in state.down and load > self.wiring.limit.get(name, NEVER) * (1 + TINY)
            ]
            if not over:
                return
            for name in over:
                self.trips[name] = state.now
                if name in state.carrying:
                    self.ended[name] = state.now
            state.down.update(over)

    def _alive(self, known: dict[str, bool]) -> Callable[[str], bool]:
        def alive(source: str) -> bool:
            if source not in known:
                known[source] = False  # power runs in no circle: that was checked when the lab was read
                known[source] = source not in self.state.down and (
                    source in self.wiring.ups or self._fed(source, alive)
                )
            return known[source]

        return alive

    def _fed(self, source: str, alive: Callable[[str], bool]) -> bool:
        """Whether what feeds a source has power; what nothing feeds has its own, but for a battery."""
        feed = self.wiring.feed.get(source, "")
        return alive(feed) if feed else source not in self.wiring.ups

    def _weigh(self, alive: Callable[[str], bool]) -> None:
        """Each machine's live supplies, and the share of its draw that each source on their way carries."""
        state = self.state
        state.loads, state.weights = {}, {}
        for consumer, supplies in self.draws.supplies.items():
            if consumer in state.gone:
                continue
            live = [supply for supply in supplies if self._live(supply, alive)]
            if not live:
                state.gone[consumer] = state.now
            if consumer in state.off:
                continue
            if len(live) < self.wiring.enough[consumer] or consumer in state.down:
                state.off[consumer] = state.now
                continue
            weights: dict[str, float] = {}
            for supply in live:
                for source in self._way(supply.source, alive):
                    weights[source] = weights.get(source, 0.0) + 1.0 / len(live)
            state.weights[consumer] = weights
            for source, weight in weights.items():
                state.loads[source] = state.loads.get(source, 0.0) + self.watts[consumer] * weight

    def _live(self, supply: Supply, alive: Callable[[str], bool]) -> bool:
        return supply.id not in self.state.down and alive(supply.source)

    def _way(self, source: str, alive: Callable[[str], bool]) -> Iterable[str]:
        """The sources that a supply's power comes through now: up to the battery that carries it, or to the end."""
        for each in self.draws.chain(source):
            yield each
            if each in self.wiring.ups and not self._fed(each, alive):
                return
