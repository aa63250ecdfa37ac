"""How much energy does each machine use in a year, and what does it cost?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.power.energy_result import Energy, Money, Used
from falsework.analyses.power.losing import Wiring
from falsework.analyses.power.result import Feeds
from falsework.engines.electrical import kwh_a_year
from falsework.model.parts import Outside, ThingId, Ups
from falsework.model.ratings import Tariff
from falsework.support.power import Draw, ups_loss_w
from falsework.support.standing import Standing

Amounts = NDArray[np.float64]
"""kWh at the usual, the idle and the busy draw."""


def energy(standing: Standing, sheet: Feeds) -> Energy:
    """The energy and its cost in a year of ordinary days, with nothing lost but what is out.

    A machine with supplies from two sources of power takes from each by the shares in which its supplies carry it,
    and pays what each costs. What a battery loses is counted where it says its efficiency.

    Args:
        standing: the lab.
        sheet: who carries how much, of the same lab.
    """
    year = _Year(standing)
    used = tuple(each for each in (*year.machines(), *year.losses(sheet)) if each.high_kwh > 0)
    return Energy(
        used=used,
        kwh=sum(each.kwh for each in used),
        low_kwh=sum(each.low_kwh for each in used),
        high_kwh=sum(each.high_kwh for each in used),
        costs=_together(each.costs for each in used),
        unpriced=tuple(name for name, kwh in year.unpriced.items() if kwh > 0),
        unpriced_kwh=sum(year.unpriced.values()),
    )


class _Year:
    def __init__(self, standing: Standing) -> None:
        self.lab = standing.lab
        self.draws = {draw: standing.draws(draw) for draw in (Draw.USUAL, Draw.IDLE, Draw.BUSY)}
        busy = self.draws[Draw.BUSY]
        self.wiring = Wiring(standing, busy)
        (now,) = self.wiring.shares([()])
        self.share = now.of[:, 0]
        self.origin = [busy.chain(supply.source)[-1] for supply in self.wiring.supplies]
        self.unpriced: dict[str, float] = {}

    def machines(self) -> Iterator[Used]:
        """Each machine that has power."""
        per_supply = np.array([self.wiring.per_supply(each.consumers) for each in self.draws.values()])
        taken = (per_supply * self.share).T
        first = 0
        for name in self.wiring.machines:
            end = first + len(self.draws[Draw.BUSY].supplies[name])
            if name in self.wiring.standing.out:
                first = end
                continue
            by_origin: dict[str, Amounts] = {}
            for row in range(first, end):
                origin = self.origin[row]
                by_origin[origin] = by_origin.get(origin, np.zeros(3)) + taken[row]
            yield self._used(name, by_origin, loss=False)
            first = end

    def losses(self, sheet: Feeds) -> Iterator[Used]:
        """What batteries lose of what they pass on, where they say so."""
        for feed in sheet.feeds:
            ups = self.lab.things[ThingId(feed.id)]
            if not isinstance(ups, Ups) or feed.dark:
                continue
            lost = [ups_loss_w(ups, each.watts) for each in (feed.usual, feed.idle, feed.busy)]
            if all(each is not None for each in lost):
                origin = self.draws[Draw.BUSY].chain(ups.id)[-1]
                yield self._used(ups.id, {origin: np.array(lost, dtype=float)}, loss=True)

    def _used(self, name: str, by_origin: Mapping[str, Amounts], *, loss: bool) -> Used:
        watts = sum(by_origin.values(), np.zeros(3))
        usual, idle, busy = (kwh_a_year(float(each)) for each in watts)
        costs: list[Money] = []
        for origin, each in by_origin.items():
            tariff = self._tariff(origin)
            if tariff is None:
                self.unpriced[origin] = self.unpriced.get(origin, 0.0) + kwh_a_year(float(each[0]))
            elif each[2] > 0:
                amount, low, high = (kwh_a_year(float(one)) * tariff.amount for one in each)
                costs.append(Money(currency=tariff.currency, amount=amount, low=low, high=high))
        return Used(
            name=name,
            loss=loss,
            watts=float(watts[0]),
            kwh=usual,
            low_kwh=idle,
            high_kwh=busy,
            costs=_together([costs]),
        )

    def _tariff(self, origin: str) -> Tariff | None:
        thing = self.lab.things[ThingId(origin)]
        return thing.energy_costs if isinstance(thing, Outside) else None


def _together(many: Iterable[Sequence[Money]]) -> tuple[Money, ...]:
    """Amounts of the same currency in one."""
    found: dict[str, Amounts] = {}
    for costs in many:
        for each in costs:
            amounts = np.array([each.amount, each.low, each.high])
            found[each.currency] = found.get(each.currency, np.zeros(3)) + amounts
    return tuple(
        Money(currency=currency, amount=float(amount), low=float(low), high=float(high))
        for currency, (amount, low, high) in found.items()
    )
