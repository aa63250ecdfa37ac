"""Do all engines say the same as the definition?"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from itertools import chain, combinations
from typing import Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.systems import systems

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateBuilder, GateGraph
from falsework.engines.judge import Judge
from falsework.engines.protocol import Engine


class Lonely:
    """The evaluator with each scenario alone in its chunk, where no other can cover for a gate left out."""

    def __init__(self, graph: GateGraph) -> None:
        self._evaluator = Evaluator(graph, memory_bytes=1)

    def stands(self, failures: Sequence[Collection[int]]) -> BoolArray:
        """Bool (n_kept, n_scenarios), asked with 63 empty scenarios behind each."""
        spread = [one for failed in failures for one in (failed, *[()] * 63)]
        return self._evaluator.stands(spread)[:, ::64]


ENGINES: dict[str, Callable[[GateGraph], Engine]] = {
    "judge": Judge,
    "evaluator": Evaluator,
    "evaluator a scenario at a time": lambda graph: Lonely(graph),
}
engines = pytest.mark.parametrize("engine", ENGINES.values(), ids=ENGINES.keys())


def subsets(n: int) -> list[tuple[int, ...]]:
    """Every set of rows below n."""
    return list(chain.from_iterable(combinations(range(n), size) for size in range(n + 1)))


@engines
def test_two_that_lean_on_each_other_stand_but_do_not_rise(engine: Callable[[GateGraph], Engine]) -> None:
    """By hand: a = x and b, b = y and a. Greatest: up while x and y are. Least: never up."""
    b = GateBuilder()
    x, y = b.leaf("x"), b.leaf("y")
    kept = []
    for sign in ("greatest", "least"):
        one, other = b.promise("a", sign), b.promise("b", sign)
        b.define(one, b.all_of([x, other]))
        b.define(other, b.all_of([y, one]))
        kept += [one, other]
    answer = engine(b.freeze(kept)).stands([(), (0,), (1,), (0, 1)])
    assert answer.tolist() == [[True, False, False, False]] * 2 + [[False] * 4] * 2


@engines
def test_a_ring_does_not_connect_itself(engine: Callable[[GateGraph], Engine]) -> None:
    """By hand: a ring of four switches reached from switch 0; one cut cable is gone round, two are not."""
    b = GateBuilder()
    cables = [b.leaf(f"cable {n}") for n in range(4)]  # cable n joins switches n and n + 1
    anchor = b.leaf("anchor")
    reached = [b.promise(f"switch {n}", "least") for n in range(4)]
    for n in range(4):
        ways = [b.all_of([cables[n], reached[(n + 1) % 4]]), b.all_of([cables[n - 1], reached[n - 1]])]
        b.define(reached[n], b.any_of([*ways, anchor] if n == 0 else ways))
    answer = engine(b.freeze(reached)).stands([(), (0,), (0, 1), (1, 3), (4,)])
    assert answer.T.tolist() == [
        [True, True, True, True],
        [True, True, True, True],
        [True, False, True, True],
        [True, True, False, False],
        [False, False, False, False],
    ]


@engines
def test_reaching_is_worked_out_afresh_inside_standing(engine: Callable[[GateGraph], Engine]) -> None:
    """By hand: two servers stand while they reach each other over relays that need a server."""
    b = GateBuilder()
    power = [b.leaf("power 0"), b.leaf("power 1")]
    server = [b.promise(f"server {n}", "greatest") for n in range(2)]
    relay = [b.promise(f"relay {n}", "least") for n in range(2)]
    for n in range(2):
        b.define(relay[n], b.all_of([power[n], b.any_of([relay[1 - n], server[n]])]))
        b.define(server[n], relay[1 - n])
    answer = engine(b.freeze(server + relay)).stands([(), (0,), (1,), (0, 1)])
    assert answer.T.tolist() == [[True] * 4, [False] * 4, [False] * 4, [False] * 4]


@engines
def test_a_loop_with_two_feeds_loses_neither_for_the_other(engine: Callable[[GateGraph], Engine]) -> None:
    """By hand: a = x or y or b, b = a, nothing by itself. Either feed will do, none will not."""
    b = GateBuilder()
    x, y = b.leaf("x"), b.leaf("y")
    one, other = b.promise("a", "least"), b.promise("b", "least")
    b.define(one, b.any_of([x, y, other]))
    b.define(other, one)
    answer = engine(b.freeze([one, other])).stands([(), (0,), (1,), (0, 1)])
    assert answer.tolist() == [[True, True, True, False]] * 2


@engines
def test_no_scenarios_and_empty_scenarios(engine: Callable[[GateGraph], Engine]) -> None:
    """Nothing asked gives no columns; nothing failed gives all true."""
    b = GateBuilder()
    made = engine(b.freeze([b.all_of([b.leaf("x"), b.leaf("y")])]))
    assert made.stands([]).shape == (1, 0)
    assert made.stands([()]).tolist() == [[True]]


@pytest.mark.parametrize("made", [Evaluator, Lonely])
@given(graph=systems())
@settings(deadline=None, max_examples=200)
def test_evaluator_agrees_with_the_judge_on_every_scenario(
    made: Callable[[GateGraph], Engine], graph: GateGraph
) -> None:
    """Bit-parallel answers equal the definition's for each subset of up to seven leaves."""
    scenarios = subsets(graph.n_leaves)
    np.testing.assert_array_equal(made(graph).stands(scenarios), Judge(graph).stands(scenarios))


@pytest.mark.parametrize("made", [Evaluator, Lonely])
@given(graph=systems(max_leaves=14), data=st.data())
@settings(deadline=None, max_examples=100)
def test_evaluator_agrees_with_the_judge_on_random_scenarios(
    made: Callable[[GateGraph], Engine], graph: GateGraph, data: st.DataObject
) -> None:
    """The same on up to 14 leaves and more than one word of scenarios."""
    scenario = st.frozensets(st.integers(0, graph.n_leaves - 1))
    scenarios = data.draw(st.lists(scenario, min_size=1, max_size=12)) * 7
    np.testing.assert_array_equal(made(graph).stands(scenarios), Judge(graph).stands(scenarios))


@given(systems(max_leaves=14), st.data())
@settings(deadline=None)
def test_losing_more_never_helps(graph: GateGraph, data: st.DataObject) -> None:
    """What stands with more failed stood with less failed."""
    some = st.frozensets(st.integers(0, graph.n_leaves - 1))
    fewer, extra = data.draw(some), data.draw(some)
    before, after = Evaluator(graph).stands([fewer, fewer | extra]).T
    assert not (after & ~before).any()


@pytest.mark.parametrize("sign", ["greatest", "least"])
def test_a_box_that_is_not_monotone_does_not_run_for_ever(sign: Literal["greatest", "least"]) -> None:
    """A gate that is true when it is not has no value; the evaluator still ends."""
    b = GateBuilder()
    x, p = b.leaf("x"), b.promise("p", sign)
    (against,) = b.oracle([p, x], 1, lambda inputs: ~inputs[:1] & inputs[1:], "against")
    b.define(p, against)
    assert Evaluator(b.freeze([p])).stands([(), (0,)]).shape == (1, 2)
