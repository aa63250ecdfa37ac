"""Which probes should there be, so that any two single failures can be told apart before anything failed?

A failure is told by which probes it takes away. Failures that hurt a service are to be told from each other and from
nothing; those that only take a spare copy are to be seen at all, or the spare is half dead and nobody knows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.diagnosis.candidates import LAMPS, SWAPPED
from falsework.analyses.diagnosis.proposals import Proposal, proposals
from falsework.analyses.diagnosis.watched import Watched
from falsework.engines.diagnosing.telling_apart import tell_apart
from falsework.model.services import Copy
from falsework.support.blast import InBlast, answered, in_blast
from falsework.support.standing import Standing

Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Parts whose loss no probe can tell apart.

    Attributes:
        parts: any of them.
        looks: parts at whose lamps, or in whose place, one has to look to tell them apart as far as that goes.
        still: those that even so can't be told from each other.
    """

    parts: tuple[str, ...]
    looks: tuple[str, ...]
    still: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfDead:
    """A copy that can be dead without any probe seeing it, since its service answers with another.

    Attributes:
        copy: its name.
        service: whose.
        parts: those whose loss takes it, and shows nowhere.
    """

    copy: str
    service: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbePlan:
    """Which probes to add.

    Attributes:
        probes: those that the lab file has, and of which it is known what they see.
        add: the fewest that tell apart what any can.
        least: fewer than this would not do.
        faults: how many parts are looked at: those whose loss hurts a service.
        told_now, told_then: into how many groups the probes that there are part them, and those then.
        together: parts that no probe can tell apart.
        in_blast: probes that fall with what they see.
        half_dead: copies that no probe sees now.
        unseen: parts whose loss hurts a service, and that no probe shows now.
    """

    probes: tuple[str, ...]
    add: tuple[Proposal, ...]
    least: int
    faults: int
    told_now: int
    told_then: int
    together: tuple[Together, ...]
    in_blast: tuple[InBlast, ...]
    half_dead: tuple[HalfDead, ...]
    unseen: tuple[str, ...]

    @property
    def fewest(self) -> bool:
        """Whether no fewer would do."""
        return len(self.add) == self.least


def plan_probes(standing: Standing, *, seconds: float = 10.0) -> ProbePlan:
    """Which probes to add, and what they still leave open.

    Args:
        standing: the lab.
        seconds: about how long may be searched for the fewest.

    Cost:
        One run over all single losses, and a cover of all pairs of failures that are not told apart yet.
    """
    possible = proposals(standing)
    lab = Watched(standing, asked=[each.question for each in possible if each.question is not None])
    scene = _Scene(lab, possible)
    cases, of_part = scene.cases()
    wanted = scene.hurts[cases]
    there = [number for number, each in enumerate(possible) if each.there]
    answers = np.concatenate((np.array([scene.none]).T, scene.answers[:, cases]), axis=1)
    found = tell_apart(
        answers,
        [each.rank for each in possible],
        asked=there,
        wanted=np.concatenate(([False], wanted)),
        seconds=seconds,
    )
    hurting = np.flatnonzero(scene.hurts)
    return ProbePlan(
        probes=tuple(possible[number].name for number in there),
        add=tuple(possible[number] for number in found.chosen),
        least=found.least,
        faults=len(hurting),
        told_now=_groups(scene.answers[there][:, hurting]),
        told_then=_groups(scene.answers[sorted({*there, *found.chosen})][:, hurting]),
        together=tuple(_together(lab, scene, cases, of_part)),
        in_blast=tuple(in_blast(standing)),
        half_dead=tuple(_half_dead(scene, there)),
        unseen=tuple(
            scene.parts[number]
            for number in hurting.tolist()
            if (scene.answers[there, number] == scene.none[there]).all()
        ),
    )


class _Scene:
    """Every single loss, and which possible probe is answered in it."""

    def __init__(self, lab: Watched, possible: Sequence[Proposal]) -> None:
        self.lab = lab
        self.parts = lab.parts
        losses = [(part,) for part in self.parts]
        services = lab.support.services
        n = len(services)
        rows = lab.service_rows(losses)
        self.hurts: Bools = np.asarray(
            (~rows[:n] & np.array([[lab.baseline.up(each)] for each in services])).any(axis=0)
            if n
            else np.zeros(len(losses), dtype=np.bool_)
        )
        self.answers, self.none = answered(lab, losses, [each.thing for each in possible])
        self.copies = [copy for copy in lab.lab.of(Copy) if lab.baseline.back(copy.id)]
        self.spare, _ = answered(lab, losses, [copy.id for copy in self.copies])
        # A copy that moves comes back elsewhere; one that stays down while its service stands is half dead.
        self.latent: Bools = np.asarray(~self.hurts & (~self.spare).any(axis=0))

    def cases(self) -> tuple[NDArray[np.int64], Mapping[int, tuple[str, ...]]]:
        """One part for each way of showing, and all that show so; parts that show nowhere are left out."""
        matters = np.flatnonzero(self.hurts | self.latent)
        matters = matters[(self.answers[:, matters] != self.none[:, np.newaxis]).any(axis=0)]
        groups: dict[bytes, list[int]] = {}
        packed = np.packbits(self.answers[:, matters], axis=0)
        for at, number in enumerate(matters.tolist()):
            groups.setdefault(packed[:, at].tobytes() + bytes([bool(self.hurts[number])]), []).append(number)
        first = np.array([some[0] for some in groups.values()], dtype=np.int64)
        return first, {some[0]: tuple(self.parts[number] for number in some) for some in groups.values()}


def _groups(answers: Bools) -> int:
    """How many different columns there are."""
    return (
        len(np.unique(np.packbits(answers, axis=0), axis=1).T) if answers.size else min(answers.shape[1], 1)
    )


def _together(
    lab: Watched, scene: _Scene, cases: NDArray[np.int64], of_part: Mapping[int, tuple[str, ...]]
) -> Iterator[Together]:
    for case in cases.tolist():
        parts = of_part[case]
        if len(parts) > 1 and scene.hurts[case]:
            looks, still = _looks(lab, parts)
            yield Together(parts=parts, looks=looks, still=still)


def _looks(lab: Watched, parts: Sequence[str]) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """At which of these parts to look to find out which of them it is, and what stays together even so."""
    seen = [part for part in parts if lab.support.things[part].word in (*LAMPS, *SWAPPED)]
    lit, _ = answered(lab, [(part,) for part in parts], seen)
    left = [list(range(len(parts)))]
    chosen: list[str] = []
    for name, row in zip(seen, lit, strict=True):
        parted = [
            half
            for group in left
            for half in ([at for at in group if row[at]], [at for at in group if not row[at]])
            if half
        ]
        if len(parted) > len(left):
            chosen.append(name)
            left = parted
    return tuple(chosen), tuple(tuple(parts[at] for at in group) for group in left if len(group) > 1)


def _half_dead(scene: _Scene, there: Sequence[int]) -> Iterator[HalfDead]:
    shows = (scene.answers[there] != scene.none[there][:, np.newaxis]).any(axis=0)
    for row, copy in zip(scene.spare, scene.copies, strict=True):
        hidden = np.flatnonzero(~row & ~scene.hurts & ~shows).tolist()
        if hidden:
            yield HalfDead(copy=copy.id, service=copy.service, parts=tuple(scene.parts[at] for at in hidden))
