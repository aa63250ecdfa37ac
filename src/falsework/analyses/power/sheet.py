"""Who carries how much, at idle, on an ordinary day, at the busiest and after each loss?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.power.assumed import FACTOR, taken
from falsework.analyses.power.losing import Shares, Wiring
from falsework.analyses.power.naming import losses
from falsework.analyses.power.result import AfterLoss, Carried, Feed, Feeds, Limits, Lost
from falsework.analyses.power.supplies import cords, supplied
from falsework.engines.electrical import CONTINUOUS_SHARE, amperes, apparent_va
from falsework.model.parts import Circuit, Drive, Enclosure, Node, Powered, Strip, Switch, ThingId, Ups
from falsework.support.power import UNSAID_V, Draw, drawn_w, limit_w, voltage_says, volts_at
from falsework.support.standing import Standing

Floats = NDArray[np.float64]
_NOISE_W = 1e-6
"""Of sums of watts."""


def feeds(standing: Standing, *, lose: Sequence[str] = ()) -> Feeds:
    """Who carries how much, and what machines get from their supplies.

    Args:
        standing: the lab; parts out beforehand stay out.
        lose: parts, or words such as `strip` for all parts that are one; each is lost alone. Where none is said,
            every circuit, strip, battery and supply, and what power comes from outside.

    Raises:
        QuestionError: a name is no part and no word.

    Cost:
        O(supplies x losses), after the verdicts of all losses.
    """
    return _Sheet(standing).made(losses(standing, lose), asked=bool(lose))


@dataclass(slots=True)
class _Worst:
    """The loss that asks most of a source, so far."""

    lost: str = ""
    watts: float = 0.0
    volt_amperes: float = 0.0
    measure: float = 0.0
    trips: bool = False
    last: bool = False


@dataclass(slots=True)
class _Found:
    """What the losses did."""

    worst: dict[str, _Worst] = field(default_factory=dict)
    lost: list[Lost] = field(default_factory=list)


class _Sheet:
    def __init__(self, standing: Standing) -> None:
        self.standing, self.lab = standing, standing.lab
        self.draws = {draw: standing.draws(draw) for draw in Draw}
        busy = self.draws[Draw.BUSY]
        self.wiring = Wiring(standing, busy)
        self.volts = volts_at(self.lab, busy)
        self.sources = [
            thing for thing in self.lab.things.values() if isinstance(thing, Circuit | Strip | Ups)
        ]
        self.factor = {each: self._factor(each) for each in self.wiring.machines}
        self.told = {  # sources behind which every machine says its power factor
            source.id
            for source in self.sources
            if all(self.factor[each] is not None for each in busy.through(source.id))
        }
        self.watts = {draw: self.wiring.per_supply(each.consumers) for draw, each in self.draws.items()}
        self.va = {
            draw: self.wiring.per_supply(
                {name: self._va(name, watts) for name, watts in each.consumers.items()}
            )
            for draw, each in self.draws.items()
        }
        self.limits: dict[str, Limits] = {source.id: self._limits(source) for source in self.sources}

    def made(self, names: tuple[str, ...], *, asked: bool) -> Feeds:
        (now,) = self.wiring.shares([()])
        found = self._losses(now, names)
        made = tuple(self._feed(source, now, found.worst.get(source.id)) for source in self.sources)
        busy = self.draws[Draw.BUSY]
        supplies = supplied(self.standing, self.draws, self.volts)
        return Feeds(
            feeds=made,
            lost=tuple(found.lost),
            asked=asked,
            supplied=supplies,
            cords=cords(
                busy,
                self.volts,
                {name: self._va(name, watts) for name, watts in busy.consumers.items()},
            ),
            silent=self._silent(),
            taken=taken(self.lab, self.draws, made, supplies),
        )

    def _va(self, machine: str, watts: float) -> float:
        return apparent_va(watts, self.factor[machine] or FACTOR)

    def _factor(self, machine: str) -> float | None:
        thing = self.lab.things[ThingId(machine)]
        return thing.power_factor if isinstance(thing, Powered) else None

    def _limits(self, source: Circuit | Strip | Ups) -> Limits:
        watts = limit_w(source, self.volts)
        if isinstance(source, Ups):
            return Limits(watts=watts, volt_amperes=source.volt_amperes, amperes=None, lasting=1.0)
        circuit = source if isinstance(source, Circuit) else self._circuit(source)
        lasting = circuit.for_hours if circuit is not None and circuit.for_hours else CONTINUOUS_SHARE
        return Limits(watts=watts, volt_amperes=watts, amperes=source.breaker, lasting=lasting)

    def _circuit(self, source: Strip) -> Circuit | None:
        for name in self.draws[Draw.BUSY].chain(source.id):
            if isinstance(thing := self.lab.things[ThingId(name)], Circuit):
                return thing
        return None

    # -- one source ------------------------------------------------------------------------------------

    def _feed(self, source: Circuit | Strip | Ups, now: Shares, worst: _Worst | None) -> Feed:
        name = source.id
        asked = now.asked[0]
        figures = {draw: self._now(name, draw, now) for draw in Draw}
        if name in asked:  # it does not stand as it is: what it would have to carry
            figures[Draw.BUSY] = self._carried(name, asked[name], asked[name] * self._slant(name))
        says = voltage_says(self.lab, self.draws[Draw.BUSY], name)
        machines = tuple(self.draws[Draw.BUSY].through(name))
        after = None
        if worst is not None and worst.measure > self._measure(name, figures[Draw.BUSY]) + _NOISE_W:
            carried = self._carried(name, worst.watts, worst.volt_amperes)
            after = AfterLoss(lost=worst.lost, carried=carried, trips=worst.trips, last=worst.last)
        return Feed(
            id=name,
            word=source.IS,
            fed_by=source.fed_by.ids[0] if source.fed_by is not None and source.fed_by.ids else "",
            machines=machines,
            volts=self.volts[name] or UNSAID_V,
            volts_said=says is not None and "volts" in says.places,
            limits=self.limits[name],
            idle=figures[Draw.IDLE],
            usual=figures[Draw.USUAL],
            busy=figures[Draw.BUSY],
            worst=after,
            factor_said=name in self.told,
            dark=not self.standing.baseline.up(name) and name not in now.tripped[0],
            where=source.where,
        )

    def _now(self, name: str, draw: Draw, now: Shares) -> Carried:
        rows = self.wiring.through.get(name)
        if rows is None or not self.standing.baseline.up(name):
            return self._carried(name, 0.0, 0.0)
        part = now.of[rows, 0]
        return self._carried(name, float(self.watts[draw][rows] @ part), float(self.va[draw][rows] @ part))

    def _carried(self, name: str, watts: float, volt_amperes: float) -> Carried:
        volts = self.volts[name]
        return Carried(
            watts=watts,
            volt_amperes=volt_amperes,
            amperes=amperes(volt_amperes, volts) if volts else None,
            share=self._share(name, watts, volt_amperes),
        )

    def _share(self, name: str, watts: float, volt_amperes: float) -> float | None:
        shares = self._shares(name, np.array([watts]), np.array([volt_amperes]))
        return None if shares is None else float(shares[0])

    def _shares(self, name: str, watts: Floats, volt_amperes: Floats) -> Floats | None:
        """Of what a source can carry, by its watts or by its volt-amperes; None where it has no limit."""
        limits = self.limits[name]
        if not limits.watts:
            return None
        shares = watts / limits.watts
        if limits.volt_amperes and name in self.told:
            shares = np.maximum(shares, volt_amperes / limits.volt_amperes)
        return shares

    def _measure(self, name: str, carried: Carried) -> float:
        return carried.watts if carried.share is None else carried.share

    def _slant(self, name: str) -> float:
        """Volt-amperes for a watt behind a source, all its machines busy."""
        rows = self.wiring.through.get(name, np.zeros(0, dtype=np.intp))
        watts = float(self.watts[Draw.BUSY][rows].sum())
        return float(self.va[Draw.BUSY][rows].sum()) / watts if watts else 1.0

    # -- each loss -------------------------------------------------------------------------------------

    def _losses(self, now: Shares, names: tuple[str, ...]) -> _Found:
        found = _Found()
        busy = {
            name: float(self.watts[Draw.BUSY][rows] @ now.of[rows, 0])
            for name, rows in self.wiring.through.items()
        }
        at = 0
        for shares in self.wiring.shares([(name,) for name in names]):
            width = shares.of.shape[1]
            some = names[at : at + width]
            carries = [dict[str, float]() for _ in some]
            for source in self.sources:
                rows = self.wiring.through.get(source.id)
                if rows is None:
                    continue
                watts = self.watts[Draw.BUSY][rows] @ shares.of[rows]
                va = self.va[Draw.BUSY][rows] @ shares.of[rows]
                for column in np.flatnonzero(np.abs(watts - busy[source.id]) > _NOISE_W).tolist():
                    carries[column][source.id] = float(watts[column])
                self._keep_worst(found, source.id, some, watts, va, shares)
            for column, name in enumerate(some):
                standing = {**carries[column], **shares.asked[column]}
                dark = np.flatnonzero(shares.dark[:, column] & ~now.dark[:, 0])
                found.lost.append(
                    Lost(
                        lost=name,
                        word=self.standing.support.things[name].word,
                        trips=shares.tripped[column],
                        carries=tuple(
                            (source.id, standing[source.id])
                            for source in self.sources
                            if source.id in standing and standing[source.id] > 0
                        ),
                        dark=tuple(self.wiring.machines[each] for each in dark),
                    )
                )
            at += width
        return found

    def _keep_worst(
        self, found: _Found, source: str, some: Sequence[str], watts: Floats, va: Floats, shares: Shares
    ) -> None:
        """Of these losses the one that asks most of a source, where it is more than those before asked."""
        worst = found.worst.setdefault(source, _Worst())
        for column, asked in enumerate(shares.asked):
            if source in asked:
                watts[column], va[column] = asked[source], asked[source] * self._slant(source)
        measure = self._shares(source, watts, va)
        if measure is None:
            measure = watts
        column = int(np.argmax(measure))
        if measure[column] > worst.measure + 1e-12:
            tripped = shares.tripped[column]
            found.worst[source] = _Worst(
                lost=some[column],
                watts=float(watts[column]),
                volt_amperes=float(va[column]),
                measure=float(measure[column]),
                trips=source in tripped,
                last=bool(set(tripped) - {source}),
            )

    def _silent(self) -> tuple[str, ...]:
        """Machines of which nobody says what they draw: neither they, nor what they are in, nor what is in them."""
        busy = self.draws[Draw.BUSY]
        told = {
            holder
            for thing in self.lab.things.values()
            if isinstance(thing, Node | Enclosure | Switch | Drive) and drawn_w(thing, Draw.BUSY) is not None
            for holder in (thing.id, *(thing.in_.ids if thing.in_ is not None else ()))
        }
        return tuple(
            thing.id
            for thing in self.lab.things.values()
            if isinstance(thing, Node | Enclosure | Switch)
            and thing.id not in told
            and busy.fed(thing)
            and not (thing.in_ is not None and self._says(thing.in_.ids[0]))
        )

    def _says(self, holder: str) -> bool:
        return drawn_w(self.lab.things[ThingId(holder)], Draw.BUSY) is not None
