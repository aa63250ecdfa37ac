"""Do the evaluator's ways of asking agree, and does it ask oracles only what it must?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.systems import systems

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateBuilder, GateGraph
from falsework.engines.judge import Judge
from falsework.engines.scenarios import failures_of, leaf_words, singles, unpack


@given(graph=systems(max_leaves=5), data=st.data(), memory_bytes=st.sampled_from([1, 1 << 12, 1 << 28]))
@settings(deadline=None)
def test_all_ways_of_asking_agree(graph: GateGraph, data: st.DataObject, memory_bytes: int) -> None:
    """Leaf words, listed failures and the stream give the same words, whatever the memory."""
    some = st.frozensets(st.integers(0, graph.n_leaves - 1))
    few = data.draw(st.lists(some, min_size=1, max_size=6))
    failures = failures_of(few * 40)
    evaluator = Evaluator(graph, memory_bytes=memory_bytes)
    words = evaluator.evaluate_failures(failures)
    np.testing.assert_array_equal(evaluator.evaluate(leaf_words(failures, graph.n_leaves)), words)
    starts, chunks = zip(*evaluator.stream(failures), strict=True)
    np.testing.assert_array_equal(np.concatenate(chunks, axis=1), words)
    assert list(starts) == np.cumsum([0, *(64 * chunk.shape[1] for chunk in chunks[:-1])]).tolist()
    np.testing.assert_array_equal(unpack(words, len(failures)), np.tile(Judge(graph).stands(few), 40))


@pytest.mark.parametrize("n", [2, 3, 5, 8, 17, 33])
def test_at_least_counts_exactly(n: int) -> None:
    """For every k, k of n stands just when at most n - k have failed; repeats count twice."""
    b = GateBuilder()
    leaves = [b.leaf(str(i)) for i in range(n)]
    graph = b.freeze([b.at_least(k, leaves) for k in range(n + 2)] + [b.at_least(n, leaves + leaves[:1])])
    failures = [range(lost) for lost in range(n + 1)]
    counted = [[k <= n - lost for lost in range(n + 1)] for k in range(n + 2)]
    twice = [n + 1 - lost - (lost > 0) >= n for lost in range(n + 1)]
    assert Evaluator(graph).stands(failures).tolist() == [*counted, twice]


@pytest.mark.parametrize("n", [2, 5, 7, 100, 700])
def test_wide_gates_are_exact(n: int) -> None:
    """All-of and any-of over many inputs, alone and beside narrower ones."""
    b = GateBuilder()
    leaves = [b.leaf(str(i)) for i in range(n)]
    graph = b.freeze([b.all_of(leaves), b.any_of(leaves), b.all_of(leaves[:-1]), b.any_of(leaves[1:])])
    answer = Evaluator(graph).stands([(), (0,), (n - 1,), range(1, n), range(n)])
    assert answer[0].tolist() == [True, False, False, False, False]
    assert answer[1].tolist() == [True, True, True, True, False]
    assert answer[2].tolist() == [True, False, True, n == 2, False]
    assert answer[3].tolist() == [True, True, n > 2, False, False]


def test_an_oracle_is_asked_each_different_column_once() -> None:
    """A thousand scenarios that look alike to a box cost it one column; untouched ones none."""
    asked: list[int] = []

    def function(inputs: BoolArray) -> BoolArray:
        asked.append(inputs.shape[1])
        return inputs.all(axis=0, keepdims=True)

    b = GateBuilder()
    x, y = b.leaf("x"), b.leaf("y")
    others = [b.leaf(f"other {n}") for n in range(50)]
    (box,) = b.oracle([x, y], 1, function, "box")
    evaluator = Evaluator(b.freeze([box, b.all_of(others)]))
    asked.clear()
    answer = evaluator.stands([(0,), (2,)] * 500)
    assert asked == [1]
    assert answer[0].tolist() == [False, True] * 500
    evaluator.stands([(other,) for other in range(2, 52)])
    assert asked == [1]


def test_an_oracle_with_the_wrong_answer_is_named() -> None:
    """Shape and type of a box's answer are checked."""
    b = GateBuilder()
    (box,) = b.oracle([b.leaf("x")], 1, lambda inputs: inputs.astype(np.int8), "ints")  # type: ignore[arg-type,return-value]  # the mistake
    with pytest.raises(ValueError, match="oracle 'ints' answered int8"):
        Evaluator(b.freeze([box]))


def test_an_oracle_without_inputs_is_a_constant() -> None:
    """Its function is asked with no rows and one column."""
    b = GateBuilder()
    b.leaf("x")
    yes, no = b.oracle([], 2, lambda inputs: np.array([[True], [False]]).repeat(inputs.shape[1], 1), "two")
    graph = b.freeze([yes, no])
    assert Evaluator(graph).stands([(), (0,)]).tolist() == [[True, True], [False, False]]
    assert Judge(graph).stands([(), (0,)]).tolist() == [[True, True], [False, False]]


def test_a_graph_of_leaves_and_constants_only() -> None:
    """Nothing to work out is no trouble."""
    b = GateBuilder()
    leaves = [b.leaf(str(n)) for n in range(70)]
    answer = Evaluator(b.freeze([b.true, leaves[69], b.false])).stands(singles(70))
    assert answer[0].all()
    assert answer[1].tolist() == [True] * 69 + [False]
    assert not answer[2].any()


@pytest.mark.parametrize("row", [-1, 1, 2])
def test_a_leaf_that_is_not_there_is_told(row: int) -> None:
    """No row outside the leaves can be failed, not even one that some other gate has."""
    b = GateBuilder()
    evaluator = Evaluator(b.freeze([b.wire(b.leaf("x"), "w")]))
    with pytest.raises(ValueError, match=f"there is no leaf row {row}: rows are 0 to 0"):
        evaluator.stands([(), (0,), (row,)])
