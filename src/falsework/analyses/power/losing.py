"""What does each source carry after each loss, once nothing more trips?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.support.graph import Load, Role
from falsework.support.power import Draws
from falsework.support.standing import Standing, View

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_SLACK = 1 + 1e-9
"""Of sums of watts."""
AT_ONCE = 128
"""Losses that are looked at together; more would take memory and no less time."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shares:
    """How much of each machine's draw goes through each of its supplies, in several scenarios at once.

    Attributes:
        of: for each supply and scenario the share of its machine's draw, (n_supplies, n_scenarios).
        dark: machines without enough supplies, (n_machines, n_scenarios).
        asked: for each scenario what each source would have to carry, W, that is without power only since something
            trips: itself, or what feeds it.
        tripped: those of them that would have to carry too much, and so fall in the verdicts.
    """

    of: Floats
    dark: Bools
    asked: tuple[dict[str, float], ...]
    tripped: tuple[tuple[str, ...], ...]


class Wiring:
    """Which supplies feed which machine, and go through which source.

    Args:
        standing: the lab.
        draws: of its machines when busy.

    Attributes:
        machines: all with a supply, in lab order.
        supplies: of all machines, machine by machine.
        through: by source the numbers of the supplies whose power comes through it, in lab order of the sources.
    """

    def __init__(self, standing: Standing, draws: Draws) -> None:
        self.standing, self._draws = standing, draws
        self.machines = tuple(draws.supplies)
        self.supplies = tuple(supply for each in self.machines for supply in draws.supplies[each])
        counts = [len(draws.supplies[each]) for each in self.machines]
        self.first = np.cumsum([0, *counts[:-1]], dtype=np.intp) if counts else np.zeros(0, dtype=np.intp)
        self.of = np.repeat(np.arange(len(counts), dtype=np.intp), counts)
        rows: dict[str, list[int]] = {}
        for number, supply in enumerate(self.supplies):
            for source in draws.chain(supply.source):
                rows.setdefault(source, []).append(number)
        self.through = {name: np.array(each, dtype=np.intp) for name, each in rows.items()}
        self.enough = np.array([draws.enough(each) for each in self.machines], dtype=np.intp)
        self._loads: dict[str, Load] = {load.source: load for load in standing.support.loads}
        self._up = [standing.gates.up[supply.id] for supply in self.supplies]

    def per_supply(self, amounts: dict[str, float]) -> Floats:
        """An amount of each machine, such as its draw, at each of its supplies."""
        return np.array([amounts.get(each, 0.0) for each in self.machines], dtype=float)[self.of]

    def shares(self, lost: Sequence[tuple[str, ...]]) -> Iterator[Shares]:
        """The shares after each loss, `AT_ONCE` of them at a time.

        The verdicts say which supplies stand: they let a source fall that would have to carry too much, and look
        again until nothing more falls. Supplies that stand share their machine's draw equally; a machine without
        enough of them is counted as if it still drew all it needs, the careful reading.
        """
        for at in range(0, len(lost), AT_ONCE):
            some = lost[at : at + AT_ONCE]
            views = self.standing.views(some)
            up = np.array([view.column[self._up] for view in views], dtype=bool).reshape(len(some), -1).T
            count = np.add.reduceat(up.astype(float), self.first, axis=0) if len(self.first) else up * 1.0
            of = np.divide(up, count[self.of], out=np.zeros(up.shape), where=up)
            dark = count < self.enough[:, None]
            asked = tuple(self._asked(view) for view in views)
            yield Shares(of=of, dark=dark, asked=asked, tripped=tuple(map(self._tripped, asked)))

    def _asked(self, view: View) -> dict[str, float]:
        if all(view.up(name) or name in view.lost for name in self._loads):
            return {}
        return {
            name: self._asked_w(view, name)
            for name in self.through
            if name in self.standing.support.things
            and not view.up(name)
            and self._has_power_but_for_trips(view, name)
        }

    def _tripped(self, asked: dict[str, float]) -> tuple[str, ...]:
        return tuple(
            name
            for name, watts in asked.items()
            if (load := self._loads.get(name)) is not None and watts > load.limit_w * _SLACK
        )

    def _has_power_but_for_trips(self, view: View, name: str) -> bool:
        """Whether nothing is lost that a source stands on; what feeds it may have tripped too."""
        for each in self._draws.chain(name):
            if each in view.lost:
                return False
            for number, lean in enumerate(self.standing.support.things[each].leans):
                if lean.role is not Role.POWER and not view.lean_holds(each, number):
                    return False
        return True

    def _asked_w(self, view: View, name: str) -> float:
        """What a source would have to carry if it still stood, W.

        The verdicts count every supply behind a source as standing, since what stands may only ever help: so a
        circuit whose strip is lost may fall there as if that strip still drew. Here what is lost draws nothing.
        """
        total = 0.0
        for machine in self._draws.through(name):
            mine = others = 0
            for supply in self._draws.supplies[machine]:
                chain = self._draws.chain(supply.source)
                if name not in chain:
                    others += view.up(supply.id)
                elif not view.lost.intersection((supply.id, *chain[: chain.index(name)])):
                    mine += 1
            if mine:
                total += self._draws.consumers[machine] * mine / (mine + others)
        return total
