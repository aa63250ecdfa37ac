"""What do the watched gates say for every pair of failed leaves?

Write a, b for the failure of one leaf each, and N(S) for all values when S fails.

Claim: if every unit (`falsework.engines.units`), were it to read N(a) and N(b), would give just what it gives
under a and under b both, then N(ab) = N(a) and N(b), gate by gate.

Proof. N(ab) lies below both, as everything is monotone.
For the other way let the greatest promises be X = N(a) and N(b), and work out all else from X and the leaves,
component by component, inputs first (Bekic 1984, see `falsework.engines.schedule`).
By induction, what a component reads is N(a) and N(b), and so is what it gives: for an all-of gate, wire or promise
because these pass an `and` on as it is, for a unit as supposed.
So all that is worked out equals N(a) and N(b), the bodies of the greatest promises too: they equal X again.
X is a fixed point of the nest, hence below the greatest, which is N(ab).

What is supposed holds where only one of a and b changes what the unit reads: then N(a) and N(b) reads as under
the other, and the unit gives no more under the one. For a loop as for a gate: its least solution is a function of
what it reads from outside. Gates and boxes often bear two losses as well (`falsework.engines.touching`).

Only pairs that may do more at some unit are tried, and of these only such as leave a watched row true each;
of the others all is known from the single losses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.classes import Classes, classes
from falsework.engines.effects import Effects
from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateGraph
from falsework.engines.meeting import meeting
from falsework.engines.scenarios import BITS, ONES, Failures, Words
from falsework.engines.sparse import Ints, as_bools

_CHUNK = 1 << 19  # pairs tried at a time
_PART = 1 << 7  # words of pairs looked at together


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pairs:
    """The watched values for every pair of failed leaves.

    A pair makes false what one of its leaves alone does, and what it is listed for here as new.
    Very many pairs may be new, each with many rows, but few sets of rows differ; so sets are numbered.

    Attributes:
        classes: leaves that are alike, and the watched values for single losses.
        class_a, class_b: int (n_new,), classes with class_a < class_b such that one leaf of each make some
            watched row false that neither makes false alone; sorted by class_a, then class_b.
        effect: int (n_new,), row of `effects` that tells which.
        effects: bool (n_effects, n_watched), sets of watched rows that become false.
        n_tried: pairs of classes that were worked out.
        false_pairs: int (n_watched,), how many of all pairs of different leaves make each row false.
        new_pairs: int (n_watched,), how many of those do though neither leaf does alone.
    """

    classes: Classes
    class_a: NDArray[np.int32]
    class_b: NDArray[np.int32]
    effect: NDArray[np.int32]
    effects: BoolArray
    n_tried: int
    false_pairs: Ints
    new_pairs: Ints

    def value(self, a: int, b: int) -> BoolArray:
        """Bool (n_watched,): the watched values when leaves a and b fail; they may be the same leaf."""
        low, high = sorted((int(self.classes.of_leaf[a]), int(self.classes.of_leaf[b])))
        stands: BoolArray = self.classes.stands[:, low] & self.classes.stands[:, high]
        start, stop = np.searchsorted(self.class_a, (low, low + 1))
        first, last = np.searchsorted(self.class_b[start:stop], (high, high + 1)) + start
        for effect in self.effect[first:last].tolist():
            stands &= ~self.effects[effect]
        return stands

    def together(self, row: int) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
        """The pairs of classes that make one watched row false only together, in order."""
        chosen = self.effects[:, row][self.effect]
        return self.class_a[chosen], self.class_b[chosen]

    def thin(self) -> BoolArray:
        """Bool (n_watched, n_classes): true after this loss, but not after some other that alone leaves it true."""
        thin = np.zeros((len(self.classes), self.effects.shape[1]), dtype=np.bool_)
        n_effects = max(len(self.effects), 1)
        for side in (self.class_a, self.class_b):
            both = np.unique(side.astype(np.int64) * n_effects + self.effect)
            number, effect = np.divmod(both, n_effects)
            starts = np.flatnonzero(np.diff(number, prepend=-1))
            for start, stop in zip(starts.tolist(), [*starts[1:].tolist(), len(number)], strict=False):
                thin[number[start]] |= self.effects[effect[start:stop]].any(axis=0)
        return thin.T


def pairs(
    graph: GateGraph,
    watched: Sequence[int],
    *,
    progress: Callable[[int, int], None] | None = None,
    memory_bytes: int = 256 << 20,
) -> Pairs:
    """Work out the watched values for every pair of failed leaves, trying only the pairs that meet.

    Args:
        graph: the gates.
        watched: positions in the graph's kept gates.
        progress: told now and then how many classes are paired with all later ones, and how many there are.
        memory_bytes: about how much working memory to take, results apart.

    Cost:
        One run over all gates for the single losses, then one over the watched for each pair that meets.
    """
    gates = graph.kept[np.asarray(watched, dtype=np.int64)].astype(np.int64)
    known = classes(graph, gates, memory_bytes=memory_bytes)
    engine = Evaluator(graph.keeping(gates), memory_bytes=memory_bytes)
    effects = Effects(len(gates))
    found: list[NDArray[np.int32]] = [np.zeros((3, 0), dtype=np.int32)]
    n_tried = 0
    for done, tried in _chunks(known):
        found.extend(_new(engine, known, effects, *tried))
        n_tried += tried.shape[1]
        if progress is not None:
            progress(done, len(known))
    class_a, class_b, effect = _sorted(np.concatenate(found, axis=1))
    sizes = known.sizes
    weight = np.zeros(len(effects), dtype=np.int64)
    np.add.at(weight, effect, sizes[class_a] * sizes[class_b])
    new_pairs = weight @ effects.table()
    left = known.stands @ sizes  # single losses that leave the row true
    n = graph.n_leaves
    return Pairs(
        classes=known,
        class_a=class_a,
        class_b=class_b,
        effect=effect,
        effects=effects.table(),
        n_tried=n_tried,
        false_pairs=n * (n - 1) // 2 - left * (left - 1) // 2 + new_pairs,
        new_pairs=new_pairs,
    )


def _chunks(known: Classes) -> Iterator[tuple[int, Ints]]:
    """How many classes are done, and the next pairs to try (2, n)."""
    chosen: BoolArray = np.logical_or.reduce(known.stands, axis=0)
    waiting: list[Ints] = []
    n = 0
    for done, a, b in meeting(known.meetings, chosen):
        waiting.append(np.stack((a, b)))
        n += len(a)
        if n >= _CHUNK:
            yield done, np.concatenate(waiting, axis=1)
            waiting, n = [], 0
    yield len(known), np.concatenate([np.zeros((2, 0), dtype=np.int64), *waiting], axis=1)


def _new(
    engine: Evaluator, known: Classes, effects: Effects, a: Ints, b: Ints
) -> Iterator[NDArray[np.int32]]:
    """Int (3, n): of these pairs those that make some row false that neither makes alone, and their effect."""
    leaves = known.representative[np.stack((a, b), axis=1).reshape(-1)]
    failures = Failures(indptr=np.arange(0, 2 * len(a) + 1, 2, dtype=np.int64), leaves=leaves)
    for first, words in engine.stream(failures):
        for start in range(0, words.shape[1], _PART):
            some_words = words[:, start : start + _PART]
            begin = first + start * BITS
            part = slice(begin, min(begin + some_words.shape[1] * BITS, len(a)))
            fallen = _fallen(some_words, known, a[part], b[part])
            some = np.logical_or.reduce(fallen, axis=0).nonzero()[0]
            if len(some):
                number = effects.numbers(fallen[:, some])
                yield np.stack((a[part][some], b[part][some], number)).astype(np.int32)


def _fallen(words: Words, known: Classes, a: Ints, b: Ints) -> BoolArray:
    """Bool (n_watched, n): where the row is false for the pair though true for both alone."""
    fallen = np.zeros((len(words), len(a)), dtype=np.bool_)
    changed = (words != ONES).any(axis=1).nonzero()[0]
    fallen[changed] = ~as_bools(words[changed], len(a))
    for row in changed.tolist():
        fallen[row] &= known.stands[row, a] & known.stands[row, b]
    return fallen


def _sorted(found: NDArray[np.int32]) -> NDArray[np.int32]:
    """The columns in order: by the first row, then the second."""
    return found[:, np.lexsort((found[1], found[0]))]
