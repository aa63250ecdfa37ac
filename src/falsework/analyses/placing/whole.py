"""Where should each copy run, so that the aims are met, little can go wrong and little has to move?"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from falsework.analyses.aims import AimResult
from falsework.analyses.placing.changes import Mended, mended
from falsework.analyses.placing.cuts import Cut, cut
from falsework.analyses.placing.judging import judged
from falsework.analyses.placing.moving import moved
from falsework.analyses.placing.rehousing import worst
from falsework.analyses.placing.result import Filled, Level, Placing, Reason
from falsework.analyses.placing.telling import so_far
from falsework.analyses.placing.why import reasons
from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.place import place
from falsework.engines.placing.problem import NOWHERE, Impossible, Ints, Placement, Problem
from falsework.engines.placing.why_not import contradiction
from falsework.model.lab import Lab
from falsework.model.rehoused import rehoused
from falsework.support.placing.amounts import CORE, CORES, DISK, MEMORY, MIB, RESOURCES, UNBOUND
from falsework.support.placing.whole import AIMS, LEVELS, Placeable, insisting, placeable
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]
MOST_ROUNDS = 12
"""Placements that are judged before the best so far must do."""
LEAST_WHY_S, LONGEST_WHY_S = 5.0, 30.0
"""How long it is asked why nothing does, and how long what would help; half the time of the search, between these."""


def place_lab(
    standing: Standing,
    *,
    seconds: float = 60.0,
    workers: int = 2,
    progress: Progress | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> Placing:
    """The best placement that can be found in the time, judged by the verdicts themselves.

    The problem of items and bins knows what a loss takes away as the lab is placed today, and only what a service's
    own copies do. So what it finds is judged by the whole graph; an aim that is not met then says what must be
    otherwise, and the search goes on (counterexamples as cuts), until all is met or nothing new is said.

    Args:
        standing: the lab; parts that are out stay out, and nothing is placed there.
        seconds: for the search; judging comes on top.
        workers: threads.
        progress: told of each round.
        stopped: whether somebody has had enough; asked after each round, so that the best so far is what is told.

    Raises:
        LimitError: the lab is too large for the memory.
    """
    began = time.monotonic()
    say = progress or (lambda what, done, of: None)
    say("seeing which copies could run elsewhere", 0, 1)
    asked = placeable(standing)
    say("judging the aims as it is placed today", 0, 1)
    before = judged(standing)
    best: _Proposal | None = None
    cuts: dict[tuple[tuple[int, ...], tuple[int, ...]], Cut] = {}
    hopeless: list[Cut] = []
    impossible: Impossible | None = None
    rounds, bound = 0, (0,) * len(LEVELS)
    while asked.problem.n_items and rounds < MOST_ROUNDS:
        left = seconds - (time.monotonic() - began)
        if best is not None and left <= 0:
            break
        problem = with_cuts(asked.problem, cuts.values())
        say("looking for a placement", rounds, MOST_ROUNDS)
        found = place(
            problem, seconds=max(left, 1.0), workers=workers, progress=_best_so_far(say, began, seconds)
        )
        rounds += 1
        if isinstance(found, Impossible):
            impossible = found
            break
        say("judging the aims as it would be placed", rounds, MOST_ROUNDS)
        proposal = _judged(asked, standing, found)
        if best is None or proposal.worse <= best.worse:
            best = proposal
        if all(each.certain for each in cuts.values()):
            bound = found.bound
        broken_now = [aim for aim in proposal.after if aim.met is False]
        made = [cut(asked, proposal.standing, found.bin_of, aim) for aim in broken_now]
        hopeless = hopeless or [each for each in made if each is not None and each.certain and not each.helps]
        new = {each.key: each for each in made if each is not None and each.helps and each.key not in cuts}
        if not new:
            break
        cuts |= new
        if stopped():
            break
    after = before if best is None else best.after
    if best is not None and _quick(standing.lab) is not standing.lab:
        say("judging all aims as it would be placed", rounds, MOST_ROUNDS)
        after = judged(Standing(rehoused(standing.lab, _host_of(asked, best.found.bin_of)), out=standing.out))
    asked = _insisted(asked, [each for each in cuts.values() if each.certain])
    looked = _Looked(best=best, bound=bound, impossible=impossible is not None, hopeless=tuple(hopeless))
    return _whole(asked, before, after, looked, rounds, began, seconds)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Looked:
    """What the search came to.

    Attributes:
        best: the best placement; None where there is none.
        bound: by level, from a round whose cuts were all certain.
        impossible: whether nothing keeps the hard rules.
        hopeless: cuts that no placement keeps.
    """

    best: _Proposal | None
    bound: tuple[int, ...]
    impossible: bool
    hopeless: tuple[Cut, ...]


def _insisted(asked: Placeable, cuts: Sequence[Cut]) -> Placeable:
    """The lab's problem, and what its aims were found to ask besides."""
    named = {**asked.named, **{each.rule.name: each.aim.where for each in cuts}}
    return replace(asked, problem=with_cuts(asked.problem, cuts), named=named)


def with_cuts(problem: Problem, cuts: Iterable[Cut]) -> Problem:
    """The same problem, and what aims that were broken ask of it."""
    return replace(problem, at_most=(*problem.at_most, *(each.rule for each in cuts)))


def _best_so_far(
    say: Progress, began: float, seconds: float
) -> Callable[[tuple[int, ...], tuple[int, ...], float], None]:
    """Tells the best so far and its bound, beside the seconds that have gone."""

    def told(cost: tuple[int, ...], bound: tuple[int, ...], _: float) -> None:
        gone = min(time.monotonic() - began, seconds)
        say(f"looking for a placement: {so_far(cost, bound)}", round(gone), round(seconds))

    return told


def _quick(lab: Lab) -> Lab:
    """The lab without what takes long to judge and says nothing about a placement: times in a year, and the build."""
    aims = tuple(aim for aim in lab.aims if aim.out_under is None and not aim.during_build)
    return lab if not lab.order and len(aims) == len(lab.aims) else replace(lab, aims=aims, order=())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Proposal:
    """A placement, the lab as it would be with it, and its aims."""

    found: Placement
    standing: Standing
    after: tuple[AimResult, ...]
    costs: tuple[int, ...]

    @property
    def worse(self) -> tuple[int, ...]:
        """Smaller is better: aims that are not met, then the levels as they were before any cut."""
        return (sum(1 for aim in self.after if aim.met is False), *self.costs)


def _judged(asked: Placeable, standing: Standing, found: Placement) -> _Proposal:
    lab = _quick(rehoused(standing.lab, _host_of(asked, found.bin_of)))
    placed = Standing(lab, out=standing.out)
    return _Proposal(
        found=found, standing=placed, after=judged(placed), costs=costs(asked.problem, found.bin_of)
    )


def _host_of(asked: Placeable, bin_of: Ints) -> dict[str, str]:
    return {
        str(copy.id): asked.scene.hosts[int(at)] for copy, at in zip(asked.scene.copies, bin_of, strict=True)
    }


def _whole(
    asked: Placeable,
    before: tuple[AimResult, ...],
    after: tuple[AimResult, ...],
    looked: _Looked,
    rounds: int,
    began: float,
    seconds: float,
) -> Placing:
    best, levels = looked.best, tuple[Level, ...]()
    bin_of, problem = asked.today, asked.problem
    if best is not None:
        bin_of, levels = best.found.bin_of, _levels(asked, best.found.bin_of, looked.bound)
        problem = insisting(asked.problem)
    some = min(LONGEST_WHY_S, max(seconds / 2, LEAST_WHY_S))
    unmet = looked.impossible or (best is not None and best.worse[0] > 0 and bool(levels[AIMS].found))
    cause = contradiction(problem, seconds=some) if unmet else None
    help_ = Mended(says=(), complete=True) if cause is None else mended(asked, problem, cause, seconds=some)
    return Placing(
        host_of={} if best is None else _host_of(asked, bin_of),
        memory={
            str(copy.id): float(taken) * MIB
            for copy, taken in zip(asked.scene.copies, asked.problem.size[:, MEMORY], strict=True)
        },
        levels=levels,
        moves=() if best is None else moved(asked, bin_of),
        filled=tuple(_filled(asked, bin_of)),
        worst=None if best is None else worst(asked, bin_of),
        before=before,
        after=after,
        rounds=rounds,
        why_not=tuple(_hopeless(looked.hopeless)) if cause is None else reasons(asked, cause),
        smallest=bool(looked.hopeless) if cause is None else cause.smallest,
        would_do=help_.says,
        all_tried=help_.complete,
        seconds=time.monotonic() - began,
    )


def _hopeless(cuts: Sequence[Cut]) -> Iterator[Reason]:
    """An aim that is broken wherever the copies are: one is enough to say why not."""
    for each in cuts[:1]:
        says = f"aim {each.aim.name!r}: {each.aim.says}, wherever the copies are"
        yield Reason(says=says, where=each.aim.where)


def _levels(asked: Placeable, bin_of: Ints, bound: tuple[int, ...]) -> tuple[Level, ...]:
    found, today = costs(asked.problem, bin_of), None
    if (asked.today != NOWHERE).all() and not broken(asked.problem, asked.today):
        today = costs(asked.problem, asked.today)
    return tuple(
        Level(
            name=name,
            today=None if today is None else today[number],
            found=found[number],
            bound=min(bound[number], found[number]),
        )
        for number, name in enumerate(LEVELS)
    )


def _filled(asked: Placeable, bin_of: Ints) -> Iterator[Filled]:
    problem = asked.problem
    unit = {CORES: 1.0 / CORE, MEMORY: MIB, DISK: MIB}
    for number, host in enumerate(asked.scene.hosts):
        told = [at for at in range(len(RESOURCES)) if problem.capacity[number, at] < UNBOUND // 2]
        there = np.flatnonzero(bin_of == number)
        yield Filled(
            host=host,
            copies=tuple(str(asked.scene.copies[item].id) for item in there),
            before=tuple(str(asked.scene.copies[item].id) for item in np.flatnonzero(asked.today == number)),
            used={RESOURCES[at]: float(problem.size[there, at].sum()) * unit.get(at, 1.0) for at in told},
            has={RESOURCES[at]: float(problem.capacity[number, at]) * unit.get(at, 1.0) for at in told},
        )
