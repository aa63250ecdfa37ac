"""How often does each part fail, and how long is it out each time?

A part that fails is noticed, then hands come, then a spare, then it is mended; what is outside the lab is
mended by others. An alarm that stands tells at once; where the alarm fell with the part, someone has to see it.
Ranges are read as 5 to 95 percent of what is believed: rates as gamma, times as lognormal distributions.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from falsework.engines.reliability.spares import mean_wait
from falsework.engines.reliability.spread import Gamma, Spread, gamma_between, lognormal_between
from falsework.engines.reliability.waiting import mean_wait_s
from falsework.model.hours import together, weekly
from falsework.model.lab import Lab
from falsework.model.parts import Outside, Part, Supply, ThingId
from falsework.model.people import Alarm, Person
from falsework.model.services import Service
from falsework.support.standing import Standing
from falsework.units import YEAR_S, Quantity

TOLD_S = 300.0
"""Assumed from a fault to the alarm's message, where the alarm does not say."""
SEEN_S = 86_400.0
"""Assumed until someone sees a fault that no alarm told, where nobody says."""
IN_COMMON = Quantity(low=0.02, high=0.10)
"""Assumed share of failures that a batch or a firmware has in common: the beta factors that IEC 61508-6:2010,
annex D works with run from 1 to 10 percent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """Who mends.

    Attributes:
        person: id.
        hours: windows of the week when they work, seconds from Monday 00:00; empty for always.
        comes_s: until they are there, once they may work.
        sees_s: until they see a fault that no alarm told.
    """

    person: str
    hours: tuple[tuple[float, float], ...]
    comes_s: float
    sees_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """One part: how often it fails and what a repair is made of; all means, but for the distributions.

    Attributes:
        part: id.
        word: what it is.
        fails: failures a year while it works, as a distribution.
        mends: the repair itself, seconds, as a distribution.
        told: whether an alarm still leaves when this part is out.
        notices_s: until someone knows.
        comes_s: from then until hands are on site, working hours counted; 0 where none are needed.
        spare_s: from then until a spare is there, on the average of all failures.
        spare: kind of the spare, where the lab keeps or orders them; else "".
        hands: whether mending it needs hands.
        outside: others mend it.
    """

    part: str
    word: str
    fails: Spread
    mends: Spread
    told: bool
    notices_s: float
    comes_s: float
    spare_s: float
    spare: str
    hands: bool
    outside: bool

    @property
    def before_s(self) -> float:
        """From the failure to the start of the repair, seconds."""
        return self.notices_s + self.comes_s + self.spare_s

    @property
    def down_s(self) -> float:
        """How long it is out each time, seconds."""
        return self.before_s + self.mends.mean


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedCause:
    """Parts that may fail together of one cause.

    Attributes:
        name: "batch k7" or "firmware 2.1".
        parts: ids, two or more.
        share: the share of each part's failures that all of them have in common (beta factor).
        said: whether the lab file says it.
    """

    name: str
    parts: tuple[str, ...]
    share: Quantity
    said: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Spares of one kind: how many there are and how long another one takes."""

    kind: str
    spares: int
    comes_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Moving:
    """How surely a service takes over or restarts when it must.

    Attributes:
        service: id.
        stumbles: chance that it does not, when it is known to work otherwise.
        breaks_unseen: how often a year that breaks without anybody noticing.
        drilled_s: how often it is tried on purpose, seconds.
    """

    service: str
    stumbles: Quantity
    breaks_unseen: Quantity
    drilled_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lives:
    """All that is known of how parts fail and are mended.

    Attributes:
        of: each part that is not out beforehand, by id, in lab order.
        causes: what several parts have in common.
        hands: who mends.
        shelves: spares, by kind.
        moving: services, by id.
        assumed: sentences on what was assumed here.
    """

    of: Mapping[str, Life]
    causes: tuple[SharedCause, ...]
    hands: tuple[Hands, ...]
    shelves: Mapping[str, Shelf]
    moving: Mapping[str, Moving]
    assumed: tuple[str, ...]


def lives(standing: Standing) -> Lives:
    """How each part of a lab fails and is mended."""
    lab = standing.lab
    hands = tuple(_hands(person) for person in lab.of(Person))
    assumed: list[str] = []
    told, told_s = _told(standing)
    if hands:
        seen_s = min(each.sees_s for each in hands)
        if any(person.notices_in is None for person in lab.of(Person)):
            assumed.append("a fault that no alarm tells is seen within a day")
    else:
        seen_s, told_s = 0.0, 0.0
        assumed.append("nobody is named under people: a repair begins as soon as something fails")
    comes_s = _comes(hands)
    waits = _spare_waits(lab, standing.parts)
    found: dict[str, Life] = {}
    for name in standing.parts:
        part = lab.things[ThingId(name)]
        assert isinstance(part, Part)
        outside = isinstance(part, Outside)
        spare = "" if outside else _spare_of(lab, part)
        rings = told.get(name, False)
        found[name] = Life(
            part=name,
            word=part.IS,
            fails=fails(part),
            mends=mends(part),
            told=rings,
            notices_s=0.0 if outside else (told_s if rings else seen_s),
            comes_s=comes_s if part.hands and not outside else 0.0,
            spare_s=waits.get(spare, 0.0),
            spare=spare,
            hands=part.hands and not outside,
            outside=outside,
        )
    causes = shared_causes(lab, found)
    if not all(cause.said for cause in causes):
        assumed.append("parts of one batch or firmware have 2 to 10 % of their failures in common")
    return Lives(
        of=found,
        causes=causes,
        hands=hands,
        shelves={
            kind: Shelf(kind=kind, spares=each.shelf, comes_s=each.comes_in or 0.0)
            for kind, each in lab.spares.items()
        },
        moving={service.id: _moving(service) for service in lab.of(Service)},
        assumed=tuple(assumed),
    )


def fails(part: Part) -> Spread:
    """Failures a year: what is believed, corrected by what was counted.

    Source:
        The conjugate update of a gamma prior, NIST/SEMATECH e-Handbook section 8.4.6.
    """
    assert part.fails is not None
    prior = gamma_between(part.fails.low, part.fails.high)
    if part.seen is None:
        return prior
    years = part.seen.watched_s / YEAR_S
    if isinstance(prior, Gamma):
        return prior.updated(part.seen.failures, years)
    # Said exactly and counted besides: the count decides; half a failure more is Jeffreys' prior.
    return Gamma(shape=part.seen.failures + 0.5, rate=years)


def mends(part: Part) -> Spread:
    """How long the repair itself takes, seconds."""
    assert part.mends_in is not None
    return lognormal_between(part.mends_in.low, part.mends_in.high)


def hands_after_s(lab: Lab) -> float:
    """How long after a fault that no alarm tells somebody has seen it and come, on the average, seconds.

    At once where nobody is named under people, as everywhere.
    """
    hands = tuple(_hands(person) for person in lab.of(Person))
    return min(each.sees_s for each in hands) + _comes(hands) if hands else 0.0


def _hands(person: Person) -> Hands:
    return Hands(
        person=person.id,
        hours=weekly(person.works, person.place("works")) if person.works else (),
        comes_s=person.comes_in or 0.0,
        sees_s=SEEN_S if person.notices_in is None else person.notices_in,
    )


def _comes(hands: Sequence[Hands]) -> float:
    """From knowing to working on it: the wait until anybody's hours, then the way."""
    if not hands:
        return 0.0
    way = min(each.comes_s for each in hands)
    if any(not each.hours for each in hands):
        return way
    return way + mean_wait_s(together(*(each.hours for each in hands)))


def _told(standing: Standing) -> tuple[Mapping[str, bool], float]:
    """Whether an alarm still stands when each part alone is out, and how soon the fastest alarm tells."""
    alarms = standing.lab.of(Alarm)
    if not alarms:
        return {}, 0.0
    services = standing.support.services
    bells = [len(services) + services.index(alarm.id) for alarm in alarms]
    parts = standing.parts
    rows = standing.service_rows([(part,) for part in parts])[bells]
    told: dict[str, bool] = dict(zip(parts, map(any, rows.T.tolist()), strict=True))
    return told, min(TOLD_S if alarm.told_in is None else alarm.told_in for alarm in alarms)


def _spare_of(lab: Lab, part: Part) -> str:
    """The kind of spare a part takes, if the lab says anything of it."""
    return part.kind_name if part.kind_name in lab.spares else ""


def _spare_waits(lab: Lab, parts: Iterable[str]) -> Mapping[str, float]:
    """Mean wait for a spare of each kind, seconds: all parts of the kind draw on one shelf (Palm's theorem)."""
    demand: defaultdict[str, float] = defaultdict(float)
    for name in parts:
        part = lab.things[ThingId(name)]
        if isinstance(part, Part) and not isinstance(part, Supply):
            demand[_spare_of(lab, part)] += fails(part).mean / YEAR_S
    return {
        kind: float(mean_wait(spare.shelf, demand[kind], spare.comes_in or 0.0))
        for kind, spare in lab.spares.items()
    }


def shared_causes(lab: Lab, parts: Iterable[str]) -> tuple[SharedCause, ...]:
    """What several of these parts have in common, in the order of their first parts."""
    groups: defaultdict[str, list[Part]] = defaultdict(list)
    for name in parts:
        part = lab.things[ThingId(name)]
        assert isinstance(part, Part)
        if part.batch:
            groups[f"batch {part.batch}"].append(part)
        if part.firmware:
            groups[f"firmware {part.firmware}"].append(part)
    return tuple(
        SharedCause(
            name=name,
            parts=tuple(part.id for part in some),
            share=some[0].with_others or IN_COMMON,
            said=some[0].with_others is not None,
        )
        for name, some in groups.items()
        if len(some) > 1
    )


def numbered(parts: Iterable[str], causes: Iterable[SharedCause]) -> Mapping[str, tuple[int, ...]]:
    """The numbers of what puts each part out: itself, then what it shares; parts are numbered first, then causes."""
    found: dict[str, list[int]] = {part: [number] for number, part in enumerate(parts)}
    for number, cause in enumerate(causes, len(found)):
        for part in cause.parts:
            found[part].append(number)
    return {part: tuple(numbers) for part, numbers in found.items()}


def _moving(service: Service) -> Moving:
    assert service.stumbles is not None
    assert service.breaks_unseen is not None
    assert service.drilled_every is not None
    return Moving(
        service=service.id,
        stumbles=service.stumbles,
        breaks_unseen=service.breaks_unseen,
        drilled_s=service.drilled_every,
    )
