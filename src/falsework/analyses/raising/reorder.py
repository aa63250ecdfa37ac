"""Which order of the same steps leaves services on single points for the shortest time?

Steps may be exchanged wherever neither waits for the other. How the lab is after some steps does not depend on
the order in which they were done, so an exchange of two neighbours changes one moment only: the one between.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.analyses.raising.fragile import single_points
from falsework.analyses.raising.result import Doing, Moment, Plan, Step
from falsework.engines.founded.growing import Growing
from falsework.model.services import Copy
from falsework.support.building import Building, building
from falsework.support.moments import Stages, stages_of
from falsework.support.standing import Standing

MOST_ASKED = 3000
"""Moments looked at, at the most, before the best order so far is taken."""
MOST_GATES = 60_000_000
"""Gates times moments that are looked at where nobody says how many moments."""
UNSOUND = 1e6
"""What something that should stand and does not weighs, against one service on a single point."""

_TOGETHER = (Doing.FREEZE, Doing.COPY, Doing.CHECK, Doing.HAND_OVER, Doing.REPOINT)
Piece = tuple[int, ...]
"""Steps that stay together."""
Weight = Callable[[Sequence[frozenset[int]]], Sequence[float]]
"""How bad each of some moments is, a moment being told by the steps (positions) that are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Better:
    """An order of the same steps.

    Attributes:
        order: positions of the steps, in their new order.
        before, after: time times weight of the order given, and of this one; never more.
        asked: how many moments were looked at.
        settled: no exchange of neighbours, steps or runs, is left that would help; else the most were asked before.
    """

    order: tuple[int, ...]
    before: float
    after: float
    asked: int
    settled: bool


def least_fragile(
    waits: Sequence[Sequence[int]],
    seconds: Sequence[float],
    weight: Weight,
    *,
    together: Sequence[Piece] = (),
    most: int = MOST_ASKED,
    progress: Callable[[int, int], None] | None = None,
) -> Better:
    """An order with less time spent at bad moments, or the one that was given.

    The weight of a moment counts for as long as the step after it takes. Neighbours change places as long as that
    helps; then neighbouring runs do, steps each of which waits for the one before it, such as a cut-over, which
    would only be torn apart step by step.

    Args:
        waits: for each step the positions of those that must be done before; all are lower than its own.
        seconds: how long each step takes.
        weight: see `Weight`; asked once for each set of steps, many at a time.
        together: runs of steps between which nothing else may come, such as from a freeze to its hand-over.
        most: how many sets it may be asked about, at about.
        progress: called with how much of how much is done.

    Cost:
        A few moments asked for each two neighbours that may change places, and each pass.
    """
    search = _Search(waits, seconds, weight, together, most, progress)
    given = tuple(range(len(waits)))
    before = search.cost(given)
    kept, settled = search.settled(given)
    return Better(
        order=kept, before=before, after=search.cost(kept), asked=len(search.known), settled=settled
    )


class _Search:
    def __init__(
        self,
        waits: Sequence[Sequence[int]],
        seconds: Sequence[float],
        weight: Weight,
        together: Sequence[Piece],
        most: int,
        progress: Callable[[int, int], None] | None,
    ) -> None:
        self.waits = [frozenset(each) for each in waits]
        self.seconds, self.ask, self.most, self.progress = seconds, weight, most, progress
        self.known: dict[frozenset[int], float] = {}
        self.piece_of = {piece[0]: tuple(piece) for piece in together if piece}

    def look(self, some: Iterable[frozenset[int]]) -> None:
        """Learn what some moments weigh."""
        new = [done for done in dict.fromkeys(some) if done not in self.known]
        if new:
            if self.progress is not None:
                self.progress(min(len(self.known), self.most), self.most)
            self.known.update(zip(new, self.ask(new), strict=True))

    @property
    def spent(self) -> bool:
        return len(self.known) >= self.most

    def cost(self, order: Sequence[int]) -> float:
        prefixes = list(_prefixes((step,) for step in order))
        self.look(prefixes)
        return sum(self.seconds[step] * self.known[done] for step, done in zip(order, prefixes, strict=True))

    def settled(self, given: Sequence[int]) -> tuple[tuple[int, ...], bool]:
        """Neighbours, then neighbouring runs, change places until none gains by it, or the most were asked."""
        order = tuple(given)
        while not self.spent:
            before = order
            order = self.exchanged(tuple(self._pieces(order)))
            if order == before:
                order = self.exchanged(tuple(self._runs(order)))
            if order == before:
                return order, not self.spent
        return order, False

    def exchanged(self, given: Sequence[Piece]) -> tuple[int, ...]:
        """One pass along an order in pieces: each piece and the next change places where that helps."""
        pieces = list(given)
        starts = list(_prefixes(pieces))
        some = [
            done for at in range(len(pieces) - 1) for done in self._between(starts[at], *pieces[at : at + 2])
        ]
        self.look(some[: max(self.most - len(self.known), 0)])
        start = frozenset[int]()
        for at in range(len(pieces) - 1):
            one, other = pieces[at], pieces[at + 1]
            if not self.spent and self._may(one, other):
                self.look(self._between(start, one, other))
                now, then = self._part(start, (*one, *other)), self._part(start, (*other, *one))
                if then < now - 1e-9:
                    pieces[at], pieces[at + 1] = other, one
            start = start.union(pieces[at])
        return tuple(step for piece in pieces for step in piece)

    def _may(self, one: Piece, other: Piece) -> bool:
        return not any(self.waits[step].intersection(one) for step in other)

    def _between(self, start: frozenset[int], one: Piece, other: Piece) -> Iterator[frozenset[int]]:
        """Every moment on the way through two pieces, in either order; none where they may not change places."""
        if self._may(one, other):
            for way in ((*one, *other), (*other, *one)):
                yield from (start.union(way[:many]) for many in range(len(way)))

    def _part(self, start: frozenset[int], way: Sequence[int]) -> float:
        return sum(self.seconds[step] * self.known[start.union(way[:at])] for at, step in enumerate(way))

    def _pieces(self, order: Sequence[int]) -> Iterator[Piece]:
        """The order in pieces: steps that must stay together, and all others one by one."""
        at = 0
        while at < len(order):
            piece = self.piece_of.get(order[at], (order[at],))
            yield piece
            at += len(piece)

    def _runs(self, order: Sequence[int]) -> Iterator[Piece]:
        """The order in runs of pieces each of which waits for the one before it, such as a cut-over."""
        run: Piece = ()
        for piece in self._pieces(order):
            if run and run[-1] not in self.waits[piece[0]]:
                yield run
                run = ()
            run += piece
        if run:
            yield run


def _prefixes(pieces: Iterable[Piece]) -> Iterator[frozenset[int]]:
    """What is done before each piece."""
    done = frozenset[int]()
    for piece in pieces:
        yield done
        done = done.union(piece)


# -- of a plan -------------------------------------------------------------------------------------


def reorder(
    standing: Standing,
    plan: Plan,
    *,
    stages: Stages | None = None,
    most: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Plan:
    """The same steps in an order with fewer service-hours on single points that the finished lab has not.

    Args:
        standing: the finished lab.
        plan: an order of work.
        stages: the lab made ready for moments, if that was done before.
        most: moments looked at, at the most, about; if not given, so many that a large lab is not kept waiting.
        progress: called with how much of how much is done.

    Returns:
        The plan renumbered; the plan itself where nothing is gained, or where no more moments may be looked at
        than it has.
    """
    ready = stages if stages is not None else stages_of(standing)
    if most is None:
        most = min(MOST_ASKED, MOST_GATES // ready.gates.graph.n_gates)
    if len(plan.steps) < 2 or most <= len(plan.steps):
        return plan
    lab = _Built(standing, plan)
    (last,) = single_points(ready, plan.moments[-1:])
    final = {(single.part, name) for single in last for name in single.services}

    def weight(some: Sequence[frozenset[int]]) -> list[float]:
        moments = [lab.moment(sorted(done)) for done in some]
        return [
            float(
                len(
                    {
                        name
                        for single in singles
                        for name in single.services
                        if (single.part, name) not in final
                    }
                )
            )
            for singles in single_points(ready, moments)
        ]

    def sound_weight(some: Sequence[frozenset[int]]) -> list[float]:
        missing = ready.missing([lab.moment(sorted(done)) for done in some])
        return [UNSOUND if lacks else weighs for lacks, weighs in zip(missing, weight(some), strict=True)]

    lacking = sum(map(len, ready.missing(plan.moments)))
    for weighing in (weight, sound_weight):  # that everything stands is nearly always so, and dear to ask
        found = least_fragile(
            [[number - 1 for number in step.after] for step in plan.steps],
            [step.takes.likely for step in plan.steps],
            weighing,
            together=_cut_overs(plan.steps),
            most=most,
            progress=progress,
        )
        if found.order == tuple(range(len(plan.steps))):
            return plan
        better = renumbered(standing, plan, [position + 1 for position in found.order])
        if sum(map(len, ready.missing(better.moments))) <= lacking:
            return better
    return plan


def _cut_overs(steps: Sequence[Step]) -> tuple[Piece, ...]:
    """Runs of steps in which something is frozen or clients are being told: nobody does anything else meanwhile."""
    found: list[Piece] = []
    run: list[int] = []
    for position, step in enumerate(steps):
        if step.doing not in _TOGETHER or (run and steps[run[-1]].of != step.of):
            found.append(tuple(run))
            run = []
        if step.doing in _TOGETHER:
            run.append(position)
    return tuple(piece for piece in (*found, tuple(run)) if len(piece) > 1)


def renumbered(standing: Standing, plan: Plan, order: Sequence[int]) -> Plan:
    """The plan with its steps in another order.

    Args:
        standing: the finished lab.
        plan: an order of work.
        order: the numbers that the steps have now, in the order they shall have.

    Raises:
        ValueError: a step is missing or twice, or comes before one that it waits for.
    """
    number = {old: new for new, old in enumerate(order, start=1)}
    if sorted(order) != [step.number for step in plan.steps]:
        raise ValueError(f"each of {len(plan.steps)} steps once, not {list(order)}")
    for step in plan.steps:
        early = [each for each in step.after if number[each] > number[step.number]]
        if early:
            raise ValueError(f"step {step.number} waits for step {early[0]}, which would come after it")
    lab = _Built(standing, plan)
    moments = [replace(plan.moments[0])]
    steps: list[Step] = []
    owners: dict[str, str] = {}
    for new, old in enumerate(order, start=1):
        step = plan.steps[old - 1]
        owners.update(_owners_set(plan, old))
        steps.append(
            replace(
                step,
                number=new,
                after=tuple(sorted(number[each] for each in step.after)),
                owners=None if step.owners is None else dict(owners),
            )
        )
        moments.append(replace(lab.moment([each - 1 for each in order[:new]]), step=new))
    return replace(plan, steps=tuple(steps), moments=tuple(moments))


def _owners_set(plan: Plan, number: int) -> Mapping[str, str]:
    """The owners that a step changes."""
    after = plan.steps[number - 1].owners or {}
    before = plan.steps[number - 2].owners or {} if number > 1 else {}
    return {state: owner for state, owner in after.items() if before.get(state) != owner}


class _Built:
    """How the lab is once some steps of a plan are done, whatever their order."""

    def __init__(self, standing: Standing, plan: Plan) -> None:
        self.plan = plan
        self.lab = standing.lab
        self.building: Building = building(standing.lab, standing.support)
        self.names = self.building.system.names
        joins = frozenset(self.building.either.values())
        self.shown = [
            item not in joins and item not in self.building.system.costs for item in range(len(self.names))
        ]
        self.copies: dict[str, list[str]] = {}
        for copy in standing.lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy.id)
        self.start = Growing(self.building.system, free=self.building.free)
        there = sorted(plan.moments[0].built)
        self.start.begin(self.building.item[name] for name in there if name in self.building.item)

    def moment(self, done: Sequence[int]) -> Moment:
        """The moment at which these steps (positions) are done; its step is their number."""
        growing = self.start.copy()
        lent = dict.fromkeys(self.plan.moments[0].lent)
        serving = dict(self.plan.moments[0].serving)
        for position in sorted(done):
            step = self.plan.steps[position]
            before, after = self.plan.moments[position : position + 2]
            if step.doing is Doing.BRING:
                growing.begin(self._items(step.things))
            elif step.doing is Doing.LEND:
                growing.begin(self.building.item[name] for name in step.things if name in self.building.item)
                lent.update(dict.fromkeys(step.things))
            elif step.doing is Doing.RETIRE:
                for name in step.things:
                    lent.pop(name, None)
            serving.update(
                {name: who for name, who in after.serving.items() if before.serving.get(name) != who}
            )
        built = frozenset(self.names[item] for item in growing.begun if self.shown[item])
        return Moment(step=len(done), built=built, lent=frozenset(lent), serving=serving)

    def _items(self, things: Sequence[str]) -> list[int]:
        names: list[str] = []
        for name in things:
            names.extend(self.copies.get(name, (name,)))
        return [self.building.item[name] for name in names if name in self.building.item]
