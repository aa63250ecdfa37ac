"""How does each destroyed thing, data set and key come back, and why?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from math import inf

from falsework import units
from falsework.analyses.rebuild.choosing import Chosen, grown_with
from falsework.analyses.rebuild.cures import Cure
from falsework.analyses.rebuild.destroyed import Destroying, Ruin, in_lab_order
from falsework.analyses.rebuild.knowing import Knowing, Wants, open_
from falsework.analyses.rebuild.mending import Job
from falsework.analyses.rebuild.reasons import (
    gone,
    mend_of_data,
    mend_of_key,
    mend_of_stuck,
    own_circle,
    restored,
    source,
)
from falsework.analyses.rebuild.regrowing import Regrowth, data_places
from falsework.analyses.rebuild.result import Fate, Way
from falsework.analyses.rebuild.timing import Timetable
from falsework.analyses.rebuild.waiting import Circles
from falsework.analyses.rebuild.working import Labour
from falsework.errors import listed
from falsework.model.parts import Cable, Card, Controller, Drive, Outside, Part, Supply, Thing, ThingId
from falsework.model.services import Copy, Data, Secret, Service, Store
from falsework.units import Dimension


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ending:
    """All that was worked out of one loss.

    Attributes:
        ruin: the loss.
        wants, known: how data and keys may be got at, and those that can be.
        before: data and keys that could be read before the loss.
        growth: what is down.
        without: goals that never serve without stand-ins.
        picked: the stand-ins.
        done: the work.
        times: most likely.
        cures: what would help items that never serve.
    """

    ruin: Ruin
    wants: Wants
    known: frozenset[str]
    before: frozenset[str]
    growth: Regrowth
    without: frozenset[int]
    picked: Chosen
    done: Labour
    times: Timetable
    cures: Mapping[int, Cure]


def fates(destroying: Destroying, knowing: Knowing, ending: Ending) -> tuple[Fate, ...]:
    """The fates of a loss, worst first and what never comes before what comes with help, then in lab order.

    What comes along with its holder has none of its own.
    """
    return _Teller(destroying, knowing, ending).all()


class _Teller:
    def __init__(self, destroying: Destroying, knowing: Knowing, ending: Ending) -> None:
        self.destroying, self.knowing, self.ending = destroying, knowing, ending
        self.lab = destroying.lab
        self.circles: dict[bool, Circles] = {}
        self.outside = frozenset(each.id for each in self.lab.of(Outside))

    def all(self) -> tuple[Fate, ...]:
        found: list[Fate] = []
        ruin, growth = self.ending.ruin, self.ending.growth
        touched = {*ruin.destroyed, *(growth.system.names[at] for at in self.ending.without)}
        for name in touched & ruin.destroyed:
            thing = self.lab.things[ThingId(name)]
            if isinstance(thing, Copy):
                touched.add(thing.service)
        for name in in_lab_order(self.destroying, touched):
            made = self.lab.things.get(ThingId(name))
            if made is not None and not isinstance(made, Data | Secret) and self._told(made):
                found.append(self._thing(made))
        # What is untouched and can be read is as it was.
        looked_at = self.ending.before & (
            self.ending.wants.touched | (self.ending.before - self.ending.known)
        )
        for name in in_lab_order(self.destroying, looked_at):
            bit = self.lab.things[ThingId(name)]
            if isinstance(bit, Data):
                found.extend(self._data(bit))
            elif isinstance(bit, Secret):
                found.extend(self._key(bit))
        return tuple(sorted(found, key=lambda fate: (-fate.way.rank, not fate.mend)))

    def _told(self, thing: Thing) -> bool:
        ruin = self.ending.ruin
        item = self.ending.growth.item.get(thing.id)
        if isinstance(thing, Service):
            copies = self.destroying.copies_of.get(thing.id, ())
            return any(copy.id in ruin.destroyed for copy in copies) or item in self.ending.without
        if thing.id in ruin.lost:
            return True
        if thing.id not in ruin.destroyed:
            return item is not None and item in self.ending.without and isinstance(thing, Part | Store)
        if isinstance(thing, Supply | Card | Controller | Cable):
            return False
        if isinstance(thing, Drive):
            return thing.in_ is None or thing.in_.ids[0] not in ruin.destroyed
        return isinstance(thing, Part | Store)

    # -- things that are made ------------------------------------------------------------------------

    def _thing(self, thing: Thing) -> Fate:
        growth, times = self.ending.growth, self.ending.times
        items = [growth.item[thing.id]] if thing.id in growth.item else []
        back = max((times.serves_s[at] for at in items), default=0.0)
        if isinstance(thing, Service):
            items += [
                growth.item[copy.id]
                for copy in self.destroying.copies_of.get(thing.id, ())
                if copy.id in growth.item
            ]
            back = max((times.serves_s[at] for at in items), default=0.0)
        if any(at in self.ending.without for at in items):
            return self._stuck(thing, items, back)
        return Fate(
            thing=thing.id, word=thing.IS, way=Way.MADE, reasons=tuple(self._made(thing, items)), back_s=back
        )

    def _made(self, thing: Thing, items: list[int]) -> Iterator[str]:
        jobs = [job for at in items if (job := self.ending.done.job.get(at)) is not None and job.says]
        if isinstance(thing, Outside):
            yield "others see to it"
        elif jobs:
            yield self._how(thing, jobs)
        elif thing.id in self.ending.ruin.destroyed:
            yield "it comes with what it is in"
        backups = (
            self.destroying.backups_in.get(thing.id, ()) if thing.id in self.ending.ruin.destroyed else []
        )
        if backups:
            yield f"the backups of {listed(backups, 4)} that lay there are made anew from what they back up"

    def _how(self, thing: Thing, jobs: list[Job]) -> str:
        job = jobs[0]
        if isinstance(thing, Service):
            needs = thing.needs
            built = needs.mending if needs is not None else ()
            names = dict.fromkeys(each for need in built for each in need.of.ids)
            return f"made again by {listed(names, 4)}" if names else "made again from its files"
        if job.spare:
            return (
                f"a spare {job.spare} lies on the shelf"
                if job.on_shelf
                else f"another {job.spare} comes in {units.format(job.waits_s, Dimension.TIME)}"
                if job.waits_s
                else f"another {job.spare} has to be found"
            )
        return job.says

    def _stuck(self, thing: Thing, items: list[int], back: float) -> Fate:
        at = next(each for each in items if each in self.ending.without)
        growth, picked = self.ending.growth, self.ending.picked
        never = at in picked.stuck
        # What never comes waits for other things than what only comes with a stand-in.
        if never not in self.circles:
            self.circles[never] = Circles(
                growth,
                grown_with(growth, growth.offers if never else ()),
                self.destroying.service_of,
            )
        circles, cure = self.circles[never], self.ending.cures.get(at)
        return Fate(
            thing=thing.id,
            word=thing.IS,
            way=Way.STAND_IN,
            stand_ins=() if never else picked.stand_ins,
            would_do=cure.stand_ins if cure else (),
            would_keep=cure.copies if cure else (),
            mend=mend_of_stuck(cure.stand_ins, cure.copies) if cure else "",
            reasons=tuple(circles.chain_from(at)),
            circle=circles.met_from(at),
            back_s=inf if never else back,
        )

    # -- data and keys -------------------------------------------------------------------------------

    def _data(self, data: Data) -> Iterator[Fate]:
        ruin, growth = self.ending.ruin, self.ending.growth
        at = growth.item.get(data.id)
        hit = [each for each in data_places(data) if not ruin.survives(each)]
        if data.id not in self.ending.known:
            yield Fate(
                thing=data.id,
                word=data.IS,
                way=Way.ONLY_HERE,
                mend=mend_of_data(self.ending.wants, self.ending.known, data),
                reasons=tuple(gone(self.knowing, ruin, self.ending.wants, self.ending.known, data)),
                circle=own_circle(self.ending.wants, self.ending.known, data.id),
                size=data.size,
                loses_s=None,
                back_s=inf,
            )
            return
        touched = data.id in ruin.destroyed or hit or data.id in growth.restored
        if not touched and (at is None or at not in self.ending.without):
            return
        back = self.ending.times.serves_s[at] if at is not None else 0.0
        if at is not None and at in self.ending.without:
            fate = self._stuck(data, [at], back)
            number = growth.restored.get(data.id)
            yield Fate(
                thing=data.id,
                word=data.IS,
                way=Way.STAND_IN,
                source=source(data.backed_up[number], self.outside)
                if number is not None and number >= 0
                else None,
                stand_ins=fate.stand_ins,
                would_do=fate.would_do,
                would_keep=fate.would_keep,
                mend=fate.mend,
                reasons=fate.reasons,
                circle=fate.circle,
                size=data.size,
                loses_s=data.backed_up[number].every if number is not None and number >= 0 else 0.0,
                back_s=fate.back_s,
            )
        elif data.id in growth.restored:
            yield self._restored(data, growth.restored[data.id], back)
        else:
            left = [each for each in data_places(data) if ruin.survives(each)]
            lags = data.behind is not None and data_places(data)[0] in hit
            says = f"it copies itself again from what is left in {listed(left, 4)}"
            yield Fate(
                thing=data.id,
                word=data.IS,
                way=Way.MADE,
                reasons=(says, *(("that lags behind",) if lags else ())),
                size=data.size,
                loses_s=data.behind if lags else 0.0,
                back_s=back,
            )

    def _restored(self, data: Data, number: int, back: float) -> Fate:
        if number < 0:
            return Fate(
                thing=data.id,
                word=data.IS,
                way=Way.RESTORED,
                reasons=("it comes back from what was saved",),
                size=data.size,
                back_s=back,
            )
        backup = source(data.backed_up[number], self.outside)
        return Fate(
            thing=data.id,
            word=data.IS,
            way=Way.RESTORED,
            source=backup,
            reasons=tuple(restored(backup)),
            size=data.size,
            loses_s=backup.every_s,
            back_s=back,
        )

    def _key(self, key: Secret) -> Iterator[Fate]:
        ruin, growth = self.ending.ruin, self.ending.growth
        places = key.kept_in.ids if key.kept_in else ()
        at = growth.item.get(key.id)
        back = self.ending.times.serves_s[at] if at is not None else 0.0
        if key.id not in self.ending.known:
            reasons = tuple(gone(self.knowing, ruin, self.ending.wants, self.ending.known, key))
            round_ = own_circle(self.ending.wants, self.ending.known, key.id)
            if key.renewed_by is not None:
                by = listed(key.renewed_by.ids)
                yield Fate(
                    thing=key.id,
                    word=key.IS,
                    way=Way.MADE,
                    reasons=(*reasons, f"a new one comes from {by}"),
                    back_s=back,
                )
            else:
                yield Fate(
                    thing=key.id,
                    word=key.IS,
                    way=Way.ONLY_HERE,
                    mend=mend_of_key(key),
                    reasons=(*reasons, *self._opens(key)),
                    circle=round_,
                    back_s=inf,
                )
            return
        hit = [each for each in places if not ruin.survives(each)]
        if not hit:
            return
        ways = self.ending.wants.ways[key.id]
        left = [each for each, asks in ways if open_(asks, self.ending.known)]
        again = [each for each in left if each in hit]
        if "saved" in left:
            yield Fate(thing=key.id, word=key.IS, way=Way.RESTORED, reasons=("you saved it",), back_s=back)
        elif again and len(left) - len(again) < (key.enough or 1):
            yield Fate(
                thing=key.id,
                word=key.IS,
                way=Way.RESTORED,
                reasons=(f"it comes back with the data of {listed(again)}",),
                back_s=back,
            )
        else:
            kept = [each for each in left if each not in again]
            yield Fate(
                thing=key.id,
                word=key.IS,
                way=Way.MADE,
                reasons=(f"it is also kept in {listed(kept, 4)}; put it back from there",),
                back_s=back,
            )

    def _opens(self, key: Secret) -> Iterator[str]:
        """What the key opens and still stands: there is time to cut a new one."""
        still = [
            name for name in opened_by(self.lab.things.values(), key.id) if name not in self.ending.ruin.down
        ]
        if still:
            yield f"{listed(still, 4)} still {'stands' if len(still) == 1 else 'stand'}: give {'it' if len(still) == 1 else 'them'} a new key before anything restarts"


def opened_by(things: Collection[Thing], key: str) -> Iterator[str]:
    """The things that need a key to start, or to run."""
    for thing in things:
        needs = thing.needs
        if needs is not None and any(
            key in need.of.ids for need in (*needs.run_and_start, *needs.to_start, *needs.to_run)
        ):
            yield thing.id
