"""Which random gate systems do the engines' tests run on?"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from hypothesis import strategies as st

from falsework.engines.gates import BoolArray, GateBuilder, GateGraph, GateId


def majority_and_all(inputs: BoolArray) -> BoolArray:
    """A monotone box of two outputs: more than half its inputs, and all of them."""
    standing = inputs.sum(axis=0)
    return np.stack([2 * standing > len(inputs), standing == len(inputs)])


def weighted(weights: tuple[int, ...], bound: int) -> Callable[[BoolArray], BoolArray]:
    """A monotone box of one output: do the weights of what stands reach the bound?"""

    def function(inputs: BoolArray) -> BoolArray:
        return (np.array(weights) @ inputs.astype(np.int64) >= bound)[np.newaxis]

    return function


@st.composite
def systems(draw: st.DrawFn, *, max_leaves: int = 7, oracles: bool = True, least: bool = True) -> GateGraph:
    """A graph with cycles of both signs through promises, every kind of gate, and some of its gates kept."""
    builder = GateBuilder()
    given = [builder.leaf(f"leaf {n}") for n in range(draw(st.integers(1, max_leaves)))]
    given += draw(st.sampled_from([[], [builder.true], [builder.false]]))
    signs = st.sampled_from(draw(st.sampled_from(["lg", "l", "g"] if least else ["g"])))
    names = {"l": "least", "g": "greatest"}
    promises = [builder.promise(f"promise {n}", names[draw(signs)]) for n in range(draw(st.integers(0, 6)))]
    kinds = ["all", "any", "any", "at least", "wire"] + ["box", "scale"] * oracles
    made: list[GateId] = []
    for number in range(draw(st.integers(1, 14))):
        pools = [pool for pool in (given, promises, made) if pool]
        some = draw(st.lists(st.sampled_from(pools).flatmap(st.sampled_from), min_size=1, max_size=5))
        made.extend(_gates(draw, builder, draw(st.sampled_from(kinds)), some, number))
    for promise in promises:
        builder.define(promise, draw(st.sampled_from(made)))
    gates = given + promises + made
    few = st.lists(st.sampled_from(gates), min_size=1, max_size=8)
    return builder.freeze(draw(st.one_of(st.just(gates), few)))


def _gates(
    draw: st.DrawFn, builder: GateBuilder, kind: str, some: list[GateId], number: int
) -> tuple[GateId, ...]:
    match kind:
        case "all":
            return (builder.all_of(some),)
        case "any":
            return (builder.any_of(some),)
        case "at least":
            return (builder.at_least(draw(st.integers(0, len(some) + 1)), some),)
        case "wire":
            return (builder.wire(some[0], f"wire {number}"),)
        case "box":
            return builder.oracle(some, 2, majority_and_all, f"box {number}")
        case _:
            weights = tuple(draw(st.lists(st.integers(0, 5), min_size=len(some), max_size=len(some))))
            return builder.oracle(some, 1, weighted(weights, draw(st.integers(0, 12))), f"scale {number}")
