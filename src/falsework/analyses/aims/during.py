"""Does an aim hold after every step of the hand-written order too?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice
from math import comb

import numpy as np
from numpy.typing import NDArray

from falsework import units
from falsework.analyses.aims.result import AimResult, about, open_aim
from falsework.analyses.order import Order
from falsework.analyses.raising.result import Moment
from falsework.analyses.verdicts import Verdict, data_of
from falsework.model.parts import ThingId
from falsework.model.people import Aim, StandIn
from falsework.model.services import Data
from falsework.support.moment_times import moment_times
from falsework.support.moments import Stages, owner_of, stages_of
from falsework.support.standing import Standing
from falsework.units import Dimension

MOST_SETS = 500_000
"""Sets of parts, over all moments, that one aim may ask about; beyond, it stays open and says so."""
_CHUNK = 4096

Lost = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bad:
    """A loss that may break the aim at a moment: what it does to each service and data set that is asked about."""

    lost: Lost
    verdicts: NDArray[np.int8]
    gone: tuple[str, ...]


def during(aim: Aim, standing: Standing, order: Order) -> AimResult:
    """Whether losing what the aim names, after any step, does no worse to what serves then than it allows.

    What does not serve yet is not judged, nor data whose service is not there. State that a stand-in owns is lost
    with it. A copy on a pool whose host of today is not there yet runs somewhere else, nobody knows where: it counts
    as uninterrupted where it comes back.
    """
    if not order.moments:
        return open_aim(aim, "it must hold during the build; write the steps of the build under order")
    if aim.lose is None or aim.told:
        return open_aim(aim, "only what is lost can be judged after every step; give it lose and at most")
    if aim.at_most == "stands":
        return open_aim(aim, "after every step only thin and worse can be judged; let it be at most thin")
    stages = stages_of(standing)
    tried = sum(comb(len(_candidates(aim, stages, moment)), aim.at_once) for moment in order.moments)
    if tried > MOST_SETS:
        return open_aim(
            aim, f"{tried:,} sets of parts over all steps are more than {MOST_SETS:,}; name fewer"
        )
    for number, moment in enumerate(order.moments):
        found = _witness(aim, stages, moment)
        if found is not None:
            return _broken(aim, standing, number, *found, tried=tried)
    return AimResult(
        name=aim.name,
        met=True,
        says=f"it holds after every step of the order ({tried:,} losses looked at)",
        where=aim.where,
        tried=tried,
    )


def _candidates(aim: Aim, stages: Stages, moment: Moment) -> list[str]:
    """What the aim names that is there, drives for a store."""
    named = stages.standing.known(name for name in _lose(aim) if name not in stages.covers)
    there = set(stages.can_fail(moment))
    lent = [name for name in _lose(aim) if name in stages.covers]
    return [name for name in (*named, *lent) if name in there]


def _lose(aim: Aim) -> tuple[str, ...]:
    return aim.lose.ids if aim.lose is not None else ()


def _witness(aim: Aim, stages: Stages, moment: Moment) -> tuple[Lost, str, str] | None:
    """The loss that breaks the aim at a moment, what it hits, and how, in words."""
    asked = _Asked(aim, stages, moment)
    for bad in sorted(asked.bad(), key=lambda each: (-int(each.verdicts.max(initial=0)), not each.gone)):
        if bad.gone:
            return bad.lost, bad.gone[0], "is gone, and no backup of it survives"
        hit = asked.counts(bad)
        if hit is not None:
            return bad.lost, *hit
    return None


class _Asked:
    """One aim at one moment."""

    def __init__(self, aim: Aim, stages: Stages, moment: Moment) -> None:
        self.aim, self.stages, self.moment = aim, stages, moment
        self.on = stages.on(moment)
        self.services, self.data = about(aim, stages.standing)
        self.rows = [stages.services.index(name) for name in self.services]
        self.keepings = list(stages.standing.support.keepings)
        count = len(stages.services)
        base = stages.service_rows(self.on[:, None])[:, 0]
        self.up, self.back, self.kept = base[:count], base[count : 2 * count], base[2 * count :]
        held = data_of(stages.standing)
        self.of_service = {
            name: [kept for kept in held.get(name, ()) if self._is_kept(kept.removeprefix("kept:"))]
            for name in self.services
        }
        self.asked_data = [name for name in self.data if self._is_kept(name)]
        self.lent = self._lent_state()

    def _is_kept(self, data: str) -> bool:
        """Whether data is there, in its permanent home: some service of it is its own owner, and it is kept now."""
        thing = self.stages.standing.lab.things[ThingId(data)]
        services = thing.of.ids if isinstance(thing, Data) and thing.of else ()
        there = any(owner_of(self.moment, name) == name for name in services)
        return there and bool(self.kept[self.keepings.index(f"kept:{data}")])

    def _lent_state(self) -> list[tuple[str, str, frozenset[str]]]:
        """Data that a stand-in owns, for whom, and what it is lost with."""
        found: list[tuple[str, str, frozenset[str]]] = []
        for data in self.stages.standing.lab.of(Data):
            for service in data.of.ids if data.of else ():
                owner = owner_of(self.moment, service)
                thing = self.stages.standing.lab.things[ThingId(owner)] if owner else None
                if isinstance(thing, StandIn):
                    on = thing.on.ids if thing.on is not None else ()
                    found.append((data.id, service, frozenset((thing.id, *on))))
        return found

    def bad(self) -> Iterator[_Bad]:
        """Every loss that does more than is allowed, times not yet looked at."""
        candidates = _candidates(self.aim, self.stages, self.moment)
        least = Verdict.BLINKS if self.aim.blinks_under is not None else Verdict.LOST
        over = min(Verdict[self.aim.at_most.upper()] + 1, least)
        sets = combinations(candidates, self.aim.at_once)
        while chunk := list(islice(sets, _CHUNK)):
            verdicts, gone = self._verdicts(chunk)
            for column in range(len(chunk)):
                if verdicts[:, column].max(initial=0) >= over or gone[column]:
                    yield _Bad(lost=chunk[column], verdicts=verdicts[:, column], gone=gone[column])

    def _verdicts(self, chunk: Sequence[Lost]) -> tuple[NDArray[np.int8], list[tuple[str, ...]]]:
        on = np.repeat(self.on[:, None], len(chunk), axis=1)
        for column, lost in enumerate(chunk):
            on[[self.stages.leaf_of(part) for part in lost], column] = False
        rows = self.stages.service_rows(on)
        count = len(self.stages.services)
        up, back, kept = rows[self.rows], rows[[count + row for row in self.rows]], rows[2 * count :]
        serves = self.back[self.rows][:, None]
        whole = up | (back & ~self.up[self.rows][:, None])
        verdicts = np.where(whole, Verdict.STANDS, np.where(back, Verdict.BLINKS, Verdict.FALLS))
        verdicts = np.where(serves, verdicts, Verdict.STANDS).astype(np.int8)
        for row, name in enumerate(self.services):
            for data in self.of_service[name]:
                verdicts[row, ~kept[self.keepings.index(data)]] = Verdict.LOST
            for column, lost in enumerate(chunk):
                if any(of == name and holders & set(lost) for _, of, holders in self.lent):
                    verdicts[row, column] = Verdict.LOST
        gone = []
        for column, lost in enumerate(chunk):
            names = [
                name for name in self.asked_data if not kept[self.keepings.index(f"kept:{name}"), column]
            ]
            names += [data for data, _, holders in self.lent if data in self.data and holders & set(lost)]
            gone.append(tuple(dict.fromkeys(names)))
        return verdicts, gone

    def counts(self, bad: _Bad) -> tuple[str, str] | None:
        """The service that a loss hits hardest, and how, if that is soon and long enough to break the aim."""
        allowed = Verdict[self.aim.at_most.upper()]
        timed = self.aim.within is not None or self.aim.blinks_under is not None
        times = moment_times(self.stages, self.moment, [bad.lost]) if timed else None
        for row in np.argsort(-bad.verdicts, kind="stable").tolist():
            verdict = Verdict(int(bad.verdicts[row]))
            falls = float(times.falls_s[self.rows[row], 0]) if times is not None else 0.0
            out = float(times.out_s[self.rows[row], 0]) if times is not None else 0.0
            late = self.aim.within is not None and verdict >= Verdict.BLINKS and falls > self.aim.within
            long = (
                verdict is Verdict.BLINKS
                and self.aim.blinks_under is not None
                and out > self.aim.blinks_under
            )
            if (verdict > allowed or long) and not late:
                return self.services[row], _words(verdict, out if long else 0.0)
        return None


def _words(verdict: Verdict, out_s: float) -> str:
    if verdict is Verdict.LOST:
        return "loses its data, and no backup survives"
    if verdict is Verdict.FALLS:
        return "falls"
    return f"blinks for {units.format(out_s, Dimension.TIME)}" if out_s else "blinks"


def _broken(
    aim: Aim, standing: Standing, number: int, lost: Lost, name: str, how: str, *, tried: int
) -> AimResult:
    steps = standing.lab.order
    when = f"after step {number} ({steps[number - 1].do})" if number else "before the first step"
    return AimResult(
        name=aim.name,
        met=False,
        says=f"{when}: lose {' and '.join(lost)}: {name} {how}",
        why=(f"step {number} is at {steps[number - 1].where}",) if number else (),
        where=aim.where,
        tried=tried,
        kind="during",
    )
