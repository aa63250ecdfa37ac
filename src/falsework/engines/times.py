"""When does each gate fall after its leaves fall, or rise as they rise?

The same graph as for truth, with moments in place of truth values: a gate's rule says which input's moment
counts, and its delay is added (a hold when falling, a duration when rising).

| rule | falls at | rises at |
| --- | --- | --- |
| all-of | the first input's fall | the last input's rise |
| any-of | the last input's fall | the first input's rise |
| at least k of n | the (n - k + 1)-th fall | the k-th rise |

On loops:

- *rising* starts from nothing: every promise is least, a gate rises once what has risen meets its rule.
- *falling* starts with all up: greatest promises keep each other up until a fall reaches them from outside;
  least promises are worked out afresh at every moment, so a ring that has lost its anchor falls.
  But a loop through a hold keeps itself up whatever its sign: behind a hold one sees what was before.

But for least promises falling, these are the values that D. E. Knuth 1977, "A generalization of Dijkstra's
algorithm", Information Processing Letters 6(1), finds one by one, earliest first.
Here all gates and scenarios are lowered from "never" together until they settle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from falsework.engines.bitwise import ask
from falsework.engines.circles import circles
from falsework.engines.gates import GREATEST, BoolArray, GateGraph, Kind, Oracle
from falsework.engines.schedule import Batch, Layer, Loop, Rows, Step, schedule
from falsework.engines.sparse import Lists, grouped

Moments = NDArray[np.float64]
Mode = Literal["fall", "rise"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """What is known of a graph when something else is asked of it: most gates are what they were.

    Attributes:
        usual: (n_gates,) the moments of another question.
        moving: bool (n_gates,), the gates that may have other moments now; all that they read and that is not among
            them is as usual. Promises of a circle can be told apart so: what does not lean on the others settles
            without them (H. Bekic 1984, see `falsework.engines.schedule`).
    """

    usual: Moments
    moving: BoolArray


def times(graph: GateGraph, leaf_times: Moments, delays: Moments | None = None, *, mode: Mode) -> Moments:
    """The moment at which every gate falls or rises.

    Args:
        graph: the gates.
        leaf_times: (n_leaves, n_scenarios), not before 0; infinite where a leaf never falls or rises.
        delays: (n_gates,), not negative, infinite where a fall or rise never comes through; None for none.
            Those of leaves, constants and oracles' boxes are not used (a box's outputs have their own).
        mode: what is asked.

    Returns:
        (n_gates, n_scenarios) in the unit of the arguments; infinite for never; rows of boxes mean nothing.
        ``times(...)[graph.kept]`` are the kept gates.
        Falling without delays, a gate falls at the first moment t at which it is false with just the leaves
        failed that have fallen by t.

    Raises:
        ValueError: wrong shape, a negative number or NaN.

    Cost:
        Rounds x (gates + edges) x scenarios; rounds at most the number of gates in the loop, mostly few.
    """
    held = np.zeros(graph.n_gates) if delays is None else delays
    _check("leaf_times", leaf_times, (graph.n_leaves, leaf_times.shape[-1]))
    _check("delays", held, (graph.n_gates,))
    # A constant that counts from the start: false has fallen, true has risen, at 0.
    values = np.full((graph.n_gates, leaf_times.shape[1]), np.inf)
    values[graph.kind == (Kind.FALSE if mode == "fall" else Kind.TRUE)] = 0.0
    values[: graph.n_leaves] = leaf_times
    every = np.arange(graph.n_gates)
    relaxing = _Relaxing(values, held, np.ones(graph.n_gates, dtype=np.bool_), every, falling=mode == "fall")
    relaxing.settle(_steps(graph, _cuts(graph, held, mode).tobytes()))
    return values


def kept_times(
    graph: GateGraph, leaf_times: Moments, delays: Moments, beside: Beside, *, mode: Mode
) -> Moments:
    """What `times` says of the kept gates that move: (n, n_scenarios), in the order of `kept`.

    Args:
        graph: as for `times`.
        leaf_times: as for `times`.
        delays: as for `times`.
        beside: what is known already.
        mode: as for `times`.

    Cost:
        As `times`, of the gates that move and of those that they read; no array is larger.
    """
    moving = beside.moving
    read = np.zeros(graph.n_gates, dtype=np.bool_)
    read[graph.indices[np.repeat(moving, np.diff(graph.indptr))]] = True
    some = np.flatnonzero(moving | read)
    place = np.zeros(graph.n_gates, dtype=np.intp)
    place[some] = np.arange(len(some))
    values = np.repeat(beside.usual[some, np.newaxis], leaf_times.shape[1], axis=1)
    leaves = some[some < graph.n_leaves]  # they come first
    values[: len(leaves)] = leaf_times[leaves]
    relaxing = _Relaxing(values, delays, moving, place, falling=mode == "fall")
    relaxing.settle(_steps(graph, _cuts(graph, delays, mode).tobytes()))
    return values[place[graph.kept[moving[graph.kept]]]]


@lru_cache(maxsize=8)
def _steps(graph: GateGraph, cuts: bytes) -> tuple[Step, ...]:
    """The order of work, kept: the same graph is asked again and again, and ordering costs more than a few answers."""
    return schedule(graph, outer=np.frombuffer(cuts, dtype=np.bool_), merge=False).steps


def _cuts(graph: GateGraph, delays: Moments, mode: Mode) -> BoolArray:
    """The gates at which loops start from "never" and are lowered; elsewhere it does not matter where one would."""
    if mode == "rise":
        promises: BoolArray = graph.kind == Kind.PROMISE
        return promises
    cuts: BoolArray = (graph.sign == GREATEST) | (delays > 0)
    for box in graph.oracles:  # an output is worked out by its box
        cuts[box.gate] = any(cuts[output] for output in box.outputs if output >= 0)
    return cuts & _circular(graph)


@lru_cache(maxsize=8)
def _circular(graph: GateGraph) -> BoolArray:
    """Bool (n_gates,): the gates that are in a circle."""
    reader = np.repeat(np.arange(graph.n_gates), np.diff(graph.indptr))
    return circles(reader, graph.indices.astype(np.int64), graph.n_gates).circular


def _check(name: str, values: Moments, shape: tuple[int, ...]) -> None:
    if values.shape != shape:
        raise ValueError(f"{name} has shape {values.shape}, not {shape}")
    if not (values >= 0).all():  # false for NaN, too
        raise ValueError(f"{name} holds {values[~(values >= 0)][0]}; moments and delays are 0 or more")


class _Relaxing:
    """The moments of the gates that move, lowered or raised in place.

    Args:
        values: (n, n_scenarios), of some gates; those that do not move have theirs.
        delays: (n_gates,).
        moving: bool (n_gates,).
        place: (n_gates,), the row of `values` of each gate that moves or is read by one.
        falling: whether moments are those of falls.
    """

    def __init__(
        self, values: Moments, delays: Moments, moving: BoolArray, place: Rows, *, falling: bool
    ) -> None:
        self._values = values
        self._delays = delays[:, np.newaxis]
        self._moving = moving
        self._place = place
        self._falling = falling

    def settle(self, steps: Sequence[Step]) -> None:
        for step in steps:
            if isinstance(step, Layer):
                self._layer(step)
                continue
            rows = self._moved(step.rows)
            if len(rows):
                # Falling, an inner loop is rebuilt from "has not been up": from 0 upwards.
                self._values[rows] = np.inf if step.outer else 0.0
                self._repeat(step)

    def _moved(self, gates: Rows) -> Rows:
        """The rows of those gates that move."""
        return self._place[gates[self._moving[gates]]]

    def _repeat(self, loop: Loop) -> None:
        rows = self._moved(_written(loop.close))
        while True:
            self.settle(loop.steps)
            before = self._values[rows]
            self._layer(loop.close)
            # Monotone rules move a loop one way only; a box that is not must not make us run for ever.
            lasting = np.minimum if loop.outer else np.maximum
            self._values[rows] = lasting(before, self._values[rows])
            if np.array_equal(before, self._values[rows]):
                return

    def _layer(self, layer: Layer) -> None:
        for batch in layer.batches:
            moves = self._moving[batch.rows]
            if not moves.any():
                continue
            gates, inputs = batch.rows, batch.inputs
            if batch.oracle is not None:
                gates, moments = self._box(batch.oracle, self._place[inputs[:, 0]])
                moves = self._moving[gates]
                gates, moments = gates[moves], moments[moves]
            else:
                if not moves.all():
                    gates, inputs = gates[moves], inputs[:, moves]
                moments = self._batch(batch, self._values[self._place[inputs]])
            self._values[self._place[gates]] = moments + self._delays[gates]

    def _batch(self, batch: Batch, given: Moments) -> Moments:
        if batch.kind is Kind.AT_LEAST:
            place = len(given) - batch.k if self._falling else batch.k - 1
            counted: Moments = np.partition(given, place, axis=0)[place]
            return counted
        first = (batch.kind is Kind.ALL) == self._falling
        choice = np.minimum if first else np.maximum
        chosen: Moments = choice.reduce(given, axis=0)
        return chosen

    def _box(self, oracle: Oracle, inputs: Rows) -> tuple[Rows, Moments]:
        """The box asked, for each scenario, at every moment at which an input changes."""
        outputs = np.array(oracle.outputs, dtype=np.intp)
        result = np.empty((len(outputs), self._values.shape[1]))
        for scenario in range(self._values.shape[1]):
            given = self._values[inputs, scenario]
            moments = np.unique(np.append(given, [0.0, np.inf]))
            by_then = given[:, np.newaxis] <= moments[:-1]  # at "never" nothing happens
            answer = ask(oracle, ~by_then if self._falling else by_then)
            turned = ~answer if self._falling else answer
            result[:, scenario] = np.where(turned.any(axis=1), moments[turned.argmax(axis=1)], np.inf)
        kept = outputs >= 0
        return outputs[kept], result[kept]


def moving(graph: GateGraph, begins: BoolArray, still: BoolArray) -> BoolArray:
    """Bool (n_gates,): the gates that may have other moments than usual.

    Args:
        graph: the gates.
        begins: bool (n_gates,), leaves with other moments, and gates with other delays.
        still: bool (n_gates,), gates that are known to be as usual; what begins moves all the same.
    """
    readers = _readers(graph)
    found = begins.copy()
    fresh = np.flatnonzero(begins)
    while len(fresh):
        _, above = readers.expand(fresh)
        fresh = np.unique(above[~found[above] & ~still[above]])
        found[fresh] = True
    outputs = np.flatnonzero(found & (graph.kind == Kind.OUTPUT))
    found[graph.indices[graph.indptr[outputs]]] = True  # an output is worked out by its box
    return found


@lru_cache(maxsize=8)
def _readers(graph: GateGraph) -> Lists:
    """For each gate those that read it."""
    reader = np.repeat(np.arange(graph.n_gates), np.diff(graph.indptr))
    return grouped(graph.indices.astype(np.int64), reader, graph.n_gates)


def _written(layer: Layer) -> Rows:
    """The rows in which the layer leaves results: for a box not its own but its outputs'."""
    outputs = [output for batch in layer.batches if batch.oracle for output in batch.oracle.outputs]
    return np.concatenate([layer.rows, np.array([row for row in outputs if row >= 0], dtype=np.intp)])
