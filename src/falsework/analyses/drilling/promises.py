"""What does a plan promise that a drill can prove?"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.drilling.result import Broken, Claim, Sort
from falsework.analyses.drilling.scene import Lost, Scene, Tried
from falsework.analyses.drilling.ways import Use, Way
from falsework.analyses.verdicts import Verdict
from falsework.model.parts import Thing, ThingId
from falsework.where import Where

MOST_MEMBERS = 3_000
"""Losses that one aim may speak of and that are all looked at; beyond, only the first of those parts that are of one
kind, bear the same kinds of things, and do the same to each service."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Promise:
    """A claim, and what a drill must do to prove it.

    Attributes:
        claim: for people.
        needs: for each loss that is taken for equal and was looked at: what must be down, which spare ways must be
            used, and what it does; a drill that meets any one of these proves the claim.
        only: the one drill that can prove it (a restore, a cold start), by its key; else empty.
    """

    claim: Claim
    needs: tuple[Need, ...] = ()
    only: tuple[str, ...] = ()

    def proved_by(self, drill: Tried) -> bool:
        """Whether a drill that goes as foretold has proved it.

        All that is to be lost must be down in it, each spare way must be used just as the claim says, with just the
        same gone, and what the claim is about must fare the same.
        """
        return any(
            drill.down.issuperset(need.tried.lost)
            and all(_used(way, drill.ways) for way in need.ways)
            and all(need.tried.shown_by(drill, name) for name in self.claim.about)
            for need in self.needs
        )


def _used(way: Way, ways: frozenset[Way]) -> bool:
    """Whether a way is used just so; a source that carries still more proves that it carries this."""
    if way.use is not Use.LOAD:
        return way in ways
    return any(each.use is Use.LOAD and each.thing == way.thing and each.gone >= way.gone for each in ways)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Need:
    """One loss that would prove a claim, with the ways that must be used."""

    tried: Tried
    ways: frozenset[Way]


@dataclass(frozen=True, slots=True, kw_only=True)
class Promised:
    """What was found.

    Attributes:
        promises: in the order of the lab file.
        broken: what aims ask and the plan does not hold.
        left_out: sentences on what was not looked at.
    """

    promises: tuple[Promise, ...]
    broken: tuple[Broken, ...] = ()
    left_out: tuple[str, ...] = ()


def grouped(scene: Scene, sets: Sequence[Lost]) -> list[tuple[Tried, tuple[Lost, ...]]]:
    """Losses that nobody can tell apart together, each group by its first, in the order of those."""
    if len(sets) <= MOST_MEMBERS or any(len(each) > 1 for each in sets):
        groups: dict[object, list[Tried]] = {}
        for each in scene.tried(sets):
            groups.setdefault(each.shape, []).append(each)
        return [(some[0], tuple(each.lost for each in some)) for some in groups.values()]
    alike: dict[object, list[Lost]] = {}
    for lost in sets:
        alike.setdefault(scene.classes[lost[0]], []).append(lost)
    first = scene.tried([some[0] for some in alike.values()])
    return [(tried, tuple(some)) for tried, some in zip(first, alike.values(), strict=True)]


def promise(
    scene: Scene,
    sort: Sort,
    name: str,
    says: str,
    about: Sequence[str],
    tried: Tried,
    alike: Sequence[Lost],
    *,
    aims: Sequence[str] = (),
    worst: Verdict = Verdict.FALLS,
    proved: datetime.date | None = None,
    where: Where | None = None,
    ways: frozenset[Way] | None = None,
) -> Promise:
    """A promise about losses that are alike; without `ways`, all those below what it is about are needed."""
    cone = scene.cone(about)
    needs = []
    for lost in alike:
        each = scene.known(lost)
        if each is not None and (ways is None or each is tried):
            used = frozenset(way for way in each.ways if way.thing in cone) if ways is None else ways
            needs.append(Need(tried=each, ways=used))
    return Promise(
        claim=Claim(
            name=name,
            sort=sort,
            says=says,
            about=tuple(about),
            lost=tried.lost,
            alike=tuple(alike),
            aims=tuple(aims),
            worst=worst,
            proved=proved or proved_of(scene, alike),
            where=where,
        ),
        needs=tuple(needs),
    )


def proved_of(scene: Scene, alike: Iterable[Lost]) -> datetime.date | None:
    """When the loss of all parts of one of these was last seen to go well, by the dates of the parts."""
    return max(_proved(scene, alike), default=None)


def _proved(scene: Scene, alike: Iterable[Lost]) -> Iterator[datetime.date]:
    for lost in alike:
        dates = [_thing(scene, name).proved for name in lost if ThingId(name) in scene.lab.things]
        known = [date for date in dates if date is not None]
        if known and len(known) == len(lost):
            yield min(known)


def _thing(scene: Scene, name: str) -> Thing:
    return scene.lab.things[ThingId(name)]
