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
    gates = [builder.leaf(f"leaf {n}") for n in range(draw(st.integers(1, max_leaves)))]
    gates += draw(st.sampled_from([[], [builder.true], [builder.false], [builder.true, builder.false]]))
    signs = st.sampled_from(["greatest", "least"] if least else ["greatest"])
    promises = [builder.promise(f"promise {n}", draw(signs)) for n in range(draw(st.integers(0, 7)))]
    gates += promises
    kinds = ["all", "any", "at least", "wire"] + ["box", "scale"] * oracles
    for number in range(draw(st.integers(1, 16))):
        some = draw(st.lists(st.sampled_from(gates), min_size=1, max_size=5))
        gates.extend(_gates(draw, builder, draw(st.sampled_from(kinds)), some, number))
    for promise in promises:
        builder.define(promise, draw(st.sampled_from(gates)))
    return builder.freeze(draw(st.lists(st.sampled_from(gates), min_size=1, max_size=8)))


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
