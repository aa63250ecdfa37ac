"""What comes of one loss, or of several together?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from falsework.analyses.rebuild.choosing import Chosen, chosen, stuck
from falsework.analyses.rebuild.cures import cures
from falsework.analyses.rebuild.destroyed import Destroying, Ruin, in_lab_order
from falsework.analyses.rebuild.fates import Ending, fates
from falsework.analyses.rebuild.knowing import Knowing, Wants, readable
from falsework.analyses.rebuild.mending import guessed_mends
from falsework.analyses.rebuild.regrowing import Regrowing, Regrowth, data_places
from falsework.analyses.rebuild.result import Fate, Loss, Objective, Way, Work
from falsework.analyses.rebuild.timing import Hours, Timetable
from falsework.analyses.rebuild.working import Labour, labour, timetables, works
from falsework.engines.reliability.waiting import mean_wait_s
from falsework.model.declare import Record
from falsework.model.hours import Windows, together, weekly
from falsework.model.parts import ThingId
from falsework.model.people import Alarm, Person, StandIn
from falsework.model.services import Data, Secret, Service
from falsework.support.copying import Copier
from falsework.support.standing import Standing
from falsework.units import ThreePoint

TOLD_S = 300.0
"""Assumed from a loss to the alarm's message, where the alarm does not say."""
SEEN_S = 86_400.0
"""Assumed until someone sees a loss that no alarm tells, where nobody says."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grown:
    """How the lab grows again after one loss."""

    ruin: Ruin
    saved: frozenset[str]
    wants: Wants
    known: frozenset[str]
    growth: Regrowth
    without: frozenset[int]
    picked: Chosen


class Asking:
    """A lab, ready to be asked what comes of any loss."""

    def __init__(self, standing: Standing) -> None:
        self.standing, self.lab = standing, standing.lab
        self.destroying = Destroying(standing)
        self.knowing = Knowing(self.lab)
        self.regrowing = Regrowing(self.destroying, self.knowing)
        self.copier = Copier(self.lab)
        self._said: dict[int, str] = {}
        self.guessed = guessed_mends(self.lab)
        self.people = self.lab.of(Person)
        self.costs: dict[str, float] = {each.id: each.costs or 0.0 for each in self.lab.of(StandIn)}
        hours = [
            weekly(person.works, person.place("works")) if person.works else () for person in self.people
        ]
        self.windows: Windows = together(*hours) if hours and all(hours) else ()
        self.aimed = tuple(
            data for data in self.lab.of(Data) if data.may_lose is not None or data.back_within is not None
        )
        self.holders: dict[str, tuple[Data | Secret, tuple[str, ...]]] = {
            data.id: (
                data,
                (*data_places(data), *(place for each in data.backed_up for place in each.to.ids)),
            )
            for data in self.lab.of(Data)
        }
        self.holders.update(
            (key.id, (key, key.kept_in.ids if key.kept_in else ())) for key in self.lab.of(Secret)
        )
        before = self.destroying.ruins([()])[0]
        self.before = readable(self.knowing.wants(before))

    def loss(self, ruin: Ruin, *, saved: Collection[str] = ()) -> Loss:
        """Everything that comes of a loss.

        Args:
            ruin: the loss.
            saved: data and keys that were copied out of the lab beforehand.
        """
        grown = self.grown(ruin, saved)
        growth, picked = grown.growth, grown.picked
        done = labour(self.destroying, self.copier, ruin, growth, self.guessed, picked.stand_ins)
        from_s, noticed_s, assumed = self._begins(ruin, done)
        never = [at for name, at in growth.offers.items() if name not in picked.stand_ins]
        points = timetables(
            self.destroying,
            growth,
            done,
            Hours(self.windows, from_s),
            from_s=from_s,
            noticed_s=noticed_s,
            never=never,
        )
        likely, low, high = points
        listed = works(self.destroying, ruin, growth, done, likely, picked.stand_ins)
        ending = Ending(
            ruin=ruin,
            wants=grown.wants,
            known=grown.known,
            before=self.before,
            growth=growth,
            without=grown.without,
            picked=picked,
            done=done,
            times=likely,
            cures=cures(self.regrowing, ruin, growth, picked.stuck, grown.saved),
        )
        found = fates(self.destroying, self.knowing, ending)
        fallen = tuple(
            name
            for name in in_lab_order(self.destroying, ruin.down)
            if isinstance(self.lab.things.get(ThingId(name)), Service) and self.standing.baseline.back(name)
        )
        last = [
            max((each.serves_s[goal] for goal in growth.goals), default=0.0) for each in (low, likely, high)
        ]
        return Loss(
            lost=ruin.lost,
            destroyed=in_lab_order(self.destroying, ruin.destroyed),
            fallen=fallen,
            way=max((fate.way for fate in found), key=lambda way: way.rank, default=Way.MADE),
            fates=found,
            works=listed,
            back_s=ThreePoint(low=min(last[0], last[1]), likely=last[1], high=max(last[2], last[1])),
            hands_s=sum(work.hands_s for work in listed),
            objectives=tuple(self._objectives(ruin, growth, likely, found)),
            stand_ins=picked.stand_ins,
            assumed=(*assumed, *self._assumed(listed)),
        )

    def grown(self, ruin: Ruin, saved: Collection[str] = ()) -> Grown:
        """How the lab grows again; where the best backup can't be reached, from the next."""
        wants = self.knowing.wants(ruin, saved)
        known = readable(wants)
        worse: dict[str, int] = {}
        while True:
            growth = self.regrowing.regrowth(ruin, wants, known, saved=saved, worse=worse)
            without = stuck(growth, ())
            passed = [
                name
                for name, number in growth.restored.items()
                if number >= 0
                and growth.item[name] in without
                and worse.get(name, 0) + 1 < len(self.regrowing.usable(wants, known, self._data(name)))
            ]
            if not passed:
                break
            worse.update({name: worse.get(name, 0) + 1 for name in passed})
        if hopeless := [name for name in worse if growth.item[name] in without]:
            for name in hopeless:
                del worse[name]
            growth = self.regrowing.regrowth(ruin, wants, known, saved=saved, worse=worse)
            without = stuck(growth, ())
        return Grown(
            ruin=ruin,
            saved=frozenset(saved),
            wants=wants,
            known=known,
            growth=growth,
            without=without,
            picked=chosen(growth, self.costs, without),
        )

    def _data(self, name: str) -> Data:
        data = self.lab.things[ThingId(name)]
        assert isinstance(data, Data)
        return data

    def said(self, record: Record | None) -> str:
        """What a record says; looked up, since forty equal machines share it."""
        if record is None:
            return ""
        if id(record) not in self._said:
            self._said[id(record)] = repr(record)
        return self._said[id(record)]

    def _begins(self, ruin: Ruin, done: Labour) -> tuple[float, float, tuple[str, ...]]:
        """When work begins and when the loss is noticed, seconds, and what was assumed for that."""
        if ruin.planned:
            return 0.0, 0.0, ()
        if not self.people:
            return 0.0, 0.0, ("nobody is named under people: work begins at once and never rests",)
        assumed = []
        rings = [alarm for alarm in self.lab.of(Alarm) if alarm.id not in ruin.down]
        if rings:
            noticed = min(TOLD_S if each.told_in is None else each.told_in for each in rings)
        else:
            noticed = min(SEEN_S if each.notices_in is None else each.notices_in for each in self.people)
            if all(each.notices_in is None for each in self.people):
                assumed.append("a loss that no alarm tells is seen within a day")
        if not any(job.hands_s > 0 for job in done.job.values()):
            return noticed, noticed, tuple(assumed)
        way = min(each.comes_in or 0.0 for each in self.people)
        wait = mean_wait_s(self.windows) if self.windows else 0.0
        return noticed + wait + way, noticed, tuple(assumed)

    def _assumed(self, works: Sequence[Work]) -> Iterator[str]:
        guessed = sum(work.assumed for work in works)
        if guessed:
            yield f"times or speeds of {guessed} {'piece' if guessed == 1 else 'pieces'} of work were assumed"
        if self.windows and any(work.hands_s for work in works):
            yield "hands begin at the start of a window of their hours, and rest between windows"

    def _objectives(
        self, ruin: Ruin, growth: Regrowth, times: Timetable, found: Sequence[Fate]
    ) -> Iterator[Objective]:
        """Of the data that are touched, or whose services fell."""
        by_name: Mapping[str, Fate] = {fate.thing: fate for fate in found}
        for data in self.aimed:
            if data.id not in self.before:
                continue
            services = [each for each in (data.of.ids if data.of else ()) if each in growth.item]
            services = [each for each in services if self.standing.baseline.back(each)]
            fate = by_name.get(data.id)
            if fate is None and not services and data.id not in growth.item:
                continue
            ends = [times.serves_s[growth.item[each]] for each in services]
            if data.id in growth.item:
                ends.append(times.serves_s[growth.item[data.id]])
            gone = fate is not None and fate.way is Way.ONLY_HERE
            yield Objective(
                data=data.id,
                may_lose_s=data.may_lose,
                loses_s=inf if gone else fate.loses_s if fate is not None else 0.0,
                back_within_s=data.back_within,
                back_s=inf if gone else max(ends, default=0.0),
                where=data.where,
            )


def losses(asking: Asking, names: Iterable[str]) -> Loss:
    """What comes of losing these together.

    Raises:
        QuestionError: one can't be destroyed; names the nearest that can.
    """
    known = asking.destroying.known(names)
    return asking.loss(asking.destroying.ruins([known])[0])
