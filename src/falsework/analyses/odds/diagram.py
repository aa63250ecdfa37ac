"""What stops a service, as a decision diagram over what fails by itself?

Every source of failure is a chain of variables, "out", "and for a minute", "and for an hour", for the ages that
count (`falsework.engines.staged`); a part is out for so long while one of its sources is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.analyses.odds.sources import Floats, Sources
from falsework.engines.aging import Aged
from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.flat import Flat
from falsework.engines.diagrams.limits import Limits
from falsework.engines.diagrams.probability import probability
from falsework.engines.diagrams.sensitivity import sensitivity
from falsework.engines.evaluate import Evaluator
from falsework.engines.staged import stage_effects, stages
from falsework.engines.symbolic import Side, functions
from falsework.units import YEAR_S

Numbers = Mapping[str, tuple[int, ...]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chains:
    """The variables of a diagram: for each source in turn those of its ages, one after the other.

    Attributes:
        ages: of each source, seconds, rising from 0; empty where it does not count.
        first: the variable of each source's first age, also its level; -1 where it does not count.
        count: how many variables there are.
    """

    ages: tuple[tuple[float, ...], ...]
    first: tuple[int, ...]
    count: int

    def counting(self) -> Iterator[tuple[int, int, tuple[float, ...]]]:
        """Each source that counts: its number, its first variable, its ages."""
        for number, (first, ages) in enumerate(zip(self.first, self.ages, strict=True)):
            if ages:
                yield number, first, ages


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stopped:
    """What stops one service.

    Attributes:
        diagrams: where the function lives on, for questions that need more than its arrays.
        function: true where the service is stopped.
        flat: the same, read out; one root.
        chains: its variables.
        exact: whether it is exact, or errs on the side asked for.
        grows: whether more failures never make it false; not so where it looks at few at a time.
    """

    diagrams: Diagrams
    function: Function
    flat: Flat
    chains: Chains
    exact: bool
    grows: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figures:
    """How likely and how often a diagram is true.

    Attributes:
        chance: (n_columns,) that the service is stopped.
        per_year: how often that begins; column 0.
        birnbaum: (n_sources,) how much likelier it is while a source is out than while it is not; column 0.
        down: (n_sources,) the chance that a source is out; column 0.
    """

    chance: Floats
    per_year: float
    birnbaum: Floats
    down: Floats


def stopped(
    aged: Aged,
    parts: Sequence[str],
    of_part: Numbers,
    *,
    limits: Limits,
    side: Side = "lower",
    at_most: int | None = None,
) -> tuple[Stopped, ...]:
    """A diagram for each kept gate of an aged graph: what makes it false.

    Args:
        aged: from `falsework.support.aging`.
        parts: the name of each leaf that `Aged.leaf` numbers.
        of_part: the numbers of the sources that put each part out.
        limits: what may be used.
        side: which way to err where exactness is out of reach; "lower" has the service stopped more often.
        at_most: look only at moments when so many sources are out, and have nothing stopped at any other; that
            keeps diagrams small. Then one more diagram comes last, true where more sources are out.

    Raises:
        TooLarge: a bound was hit.
    """
    chains = _chains(aged, parts, of_part)
    diagrams = Diagrams(range(chains.count), limits=limits)
    more = diagrams.false if at_most is None else _more(diagrams, chains, at_most)
    stand, exact = functions(aged.graph, _Leaves(diagrams, aged, parts, of_part, chains, more), side=side)
    found = [diagrams.negate(each) for each in stand] + ([] if at_most is None else [more])
    return tuple(
        Stopped(
            diagrams=diagrams,
            function=each,
            flat=diagrams.flat([each]),
            chains=chains,
            exact=exact and at_most is None,
            grows=at_most is None,
        )
        for each in found
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chances:
    """How likely the variables of some chains are.

    Attributes:
        chance: (n_levels, n_columns) of every variable, given those before it in its chain.
        reached: (n_levels,) how often a year the age of every variable is reached; column 0.
    """

    chance: Floats
    reached: Floats


def chances(chains: Chains, sources: Sources) -> Chances:
    """How likely every variable is."""
    columns = len(sources.sources[0].per_year) if sources.sources else 1
    chance = np.zeros((chains.count, columns))
    reached = np.zeros(chains.count)
    for number, first, ages in chains.counting():
        source = sources.sources[number]
        found = stages(source.per_year, source.outages, ages, year=YEAR_S)
        chance[first : first + len(ages)] = found.chance
        reached[first : first + len(ages)] = found.per_year[:, 0]
    return Chances(chance=chance, reached=reached)


def figures(stopped: Stopped, chances: Chances) -> Figures:
    """How likely and how often a service is stopped, and what each source has to do with it.

    Frequency: a service stops at the moment when some source reaches an age that makes the difference. Each
    source and age adds how often it is reached times what reaching it adds to the chance of being stopped
    (for age 0 this is the sum of frequency times Birnbaum importance: W. E. Vesely 1970, "A time-dependent
    methodology for fault tree evaluation", Nuclear Engineering and Design 13; L. Birolini and others since).
    """
    chains, chance = stopped.chains, chances.chance
    slope = sensitivity(stopped.flat, chance[:, :1])[0]
    birnbaum, down = np.zeros(len(chains.ages)), np.zeros(len(chains.ages))
    per_year = 0.0
    for number, first, ages in chains.counting():
        some = slice(first, first + len(ages))
        birnbaum[number], down[number] = slope[first, 0], chance[first, 0]
        if slope[some].any():
            per_year += float(stage_effects(slope[some], chance[some, :1])[:, 0] @ chances.reached[some])
    return Figures(
        chance=probability(stopped.flat, chance)[0], per_year=per_year, birnbaum=birnbaum, down=down
    )


class _Leaves:
    """The algebra of diagrams, a leaf being "no source has had this part out for so long"."""

    def __init__(
        self,
        diagrams: Diagrams,
        aged: Aged,
        parts: Sequence[str],
        of_part: Numbers,
        chains: Chains,
        more: Function,
    ) -> None:
        self._diagrams = diagrams
        self.all_of, self.any_of, self.at_least = diagrams.all_of, diagrams.any_of, diagrams.at_least
        out: dict[tuple[int, float], Function] = {}
        for number, first, ages in chains.counting():
            so_far = diagrams.true
            for variable, age in enumerate(ages, first):
                so_far = out[number, age] = diagrams.all_of([so_far, diagrams.var(variable)])
        self._leaf = [
            diagrams.any_of(
                [
                    more,
                    diagrams.negate(diagrams.any_of([out[number, age] for number in of_part[parts[leaf]]])),
                ]
            )
            for leaf, age in zip(aged.leaf.tolist(), aged.age.tolist(), strict=True)
        ]

    def constant(self, value: bool) -> Function:
        return self._diagrams.true if value else self._diagrams.false

    def leaf(self, row: int) -> Function:
        return self._leaf[row]

    def choose(self, condition: Function, then: Function, otherwise: Function) -> Function:
        # What is chosen here is monotone: `then` holds wherever `otherwise` does.
        return self.any_of([self.all_of([condition, then]), otherwise])


def stopped_by_one(
    aged: Aged, parts: Sequence[str], of_part: Numbers, *, limits: Limits
) -> tuple[Stopped, Stopped]:
    """What single sources stop the one kept gate of an aged graph, found by trying each at each of its ages.

    For graphs too large for their own diagram. Two diagrams: one true where a source that stops the gate by
    itself is out for long enough, so never where the gate is not stopped; and one true where two sources or more
    are out, which is all that the first may miss.

    Raises:
        TooLarge: a bound was hit.
    """
    chains = _chains(aged, parts, of_part)
    rows: dict[tuple[int, float], list[int]] = {}
    for row, (leaf, age) in enumerate(zip(aged.leaf.tolist(), aged.age.tolist(), strict=True)):
        for number in of_part[parts[leaf]]:
            rows.setdefault((number, age), []).append(row)
    tries: list[tuple[int, int]] = []  # variable of the first age, and of the last
    failed: list[list[int]] = [[]]  # first of all, nothing
    for number, first, ages in chains.counting():
        so_far: list[int] = []
        for variable, age in enumerate(ages, first):
            so_far = so_far + rows.get((number, age), [])
            tries.append((first, variable))
            failed.append(so_far)
    down = ~Evaluator(aged.graph).stands(failed)[0]
    shortest: dict[int, int] = {}
    for (first, last), stops in zip(tries, down[1:].tolist(), strict=True):
        if stops:
            shortest.setdefault(first, last)
    diagrams = Diagrams(range(chains.count), limits=limits)
    single = diagrams.any_of(
        [
            diagrams.all_of([diagrams.var(variable) for variable in range(first, last + 1)])
            for first, last in shortest.items()
        ]
    )
    found = (diagrams.true if down[0] else single, _more(diagrams, chains, 1))
    one, more = (
        Stopped(
            diagrams=diagrams,
            function=each,
            flat=diagrams.flat([each]),
            chains=chains,
            exact=False,
            grows=True,
        )
        for each in found
    )
    return one, more


def _more(diagrams: Diagrams, chains: Chains, at_most: int) -> Function:
    """True where more sources are out than that."""
    first = [diagrams.var(at) for _, at, _ in chains.counting()]
    return diagrams.at_least(at_most + 1, first)


def _chains(aged: Aged, parts: Sequence[str], of_part: Numbers) -> Chains:
    found: list[set[float]] = [set() for _ in range(1 + max(map(max, of_part.values()), default=-1))]
    for leaf, age in zip(aged.leaf.tolist(), aged.age.tolist(), strict=True):
        for number in of_part[parts[leaf]]:
            found[number] |= {0.0, age}
    ages = tuple(tuple(sorted(each)) for each in found)
    first, count = [-1] * len(ages), 0
    for number in _order(aged, parts, of_part):
        first[number] = count
        count += len(ages[number])
    return Chains(ages=ages, first=tuple(first), count=count)


def _order(aged: Aged, parts: Sequence[str], of_part: Numbers) -> Iterable[int]:
    """Sources as a walk down from the kept gates meets them, depth first: what is used together stands together."""
    graph = aged.graph
    found: dict[int, None] = {}
    seen = np.zeros(graph.n_gates, dtype=np.bool_)
    waiting: list[int] = [*range(graph.n_leaves), *graph.kept[::-1].tolist()]
    while waiting:
        gate = waiting.pop()
        if seen[gate]:
            continue
        seen[gate] = True
        if gate < graph.n_leaves:
            found |= dict.fromkeys(of_part[parts[int(aged.leaf[gate])]])
        else:
            waiting.extend(reversed(graph.inputs(gate)))
    return found
