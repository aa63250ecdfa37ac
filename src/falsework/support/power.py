"""How much does each source carry, how long does a battery last, and which source may trip?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum

from falsework.engines import battery
from falsework.engines.electrical import LEVELS, efficiency_at
from falsework.model.lab import Lab
from falsework.model.parts import (
    Circuit,
    Drive,
    Enclosure,
    Node,
    Part,
    Powered,
    Strip,
    Supply,
    Switch,
    Thing,
    ThingId,
    Ups,
)
from falsework.support.graph import Load

UNSAID_RUNTIME_S = 300.0
"""Assumed where a battery has neither a curve nor an energy: five minutes."""
DEPTH, INVERTER = 0.8, 0.9
"""Common practice: usable depth of a battery and efficiency of its inverter."""
NO_LOSS = 1.0
"""The exponent of the discharge-rate law where nobody says it: the energy on the label counts at any load."""
RATED_OVER_S = 20 * 3600.0
"""The discharge for which a battery's energy is told where an exponent is said and this is not: common practice for
lead batteries."""


class Draw(StrEnum):
    """Which of its draws a machine is taken at."""

    IDLE = "idle"
    USUAL = "usual"
    BUSY = "busy"


def drawn_w(thing: Thing, draw: Draw) -> float | None:
    """What a thing says it draws, W; None where it says nothing.

    On an ordinary day half-way between idle and busy, where nobody says how much it is then; and where only that is
    said, as much at any time.
    """
    if not isinstance(thing, Node | Enclosure | Switch | Drive):
        return None
    usual = None if isinstance(thing, Drive) else thing.usually_draws
    if thing.draws is None:
        return usual
    if draw is Draw.USUAL:
        return usual if usual is not None else (thing.draws.low + thing.draws.high) / 2
    return thing.draws.low if draw is Draw.IDLE else thing.draws.high


class Draws:
    """Who draws how much from which source.

    A machine with several supplies shares its draw equally among them while all stand. What a machine draws is
    taken at its plugs: drives in it are in that already, and count only where what they are in says nothing.

    Args:
        lab: the lab.
        draw: at which of their draws all machines are taken; the busy one is what sources must carry.
    """

    def __init__(self, lab: Lab, draw: Draw = Draw.BUSY) -> None:
        self.lab = lab
        self.draw = draw
        self.consumers: dict[str, float] = {}
        self.shares: dict[str, list[tuple[str, float]]] = {}  # what each machine's draw is made of, W
        self.supplies: dict[str, list[Supply]] = {}
        for supply in lab.of(Supply):
            self.supplies.setdefault(supply.holder, []).append(supply)
        for thing in lab.things.values():
            watts = drawn_w(thing, draw)
            if watts is None or not isinstance(thing, Part) or self._told_by_holder(thing):
                continue
            consumer = self.fed(thing)
            if consumer:
                self.consumers[consumer] = self.consumers.get(consumer, 0.0) + watts
                self.shares.setdefault(consumer, []).append((thing.id, watts))
        self._chains: dict[str, tuple[str, ...]] = {}
        self._through: dict[str, dict[str, None]] = {}
        for consumer in self.consumers:
            for supply in self.supplies[consumer]:
                for source in self.chain(supply.source):
                    self._through.setdefault(source, {})[consumer] = None

    def through(self, source: str) -> Iterable[str]:
        """The machines with a supply whose power comes through a source, in lab order."""
        return self._through.get(source, ())

    def enough(self, machine: str) -> int:
        """How many of its supplies a machine can't run without; never more than it has."""
        thing = self.lab.things[ThingId(machine)]
        said = thing.enough if isinstance(thing, Powered) else None
        return min(said or 1, len(self.supplies[machine]))

    def _told_by_holder(self, thing: Part) -> bool:
        """Whether a drive's draw is part of what the machine that it is in says of itself."""
        if not isinstance(thing, Drive) or thing.in_ is None:
            return False
        return drawn_w(self.lab.things[ThingId(thing.in_.ids[0])], self.draw) is not None

    def fed(self, thing: Part) -> str:
        """The machine whose supplies feed a thing: itself or what houses it; empty where nobody says."""
        at: Thing | None = thing
        for _ in range(8):
            if at is None or at.id in self.supplies:
                break
            holder = at.in_.ids[0] if isinstance(at, Part) and at.in_ is not None else ""
            at = self.lab.things.get(ThingId(holder)) if holder else None
        return at.id if at is not None and at.id in self.supplies else ""

    def chain(self, source: str) -> tuple[str, ...]:
        """A source and all that it is fed by, in order."""
        if source in self._chains:
            return self._chains[source]
        found: list[str] = []
        at: str | None = source
        while at and at not in found:
            found.append(at)
            thing = self.lab.things[ThingId(at)]
            at = thing.fed_by.ids[0] if isinstance(thing, Powered) and thing.fed_by else None
        self._chains[source] = tuple(found)
        return self._chains[source]

    def alone_w(self, source: str) -> float:
        """What a source carries once the feed that it stands in for is out, W.

        The careful reading: every supply whose power comes from the same origin, but not through this
        source, is out too, and its machine draws all it needs through what is left.
        """
        origin = self.chain(source)[-1]
        total = 0.0
        for consumer in self.through(source):
            chains = [self.chain(supply.source) for supply in self.supplies[consumer]]
            through = sum(source in chain for chain in chains)
            others = sum(source not in chain and origin not in chain for chain in chains)
            total += self.consumers[consumer] * through / (through + others)
        return total


def limit_w(thing: Thing, chain: Mapping[str, float | None]) -> float | None:
    """What a source can carry before it trips or shuts off, W; None where nothing says so.

    A breaker's limit is its rating times the voltage; the 80 % rule for lasting loads is advice, not a trip.
    """
    if isinstance(thing, Circuit | Strip) and thing.breaker is not None:
        volts = thing.volts if isinstance(thing, Circuit) else chain.get(thing.id)
        return thing.breaker * volts if volts else None
    if isinstance(thing, Ups):  # watts are never more than volt-amperes
        return min((each for each in (thing.carries, thing.volt_amperes) if each is not None), default=None)
    return None


UNSAID_V = 230.0
"""IEC 60038: the standard low voltage of much of the world."""


def volts_at(lab: Lab, draws: Draws) -> dict[str, float | None]:
    """The voltage at each source: what the nearest circuit says on the way up; 230 V where none does."""
    found: dict[str, float | None] = {}
    for thing in lab.of(Powered):
        if isinstance(thing, Circuit | Strip | Ups):
            says = voltage_says(lab, draws, thing.id)
            found[thing.id] = says.volts if says is not None else UNSAID_V
    return found


def voltage_says(lab: Lab, draws: Draws, source: str) -> Circuit | None:
    """The circuit that says at which voltage a source is: the nearest on the way up whose voltage was written.

    Where none was written, the nearest circuit with the voltage that was assumed for it; None where there is none.
    """
    circuits = [
        each for name in draws.chain(source) if isinstance(each := lab.things[ThingId(name)], Circuit)
    ]
    written = [each for each in circuits if "volts" in each.places]
    return next(iter((*written, *circuits)), None)


def loads(lab: Lab, draws: Draws) -> tuple[Load, ...]:
    """Every source that could be asked for more than it carries, with who draws from it.

    Sources that could carry everything even alone are left out: they never trip.
    """
    volts = volts_at(lab, draws)
    found = []
    for source in lab.things.values():
        limit = limit_w(source, volts) if isinstance(source, Circuit | Strip | Ups) else None
        if limit is None:
            continue
        rows = []
        for consumer in draws.through(source.id):
            supplies = draws.supplies[consumer]
            others = tuple(supply.id for supply in supplies if source.id not in draws.chain(supply.source))
            rows.append((draws.consumers[consumer], len(supplies) - len(others), others))
        if sum(draw for draw, _, _ in rows) > limit:
            found.append(Load(source=source.id, limit_w=limit, draws=tuple(rows)))
    return tuple(found)


def runtime_s(ups: Ups, load_w: float) -> float:
    """How long a battery carries a load, seconds.

    From its curve, linear between points and proportional to 1/load outside the largest; from its energy
    where no curve is given: t = energy * left * usable * inverter / load, less what is lost to a fast discharge
    where an `exponent` is said. With no load known, the shortest runtime that is written down.

    Source:
        `engines.battery.lasts_s`; common practice for what is not said (usable 0.8, inverter 0.9). A curve that
        was measured is to be trusted more, and counts as it is written, whatever its age.
    """
    if ups.runs:
        if load_w <= 0:
            return min(time for _, time in ups.runs)
        low = ups.runs[0]
        if load_w <= low[0]:
            return low[1]
        for (w0, t0), (w1, t1) in zip(ups.runs, ups.runs[1:], strict=False):
            if load_w <= w1:
                return t0 + (t1 - t0) * (load_w - w0) / (w1 - w0)
        most, time = ups.runs[-1]
        return time * most / load_w
    if ups.battery is not None and load_w > 0:
        return battery.lasts_s(
            ups.battery,
            load_w,
            usable=DEPTH if ups.usable is None else ups.usable,
            inverter=INVERTER if ups.inverter is None else ups.inverter,
            left=left(ups),
            rated_h=(RATED_OVER_S if ups.rated_over is None else ups.rated_over) / 3600.0,
            exponent=NO_LOSS if ups.exponent is None else ups.exponent,
        )
    return UNSAID_RUNTIME_S


def left(ups: Ups) -> float:
    """How much of its new capacity age has left a battery, 0 to 1: as said, else by its hours, else all of it."""
    if ups.left is not None:
        return ups.left
    return battery.left_after(ups.hours) if ups.hours is not None else 1.0


def ups_loss_w(ups: Ups, load_w: float) -> float | None:
    """What a battery turns into heat as it passes a load on from the mains, W; None where it says no efficiency."""
    said = ups.efficiency
    if said is None:
        return None
    if isinstance(said, str):
        limit = limit_w(ups, {})
        said = efficiency_at(LEVELS[said], load_w / limit if limit else 0.5)
    return load_w / said - load_w


def drain_per_s(ups: Ups, load_w: float) -> float:
    """The share of a full battery that a load uses in a second: one over the runtime at that load, 1/s.

    So a battery is empty once the integral of 1 / runtime(load(t)) over the time since the cut is 1. This
    takes a battery to have no memory of the loads before, which is right where its curve is; a battery that was
    worked hard gives a little less at the end.

    A load of 0 W is one that has ended: the curve's longest runtime then, and no drain where there is no curve.
    """
    if load_w <= 0:
        return 0.0 if not ups.runs and ups.battery is not None else _share(_longest(ups))
    return _share(runtime_s(ups, load_w))


def _longest(ups: Ups) -> float:
    return ups.runs[0][1] if ups.runs else UNSAID_RUNTIME_S


def _share(runtime: float) -> float:
    return 1.0 / runtime if runtime > 0 else float("inf")
