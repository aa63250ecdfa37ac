"""What must be true of a placement that was found, held against every placement there is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from tests.analyses.placing.small_labs import AimResult, HostOf, aims, placements

from falsework.analyses.placing import Placing
from falsework.analyses.placing.cuts import Cut, cut
from falsework.engines.placing.cost import costs
from falsework.engines.placing.problem import Ints
from falsework.model.lab import Lab
from falsework.model.rehoused import rehoused
from falsework.support.placing import Placeable, placeable
from falsework.support.standing import Standing


@dataclass(frozen=True, kw_only=True)
class Looked:
    """A lab, and the verdicts on its aims in every lawful placement."""

    lab: Lab
    asked: Placeable
    all: tuple[tuple[dict[str, str], tuple[AimResult, ...]], ...]

    @property
    def least(self) -> int | None:
        """How few aims a placement leaves broken; None where there is no placement."""
        return min((_broken(each) for _, each in self.all), default=None)

    def bins(self, host_of: HostOf) -> Ints:
        """A placement as the problem has it."""
        scene = self.asked.scene
        return np.array([scene.bin[host_of[str(copy.id)]] for copy in scene.copies], dtype=np.int64)


def looked(lab: Lab) -> Looked:
    """All placements of a lab, judged."""
    return Looked(
        lab=lab,
        asked=placeable(Standing(lab)),
        all=tuple((host_of, aims(lab, host_of)) for host_of in placements(lab)),
    )


def _broken(some: tuple[AimResult, ...]) -> int:
    return sum(1 for aim in some if aim.met is False)


def hold_aims(at: Looked, found: Placing) -> None:
    """It is lawful, its aims are as they are told, and none is broken where some placement breaks none."""
    if at.least is None:
        assert not found.host_of, "there is no placement"
        return
    assert found.possible, "there is a placement"
    told = {aim.name: aim.met for aim in found.after}
    (true,) = [each for host_of, each in at.all if host_of == dict(found.host_of)]
    assert told == {aim.name: aim.met for aim in true}
    assert at.least > 0 or not found.broken, f"all aims could be met: {[a.says for a in found.broken]}"


def hold_levels(at: Looked, found: Placing) -> None:
    """Where all aims are met, no placement that meets them all is better by the levels, and the bounds are under it."""
    if not found.levels:
        return
    cost = {tuple(host_of.items()): costs(at.asked.problem, at.bins(host_of)) for host_of, _ in at.all}
    best = min((cost[tuple(host_of.items())] for host_of, each in at.all if not _broken(each)), default=None)
    bound = tuple(level.bound for level in found.levels)
    if best is not None:
        assert tuple(level.found for level in found.levels) == best
        assert bound <= best
    today = {str(copy.id): copy.host for copy in at.asked.scene.copies}
    told = [level.today for level in found.levels]
    true = cost.get(tuple(today.items()))
    if true is None:
        assert told == [None] * len(told), "the lab as it lies breaks a rule"
    else:
        assert told[1:] == list(true[1:])
        assert told[0] is not None, "what aims were found to ask counts besides"
        assert told[0] >= true[0]


def hold_cuts(at: Looked) -> int:
    """What a broken aim asks is not kept by its own placement, but by every one that meets the aim; how many."""
    count = 0
    for host_of, each in at.all:
        for number, aim in enumerate(each):
            found = None
            if aim.met is False:
                bin_of = at.bins(host_of)
                found = cut(at.asked, Standing(rehoused(at.lab, host_of)), bin_of, aim)
            if found is None or not found.certain:
                continue
            count += 1
            assert _inside(found, at.bins(host_of)), "it is not kept by the placement that it comes from"
            for other, results in at.all:
                if results[number].met:
                    assert not _inside(found, at.bins(other)), f"{aim.says}: {found.rule}, but {other}"
                    assert found.helps, f"{aim.says}: nothing is said to help, but {other}"
    return count


def _inside(found: Cut, bin_of: Ints) -> bool:
    """Whether too many lie where not all may."""
    inside = np.isin(bin_of[list(found.rule.items)], found.rule.bins)
    return int(inside.sum()) > found.rule.most


def hold_moves(at: Looked, found: Placing) -> tuple[int, int]:
    """Aims that both ends meet are met after each move where all moves are clean; how many moves, and how many broke."""
    here = {copy: move.start for move in reversed(found.moves) for copy in [move.copy]}
    if "" in here.values():
        return 0, 0  # nobody says where some copies are today
    now = {copy: here.get(copy, host) for copy, host in found.host_of.items()}
    both = _met(aims(at.lab, now)) & _met(found.after)
    count = bad = 0
    for move in found.moves:
        if not move.end:
            return count, bad  # the verdicts know no copy that is nowhere
        assert now[move.copy] == move.start
        now[move.copy] = move.end
        count += 1
        bad += bool(both - _met(aims(at.lab, now))) and move.clean
    assert now == dict(found.host_of)
    return count, bad


def _met(some: tuple[AimResult, ...]) -> frozenset[str]:
    return frozenset(aim.name for aim in some if aim.met)
