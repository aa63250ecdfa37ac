"""Which placement is the best of all, level by level, found and proved by constraint programming?

Of losses most say nothing: there is room. A loss comes into the model only when a placement that was found leaves
somebody homeless in it, and then the same level is solved again; what is left out makes bounds lower, never higher.

The library loads in half a second and only when this file is imported.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.model import Index, Model, build, variables
from falsework.engines.placing.packing import homeless
from falsework.engines.placing.problem import HARD, Impossible, Ints, Loss, Problem
from falsework.engines.placing.solver import solved
from falsework.errors import LimitError

Progress = Callable[[str, int, int], None]
"""Told the level that is worked on, its best cost so far and the bound so far."""
Losses = Mapping[frozenset[int], Sequence[Loss]]
"""Losses by the bins that are lost."""
_MOST_VARIABLES = 1_000_000
"""No more losses are brought into a model that is as large as this: about 3 GiB."""
_AT_ONCE = 1_500
"""Models that are not larger with all losses have them from the beginning: solving once is quicker than twice."""
_STEPS = 2_000
"""Steps of the packing that asks whether a loss matters; one that seems to is then settled by the model."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """What solving a model brought.

    Attributes:
        bin_of: the best placement, or None if none was found.
        cost: by level; of a part as its model counts it.
        bound: by level, as in `Placement`.
        impossible: whether it is proved that there is none.
        stopped: whether somebody stopped it before its time.
    """

    bin_of: Ints | None
    cost: tuple[int, ...]
    bound: tuple[int, ...]
    impossible: bool = False
    stopped: bool = False


def whole(
    problem: Problem,
    *,
    start: Ints | None = None,
    seconds: float,
    workers: int = 1,
    seed: int = 0,
    progress: Progress | None = None,
    at_once: int = _AT_ONCE,
) -> Found:
    """The best placement that is found in time, with what is proved of it.

    Args:
        problem: what is asked.
        start: a placement to begin with; it need not be good, nor keep every rule.
        seconds: about how long it may take.
        workers: threads for what one thread leaves open.
        seed: of the search.
        progress: told what is going on.
        at_once: the variables up to which all losses are in the model from the beginning.

    Returns:
        What was found; stopped by the keyboard, the best so far.

    Cost:
        Exponential at worst. Variables: items x bins, and again for every loss that matters.
    """
    losses: dict[frozenset[int], list[Loss]] = {}
    for loss in problem.losses:
        losses.setdefault(frozenset(loss.bins), []).append(loss)
    until = time.monotonic() + seconds
    asked = build(Index(problem), losses=())
    solving = _Solving(asked, until, workers, seed, progress)
    solving.judge = _Judge(problem, losses)
    if variables(problem) <= at_once:
        solving.bring(list(losses))
    return solving.run(start)


def refused(problem: Problem, found: Found, *, seconds: float, left: float) -> Impossible:
    """Why there is no placement, where nothing was found.

    Args:
        problem: what was asked.
        found: without a placement.
        seconds: how long it was looked for.
        left: about how long it may be asked why, seconds.

    Raises:
        KeyboardInterrupt: it was stopped before it was known.
        LimitError: neither a placement was found in time nor a proof that there is none.
    """
    if found.impossible:
        # It asks this file in turn, for parts of the problem.
        from falsework.engines.placing.why_not import why_not

        return why_not(problem, seconds=max(1.0, left)) or Impossible(because=(), smallest=False)
    if found.stopped:
        raise KeyboardInterrupt
    raise nothing_in(seconds)


def nothing_in(seconds: float) -> LimitError:
    """The error that says that the time was too short."""
    return LimitError(
        what=f"no placement was found in {seconds:g} s, nor a proof that there is none",
        mend="give it more time, or ask for less",
    )


def solve(
    asked: Model, *, start: Ints | None = None, seconds: float, workers: int = 1, seed: int = 0
) -> Found:
    """Make level after level of a model as small as can be, each as small as it was made from then on.

    Args:
        asked: the model, of a part with the losses that are looked at; it is changed.
        start: where to begin.
        seconds: for all levels.
        workers: threads for what one thread leaves open.
        seed: of the search.
    """
    return _Solving(asked, time.monotonic() + seconds, workers, seed, None).run(start)


class _Judge:
    """What a placement of the whole truly costs, losses that are not in the model included."""

    def __init__(self, problem: Problem, losses: Losses) -> None:
        self.problem = problem
        self.plain = replace(problem, losses=())
        self.waiting = dict(losses)  # not in the model yet
        self.inside: dict[frozenset[int], Sequence[Loss]] = {}
        self._seen: tuple[bytes, dict[frozenset[int], int]] = b"", {}

    def homeless(self, bin_of: Ints) -> dict[frozenset[int], int]:
        """How many find no place after each loss that waits, where there are any."""
        key = bin_of.tobytes()
        if self._seen[0] != key or not self.waiting.keys() <= self._seen[1].keys():
            self._seen = (
                key,
                {lost: len(homeless(self.problem, bin_of, lost, steps=_STEPS)) for lost in self.waiting},
            )
        return {lost: count for lost, count in self._seen[1].items() if count and lost in self.waiting}

    def missing(self, bin_of: Ints, level: int | None) -> list[frozenset[int]]:
        """The losses that would have to be in the model for this level, or an earlier one, to be right."""
        return [
            lost
            for lost in self.homeless(bin_of)
            if any(
                loss.level == HARD or (level is not None and loss.level <= level)
                for loss in self.waiting[lost]
            )
        ]

    def cost(self, bin_of: Ints, counted: Mapping[frozenset[int], int]) -> tuple[int, ...] | None:
        """By level; None if a hard loss leaves somebody homeless.

        Args:
            bin_of: keeps every other hard rule.
            counted: how many find no place after losses in the model, as the solver has it.
        """
        total = list(costs(self.plain, bin_of))
        for lost, losses in (self.waiting | self.inside).items():
            count = counted.get(lost)
            if lost in self.waiting:
                count = self.homeless(bin_of).get(lost, 0)
            elif count is None or count:
                # The solver may leave out more than it must at levels that it does not look at yet.
                packed = len(homeless(self.problem, bin_of, lost))
                count = packed if count is None else min(packed, count)
            for loss in losses:
                if loss.level == HARD and count:
                    return None
                if loss.level != HARD:
                    total[loss.level] += loss.weight * count
        return tuple(total)


class _Solving:
    def __init__(
        self, asked: Model, until: float, workers: int, seed: int, progress: Progress | None
    ) -> None:
        self.asked = asked
        self.until = until
        self.workers = workers
        self.seed = seed
        self.progress = progress
        self.judge: _Judge | None = None
        self.values: Sequence[int] = ()  # of all variables when something was found last
        self.best: tuple[tuple[int, ...], Ints] | None = None
        self.fixed: dict[int, int] = {}
        self.bound = list(asked.sure)
        self.impossible = False
        self.stopped = False

    def run(self, start: Ints | None) -> Found:
        self.impossible = self.asked.impossible
        try:
            self._through(start)
        except KeyboardInterrupt:  # outside the solver, which hears it by itself
            self.stopped = True
        cost, bin_of = (tuple(self.asked.sure), None) if self.best is None else self.best
        return Found(
            bin_of=bin_of,
            cost=cost,
            bound=self._bounds(cost),
            impossible=self.impossible,
            stopped=self.stopped,
        )

    def _through(self, start: Ints | None) -> None:
        """Settle one level after the other, as far as it goes."""
        if start is not None and not self.impossible:
            self.asked.hint(start)
            if self.judge is not None and not broken(self.judge.plain, start):
                self._offer(start, {})
        if not self.impossible:
            # The first level that costs is solved with the question whether anything is possible at all.
            for level, last in self._stages():
                if not self._settled(level, last):
                    break

    def _stages(self) -> Iterator[tuple[int | None, bool]]:
        """Every level at which something may cost, and whether it is the last; None if there is none."""
        waiting = self.judge.waiting if self.judge is not None else {}
        soft = {loss.level for losses in waiting.values() for loss in losses}
        levels: list[int | None] = [
            level for level, terms in enumerate(self.asked.terms) if terms or level in soft
        ]
        for place, level in enumerate(levels or [None]):
            yield level, place >= len(levels) - 1

    def _bounds(self, cost: Sequence[int]) -> tuple[int, ...]:
        """What was proved, as far as it was proved of placements like the one that is returned."""
        bound = list(self.asked.sure)
        for level, proved in enumerate(self.bound):
            bound[level] = min(proved, cost[level])
            if self.fixed.get(level, self.asked.sure[level]) != cost[level]:
                break
        return tuple(bound)

    def _settled(self, level: int | None, last: bool) -> bool:
        """Make a level as small as can be, and keep it so; whether to go on."""
        asked = self.asked
        while level is None or self.best is None or self.best[0][level] != asked.sure[level]:
            left = self.until - time.monotonic()
            if left <= 0 and self.best is not None:
                return False
            if level is not None and self.best is not None and not asked.terms[level]:
                found: Ints | None = self.best[
                    1
                ]  # nothing costs here but losses that are not in the model yet
            else:
                found = self._solve(level, max(left if last else 0.5 * left, 0.05))
            if found is None:
                return False
            missing = [] if self.judge is None else self.judge.missing(found, level)
            if self.stopped:
                return False
            if not missing:
                break
            if len(asked.model.proto.variables) > _MOST_VARIABLES:
                return False
            self.bring(missing)
        if level is not None and self.best is not None:
            self._fix(level, self.best[0][level])
        return True

    def bring(self, missing: Sequence[frozenset[int]]) -> None:
        """Bring losses into the model."""
        assert self.judge is not None
        touched: set[int] = set()
        for lost in missing:
            losses = self.judge.inside[lost] = self.judge.waiting.pop(lost)
            self.asked.add_loss(lost, losses)
            touched.update(loss.level for loss in losses)
        for level in touched & self.fixed.keys():
            self._fix(level, self.fixed[level])

    def _fix(self, level: int, value: int) -> None:
        self.fixed[level] = value
        self.asked.model.add(self.asked.cost(level) <= value)

    def _solve(self, level: int | None, seconds: float) -> Ints | None:
        """The best placement of a level by the model; None if it found none and there was none before."""
        asked = self.asked
        if level is not None:
            asked.model.minimize(asked.cost(level))
            if self.best is not None:
                asked.model.add(asked.cost(level) <= self.best[0][level])
        if self.values:
            asked.hint(asked.bin_of(lambda one: self.values[one.index]), self.values)
        told = None
        if self.progress is not None and level is not None:
            progress, name = self.progress, asked.problem.levels[level]

            def told(cost: int, bound: int) -> None:
                progress(name, cost, bound)

        found = solved(
            asked.model,
            asked.hinted,
            aims=level is not None,
            seconds=seconds,
            workers=self.workers,
            seed=self.seed,
            told=told,
        )
        self.stopped = found.stopped
        if found.impossible:
            self.impossible = self.best is None
            return None
        if level is not None and found.bound is not None:
            self.bound[level] = max(self.bound[level], found.bound)
        if found.values is None:
            return None if self.best is None else self.best[1]
        values = self.values = found.values
        bin_of = asked.bin_of(lambda one: values[one.index])
        counted = {
            lost: sum(self.values[one.index] for one in without.values())
            for lost, (_, without) in asked.lost.items()
        }
        self._offer(bin_of, counted)
        return bin_of

    def _offer(self, bin_of: Ints, counted: Mapping[frozenset[int], int]) -> None:
        """Keep a placement if it is better than the best so far."""
        if self.judge is not None:
            cost = self.judge.cost(bin_of, counted)
        else:
            cost = tuple(
                sure + sum(much * self.values[one.index] for one, much in terms)
                for sure, terms in zip(self.asked.sure, self.asked.terms, strict=True)
            )
        if cost is not None and (self.best is None or cost < self.best[0]):
            self.best = cost, bin_of
