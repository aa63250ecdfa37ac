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
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from falsework.engines.bitwise import ask
from falsework.engines.gates import GREATEST, BoolArray, GateGraph, Kind, Oracle
from falsework.engines.schedule import Batch, Layer, Loop, Rows, Step, schedule

Moments = NDArray[np.float64]
Mode = Literal["fall", "rise"]


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
    relaxing = _Relaxing(graph, leaf_times, held, falling=mode == "fall")
    relaxing.settle(_steps(graph, _cuts(graph, held, mode).tobytes()))
    return relaxing.values


@lru_cache(maxsize=8)
def _steps(graph: GateGraph, cuts: bytes) -> tuple[Step, ...]:
    """The order of work, kept: the same graph is asked again and again, and ordering costs more than a few answers."""
    return schedule(graph, outer=np.frombuffer(cuts, dtype=np.bool_), merge=False).steps


def _cuts(graph: GateGraph, delays: Moments, mode: Mode) -> BoolArray:
    """The gates at which loops start from "never" and are lowered."""
    if mode == "rise":
        promises: BoolArray = graph.kind == Kind.PROMISE
        return promises
    cuts: BoolArray = (graph.sign == GREATEST) | (delays > 0)
    for box in graph.oracles:  # an output is worked out by its box
        cuts[box.gate] = any(cuts[output] for output in box.outputs if output >= 0)
    return cuts


def _check(name: str, values: Moments, shape: tuple[int, ...]) -> None:
    if values.shape != shape:
        raise ValueError(f"{name} has shape {values.shape}, not {shape}")
    if not (values >= 0).all():  # false for NaN, too
        raise ValueError(f"{name} holds {values[~(values >= 0)][0]}; moments and delays are 0 or more")


class _Relaxing:
    def __init__(self, graph: GateGraph, leaf_times: Moments, delays: Moments, *, falling: bool) -> None:
        self._falling = falling
        self._delays = delays[:, np.newaxis]
        # A constant that counts from the start: false has fallen, true has risen, at 0.
        self.values: Moments = np.full((graph.n_gates, leaf_times.shape[1]), np.inf)
        self.values[graph.kind == (Kind.FALSE if falling else Kind.TRUE)] = 0.0
        self.values[: graph.n_leaves] = leaf_times

    def settle(self, steps: Sequence[Step]) -> None:
        for step in steps:
            if isinstance(step, Layer):
                self._layer(step)
            else:
                # Falling, an inner loop is rebuilt from "has not been up": from 0 upwards.
                self.values[step.rows] = np.inf if step.outer else 0.0
                self._repeat(step)

    def _repeat(self, loop: Loop) -> None:
        while True:
            self.settle(loop.steps)
            rows = _written(loop.close)
            before = self.values[rows]
            self._layer(loop.close)
            # Monotone rules move a loop one way only; a box that is not must not make us run for ever.
            lasting = np.minimum if loop.outer else np.maximum
            self.values[rows] = lasting(before, self.values[rows])
            if np.array_equal(before, self.values[rows]):
                return

    def _layer(self, layer: Layer) -> None:
        for batch in layer.batches:
            if batch.oracle is None:
                self.values[batch.rows] = self._batch(batch) + self._delays[batch.rows]
            else:
                rows, moments = self._box(batch.oracle, batch.inputs[:, 0])
                self.values[rows] = moments + self._delays[rows]

    def _batch(self, batch: Batch) -> Moments:
        given = self.values[batch.inputs]
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
        result = np.empty((len(outputs), self.values.shape[1]))
        for scenario in range(self.values.shape[1]):
            given = self.values[inputs, scenario]
            moments = np.unique(np.append(given, [0.0, np.inf]))
            by_then = given[:, np.newaxis] <= moments[:-1]  # at "never" nothing happens
            answer = ask(oracle, ~by_then if self._falling else by_then)
            turned = ~answer if self._falling else answer
            result[:, scenario] = np.where(turned.any(axis=1), moments[turned.argmax(axis=1)], np.inf)
        kept = outputs >= 0
        return outputs[kept], result[kept]


def _written(layer: Layer) -> Rows:
    """The rows in which the layer leaves results: for a box not its own but its outputs'."""
    outputs = [output for batch in layer.batches if batch.oracle for output in batch.oracle.outputs]
    return np.concatenate([layer.rows, np.array([row for row in outputs if row >= 0], dtype=np.intp)])
