"""Are fall and rise times those of an event queue, and of truth watched moment by moment?"""

from __future__ import annotations

import heapq
from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.systems import systems

from falsework.engines.gates import GREATEST, LEAST, GateBuilder, GateGraph, Kind
from falsework.engines.judge import judge
from falsework.engines.times import Beside, Mode, kept_times, moving, times

INF = float("inf")


def asked(graph: GateGraph, gate: int, turned: set[int], mode: Mode) -> bool:
    """Whether a gate's rule turns when these inputs have turned (fallen or risen)."""
    inputs = graph.inputs(gate)
    true = [(source in turned) == (mode == "rise") for source in inputs]
    match Kind(graph.kind[gate]):
        case Kind.LEAF:
            return False  # has a moment of its own
        case Kind.TRUE:
            answer = True
        case Kind.FALSE:
            answer = False
        case Kind.ANY:
            answer = any(true)
        case Kind.AT_LEAST:
            answer = sum(true) >= graph.k[gate]
        case Kind.OUTPUT:
            box = graph.oracles[graph.k[inputs[0]]]
            given_ = [[(source in turned) == (mode == "rise")] for source in graph.inputs(box.gate)]
            answer = bool(box.function(np.array(given_, dtype=np.bool_))[graph.k[gate], 0])
        case _:
            answer = all(true)
    return answer == (mode == "rise")


def dijkstra(graph: GateGraph, leaf_times: list[float], delays: list[float], mode: Mode) -> list[float]:
    """Moments from one queue of events, earliest first; each gate turns once."""
    moment = [INF] * graph.n_gates
    turned: set[int] = set()
    queue = [(at, leaf) for leaf, at in enumerate(leaf_times) if at < INF]
    heapq.heapify(queue)
    waiting = [g for g in range(graph.n_leaves, graph.n_gates) if graph.kind[g] != Kind.ORACLE]
    now = 0.0
    while True:
        for gate in [g for g in waiting if asked(graph, g, turned, mode)]:
            waiting.remove(gate)
            heapq.heappush(queue, (now + delays[gate], gate))
        if not queue or queue[0][0] == INF:
            return moment
        now, gate = heapq.heappop(queue)
        moment[gate] = now
        turned.add(gate)


def truth(graph: GateGraph, failed: set[int], shown: Mapping[int, bool]) -> list[bool]:
    """Every gate's rule by its nested fixed points, when gates with a hold show what they showed."""
    outer = {g: True for g in range(graph.n_gates) if graph.sign[g] == GREATEST}
    while True:
        inner = {g: False for g in range(graph.n_gates) if graph.sign[g] == LEAST}
        while True:
            seen = [False] * graph.n_gates
            rule = [False] * graph.n_gates
            for g in range(graph.n_gates):
                if graph.kind[g] == Kind.LEAF:
                    rule[g] = g not in failed
                elif graph.kind[g] == Kind.PROMISE:
                    rule[g] = (outer | inner)[g]
                else:
                    # An output looks through its box, hence all gates, not its input alone.
                    rule[g] = not asked(graph, g, {s for s in range(g) if not seen[s]}, "fall")
                seen[g] = shown.get(g, rule[g])
            risen = {g: seen[graph.inputs(g)[0]] for g in inner}
            if risen == inner:
                break
            inner = risen
        fallen = {g: seen[graph.inputs(g)[0]] for g in outer}
        if fallen == outer:
            return rule
        outer = fallen


def watched(graph: GateGraph, leaf_times: list[float], delays: list[float], until: int) -> list[float]:
    """Fall times at whole moments: a gate with hold d shows at t what its rule said at t - d."""
    history: list[list[bool]] = []
    moment = [INF] * graph.n_gates
    holding = [g for g in range(graph.n_leaves, graph.n_gates) if delays[g] > 0]
    for now in range(until):
        shown = {g: now < delays[g] or history[now - int(delays[g])][g] for g in holding}
        rules = truth(graph, {leaf for leaf, at in enumerate(leaf_times) if at <= now}, shown)
        history.append(rules)
        for g, rule in enumerate(rules):
            if moment[g] == INF and not shown.get(g, rule):
                moment[g] = now
    return moment


def whole(data: st.DataObject, n: int, most: int, *, never: bool) -> list[float]:
    """Whole numbers up to `most`, some of them "never"."""
    value = st.integers(0, most).map(float)
    return data.draw(st.lists(value | st.just(INF) if never else value, min_size=n, max_size=n))


def drawn_delays(data: st.DataObject, graph: GateGraph, most: int, *, never: bool) -> list[float]:
    """Delays of all gates that can have one."""
    bare = (Kind.LEAF, Kind.TRUE, Kind.FALSE)
    drawn = whole(data, graph.n_gates, most, never=never)
    return [0.0 if kind in bare else delay for kind, delay in zip(graph.kind, drawn, strict=True)]


def test_holds_and_durations_by_hand() -> None:
    """Two supplies behind a battery: it falls with the last supply, plus the battery's time."""
    b = GateBuilder()
    left, right, own = b.leaf("left"), b.leaf("right"), b.leaf("own")
    battery = b.wire(b.any_of([left, right]), "battery")
    graph = b.freeze([battery, b.all_of([battery, own])])
    delays = np.zeros(graph.n_gates)
    delays[graph.gate_of[battery]] = 10
    leaf_times = np.array([[1, 1, INF], [4, INF, 2], [INF, INF, 3]])
    fall = times(graph, leaf_times, delays, mode="fall")[graph.kept]
    assert fall.tolist() == [[14, INF, INF], [14, INF, 3]]
    rise = times(graph, leaf_times, delays, mode="rise")[graph.kept]
    assert rise.tolist() == [[11, 11, 12], [INF, INF, 12]]


def test_at_least_by_hand() -> None:
    """Two of three fall with the second fall and rise with the second rise; three of four likewise."""
    b = GateBuilder()
    leaves = [b.leaf(name) for name in "wxyz"]
    graph = b.freeze([b.at_least(2, leaves[:3]), b.at_least(3, leaves)])
    leaf_times = np.array([[5.0], [1.0], [3.0], [2.0]])
    assert times(graph, leaf_times, mode="fall")[graph.kept].tolist() == [[3], [2]]
    assert times(graph, leaf_times, mode="rise")[graph.kept].tolist() == [[3], [3]]


def test_loops_by_hand() -> None:
    """Two that lean on each other fall each by its rule, and rise only after a feed from outside."""
    b = GateBuilder()
    x, y = b.leaf("x"), b.leaf("y")
    one, other = b.promise("one", "greatest"), b.promise("other", "greatest")
    b.define(one, b.all_of([x, other]))
    b.define(other, b.any_of([y, one]))
    graph = b.freeze([one, other])
    leaf_times = np.array([[2.0, 7.0], [5.0, INF]])
    assert times(graph, leaf_times, mode="fall")[graph.kept].tolist() == [[2, 7], [5, INF]]
    assert times(graph, leaf_times, mode="rise")[graph.kept].tolist() == [[5, INF], [5, INF]]


def test_a_ring_falls_with_its_anchor() -> None:
    """Least promises do not keep each other up: when the anchor is gone, so is the ring; unless it holds."""
    b = GateBuilder()
    anchor = b.leaf("anchor")
    one, other = b.promise("one", "least"), b.promise("other", "least")
    b.define(one, b.any_of([anchor, other]))
    b.define(other, one)
    graph = b.freeze([one, other])
    delays = np.zeros(graph.n_gates)
    assert times(graph, np.array([[3.0]]), delays, mode="fall")[graph.kept].tolist() == [[3], [3]]
    delays[graph.gate_of[other]] = 1
    assert times(graph, np.array([[3.0]]), delays, mode="fall")[graph.kept].tolist() == [[INF], [INF]]


@given(graph=systems(least=False), data=st.data(), mode=st.sampled_from(["fall", "rise"]))
@settings(deadline=None, max_examples=200)
def test_times_are_those_of_an_event_queue(graph: GateGraph, data: st.DataObject, mode: Mode) -> None:
    """Both modes agree with a plain queue, scenario by scenario, when no promise is least."""
    scenarios = [whole(data, graph.n_leaves, 9, never=True) for _ in range(3)]
    delays = drawn_delays(data, graph, 3, never=True)
    found = times(graph, np.array(scenarios).T, np.array(delays), mode=mode)
    made = graph.kind != Kind.ORACLE
    for column, leaf_times in zip(found.T, scenarios, strict=True):
        np.testing.assert_array_equal(column[made], np.array(dijkstra(graph, leaf_times, delays, mode))[made])


@given(graph=systems(), data=st.data())
@settings(deadline=None)
def test_rise_times_are_those_of_an_event_queue_whatever_the_signs(
    graph: GateGraph, data: st.DataObject
) -> None:
    """From nothing, every promise rises only when its body has."""
    leaf_times = whole(data, graph.n_leaves, 9, never=True)
    delays = drawn_delays(data, graph, 3, never=False)
    found = times(graph, np.array([leaf_times]).T, np.array(delays), mode="rise")
    made = graph.kind != Kind.ORACLE
    np.testing.assert_array_equal(found[made, 0], np.array(dijkstra(graph, leaf_times, delays, "rise"))[made])


@given(graph=systems(), data=st.data())
@settings(deadline=None)
def test_without_holds_a_fall_is_the_first_moment_the_judge_says_false(
    graph: GateGraph, data: st.DataObject
) -> None:
    """At every moment up to it the kept gate is true, from it on false; both signs, loops and boxes."""
    leaf_times = whole(data, graph.n_leaves, 4, never=True)
    found = times(graph, np.array([leaf_times]).T, mode="fall")[graph.kept, 0]
    for now in range(6):
        stands = judge(graph, {leaf for leaf, at in enumerate(leaf_times) if at <= now})
        assert stands == tuple((found > now).tolist())


@given(graph=systems(max_leaves=4, oracles=False), data=st.data())
@settings(deadline=None, max_examples=60)
def test_falls_with_holds_are_those_watched_moment_by_moment(graph: GateGraph, data: st.DataObject) -> None:
    """Least promises within greatest ones, with holds anywhere, agree with a clock that ticks."""
    leaf_times = whole(data, graph.n_leaves, 4, never=True)
    delays = drawn_delays(data, graph, 2, never=False)
    found = times(graph, np.array([leaf_times]).T, np.array(delays), mode="fall")[graph.kept, 0]
    until = 8 + 2 * graph.n_gates  # no fall comes later than the last leaf and all the holds
    expected = np.array(watched(graph, leaf_times, delays, until))[graph.kept]
    np.testing.assert_array_equal(found, expected)


def test_wrong_arguments_are_told() -> None:
    """Shapes, negative numbers and NaN are refused with the value."""
    b = GateBuilder()
    graph = b.freeze([b.leaf("x")])
    with pytest.raises(ValueError, match=r"leaf_times has shape \(2, 1\), not \(1, 1\)"):
        times(graph, np.zeros((2, 1)), mode="fall")
    with pytest.raises(ValueError, match="delays has shape"):
        times(graph, np.zeros((1, 1)), np.zeros(3), mode="fall")
    with pytest.raises(ValueError, match="leaf_times holds nan"):
        times(graph, np.full((1, 1), np.nan), mode="rise")
    with pytest.raises(ValueError, match=r"delays holds -1\.0"):
        times(graph, np.zeros((1, 1)), np.array([-1.0]), mode="rise")


@given(systems(), st.data())
@settings(max_examples=200)
def test_what_moves_is_enough(graph: GateGraph, data: st.DataObject) -> None:
    """Other leaves and delays than usual: what lies above them, and nothing else, has other moments."""
    mode: Mode = data.draw(st.sampled_from(("fall", "rise")))
    usual_leaf = np.array([whole(data, graph.n_leaves, 5, never=True)]).T
    leaf = np.where(
        data.draw(st.booleans()), usual_leaf, np.array([whole(data, graph.n_leaves, 5, never=True)]).T
    )
    usual_delays, delays = (np.array(drawn_delays(data, graph, 3, never=True)) for _ in range(2))
    delays = np.where(data.draw(st.booleans()), usual_delays, delays)
    usual = times(graph, usual_leaf, usual_delays, mode=mode)[:, 0]
    true = times(graph, leaf, delays, mode=mode)
    begins = delays != usual_delays
    begins[: graph.n_leaves] |= (leaf != usual_leaf).any(axis=1)
    still = data.draw(st.booleans()) & (true[:, 0] == usual) & (graph.kind != Kind.ORACLE)
    beside = Beside(usual=usual, moving=moving(graph, begins, still))
    found = kept_times(graph, leaf, delays, beside, mode=mode)
    moves = beside.moving[graph.kept]
    assert np.array_equal(found, true[graph.kept][moves])
    assert np.array_equal(usual[graph.kept][~moves], true[graph.kept][~moves, 0])
