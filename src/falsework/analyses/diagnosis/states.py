"""Which sets of failures are worth asking about, and does each thing that was asked about stand in them?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.diagnosis.priors import Priors
from falsework.analyses.diagnosis.watched import Watched
from falsework.engines.classes import classes
from falsework.engines.diagnosing.likely import Sets, likely_sets
from falsework.engines.evaluate import Evaluator
from falsework.engines.scenarios import BITS, Failures
from falsework.engines.sparse import Ints, Lists, as_bools, lists_of
from falsework.engines.units import cone
from falsework.support.standing import View

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
MOST_SETS = 50_000
"""Sets of failures that are looked at."""
MOST_TIMED = 3_000
"""The same where each is timed."""
_TIMED_AT_ONCE = 64
_SURE = 690.0
"""Logarithm of odds that no number grows beyond."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Event:
    """Something that may have happened by itself.

    Attributes:
        parts: one of them failed, or more: they are alike in all that was asked, the likeliest first; of a shared
            cause, all of them.
        shared: the name of the shared cause; empty for parts by themselves.
        chances: of each part, that it failed by itself; of a shared cause its one chance.
        lost: the parts whose loss does what the event does.
    """

    parts: tuple[str, ...]
    shared: str
    chances: tuple[float, ...]
    lost: tuple[str, ...]

    @property
    def shares(self) -> tuple[float, ...]:
        """Of each part the chance that it is among those that failed, given that it happened."""
        whole = -float(np.expm1(self._log_not))
        return tuple(1.0 if self.shared else min(chance / whole, 1.0) for chance in self.chances)

    @property
    def odds(self) -> float:
        """Of having happened against not."""
        return float(np.expm1(min(-self._log_not, _SURE)))

    @property
    def _log_not(self) -> float:
        """The logarithm of the chance that none of it happened: so the small ones, which most are, keep their digits."""
        return float(np.log1p(-np.array(self.chances)).sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class States:
    """Sets of events, and what stands in each.

    Attributes:
        events: those that matter for what was asked.
        sets: of events, by their number.
        stands: bool (n_asked, n_sets).
    """

    events: tuple[Event, ...]
    sets: Sets
    stands: Bools


def events_of(standing: Watched, priors: Priors, things: Sequence[str], *, merged: bool) -> tuple[Event, ...]:
    """What may have happened that matters for these things; parts that do the same are one event.

    Args:
        standing: the lab with its probes.
        priors: the chances.
        things: what was asked about.
        merged: whether parts may be one event; not where moments matter, which may differ though ends do not.
    """
    rows = np.unique([standing.gates.back[thing] for thing in things])
    graph = standing.gates.graph
    watched = graph.kept[rows].astype(np.int64)
    inside = cone(graph, watched)[: graph.n_leaves]
    of_leaf: Ints = np.arange(graph.n_leaves)
    if merged:
        known = classes(graph, watched)
        of_leaf = known.of_leaf
        # Leaves that nothing asked about leans on do nothing; those that are alike with them neither.
        inside = ~np.isin(of_leaf, np.unique(of_leaf[~inside]))
    groups: dict[int, list[str]] = {}
    for leaf in np.flatnonzero(inside).tolist():
        name = graph.leaf_names[leaf]
        if priors.alone.get(name, 0.0) > 0.0:
            groups.setdefault(int(of_leaf[leaf]), []).append(name)
    for names in groups.values():
        names.sort(key=lambda name: -priors.alone[name])
    found = [
        Event(
            parts=tuple(names),
            shared="",
            chances=tuple(priors.alone[name] for name in names),
            lost=(names[0],),
        )
        for names in groups.values()
    ]
    for name, parts, chance in priors.shared:
        matters = [part for part in parts if inside[standing.leaf[part]]]
        if matters and chance > 0.0:
            found.append(Event(parts=parts, shared=name, chances=(chance,), lost=tuple(matters)))
    return tuple(found)


def likely_states(odds: Floats, harm: Floats, *, timed: bool) -> Sets:
    """The likeliest sets of events, those that speak against what is known put back.

    Args:
        odds: (n_events,) of what may have happened.
        harm: (n_events,) by how much each makes what is known less likely at least.
        timed: whether each set is to be timed, so that fewer are found.
    """
    found = likely_sets(np.maximum(odds * harm, 1e-25), most=MOST_TIMED if timed else MOST_SETS)
    return Sets(members=found.members, odds=_products(found.members, odds), whole=found.whole)


def _products(members: Lists, odds: Floats) -> Floats:
    """The product of the odds of each set."""
    logs = np.zeros(len(members))
    which = np.repeat(np.arange(len(members)), members.sizes)
    np.add.at(logs, which, np.log(odds[members.items]))
    return np.asarray(np.exp(logs), dtype=np.float64)


def stands(standing: Watched, events: Sequence[Event], members: Lists, things: Sequence[str]) -> Bools:
    """Whether each thing stands once all has settled, in each set of events: (n_things, n_sets)."""
    lost = lists_of([[standing.leaf[part] for part in event.lost] for event in events])
    which, leaves = lost.expand(members.items)
    owner = np.repeat(np.arange(len(members)), members.sizes)[which]
    counts = np.bincount(owner, minlength=len(members))
    failures = Failures(indptr=np.concatenate(([0], np.cumsum(counts))), leaves=leaves)
    rows = np.array([standing.gates.back[thing] for thing in things], dtype=np.int64)
    graph = standing.gates.graph
    engine = Evaluator(graph.keeping(graph.kept[rows]))
    found = np.empty((len(things), len(members)), dtype=np.bool_)
    for first, words in engine.stream(failures):
        n = min(words.shape[1] * BITS, len(members) - first)
        found[:, first : first + n] = as_bools(words, n)
    return found


def stands_at(
    standing: Watched, losses: Sequence[Sequence[str]], things: Sequence[str], moments_s: Sequence[float]
) -> Bools:
    """Whether each thing stands so many seconds after the losses: (n_moments, n_things, n_losses).

    A thing that falls stands until it falls, and again once it is back.
    """
    at = [standing.row[thing] for thing in things]
    needed = standing.needed(things)
    found = np.empty((len(moments_s), len(things), len(losses)), dtype=np.bool_)
    for first in range(0, len(losses), _TIMED_AT_ONCE):
        some = losses[first : first + _TIMED_AT_ONCE]
        rows = standing.rows(some)
        views = [
            View(standing=standing, lost=standing.out | frozenset(lost), column=rows[:, n])
            for n, lost in enumerate(some)
        ]
        falls = standing.falls(views, needed=needed)
        back = falls[at] + standing.returns(views, falls, needed=needed)[at]
        for number, seconds in enumerate(moments_s):
            found[number, :, first : first + len(some)] = (seconds < falls[at]) | (seconds >= back)
    return found
