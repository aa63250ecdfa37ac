"""Are all pairs right, though few are tried?"""

from __future__ import annotations

from itertools import combinations
from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.systems import majority_and_all, systems, weighted
from tests.lengths import many

from falsework.engines import meeting, touching
from falsework.engines import pairs as pairs_module
from falsework.engines.gates import GateBuilder, GateGraph
from falsework.engines.judge import judge
from falsework.engines.pairs import Pairs, pairs
from falsework.engines.sparse import lists_of


def everything(graph: GateGraph) -> Pairs:
    """All pairs with every kept gate watched."""
    return pairs(graph, range(len(graph.kept)))


def new(found: Pairs) -> set[tuple[int, int, int]]:
    """The new pairs of classes, by the first leaf of each, and their rows."""
    first = found.classes.representative
    return {
        (int(first[a]), int(first[b]), row)
        for row in range(found.effects.shape[1])
        for a, b in zip(*found.together(row), strict=True)
    }


@given(graph=systems(max_leaves=12), data=st.data())
@settings(deadline=None, max_examples=many(120, at_length=1200))
@pytest.mark.slow
def test_every_pair_is_what_the_definition_says(graph: GateGraph, data: st.DataObject) -> None:
    """Values and counts over all pairs equal the judge's, cycles of both signs and oracles included."""
    positions = st.lists(st.integers(0, len(graph.kept) - 1), min_size=1, max_size=4)
    watched = data.draw(st.one_of(st.just(list(range(len(graph.kept)))), positions))
    found = pairs(graph, watched)
    n = graph.n_leaves
    single = np.array([judge(graph, {leaf}) for leaf in range(n)], dtype=np.bool_)[:, watched]
    np.testing.assert_array_equal(found.classes.stands[:, found.classes.of_leaf].T, single)
    false, fresh = np.zeros(len(watched), dtype=np.int64), np.zeros(len(watched), dtype=np.int64)
    for a, b in combinations(range(n), 2):
        value = np.array(judge(graph, {a, b}), dtype=np.bool_)[watched]
        assert found.value(a, b).tolist() == found.value(b, a).tolist() == value.tolist()
        false += ~value
        fresh += single[a] & single[b] & ~value
    assert found.false_pairs.tolist() == false.tolist()
    assert found.new_pairs.tolist() == fresh.tolist()


@given(graph=systems(max_leaves=8))
@settings(deadline=None, max_examples=100)
def test_leaves_of_one_class_are_interchangeable(graph: GateGraph) -> None:
    """Swapping a leaf for one of its class changes no kept value, whichever others fail."""
    found = everything(graph).classes
    for number in range(len(found)):
        for one, other in combinations(found.members(number), 2):
            rest = [leaf for leaf in range(graph.n_leaves) if leaf not in (one, other)]
            for size in range(len(rest) + 1):
                for company in combinations(rest, size):
                    assert judge(graph, {one, *company}) == judge(graph, {other, *company})
                    assert judge(graph, {one, *company}) == judge(graph, {one, other, *company})


@given(graph=systems(max_leaves=12))
@settings(deadline=None, max_examples=100)
def test_new_pairs_are_sorted_and_new(graph: GateGraph) -> None:
    """Each new pair comes once, in order, with some effect, and both single values true there."""
    found = everything(graph)
    listed = list(zip(found.class_a.tolist(), found.class_b.tolist(), strict=True))
    assert listed == sorted(set(listed))
    assert len({tuple(effect) for effect in found.effects.tolist()}) == len(found.effects)
    for (a, b), effect in zip(listed, found.effect.tolist(), strict=True):
        assert a < b
        assert found.effects[effect].any()
        assert (found.classes.stands[:, a] & found.classes.stands[:, b])[found.effects[effect]].all()


@given(graph=systems(max_leaves=10))
@settings(deadline=None, max_examples=100)
def test_thin_is_one_loss_from_false(graph: GateGraph) -> None:
    """A value is thin after a loss when another, harmless to it alone, makes it false then."""
    found = everything(graph)
    thin, n = found.thin(), graph.n_leaves
    single = [np.array(judge(graph, {leaf}), dtype=np.bool_) for leaf in range(n)]
    for a in range(n):
        expected = np.zeros(len(graph.kept), dtype=np.bool_)
        for b in range(n):
            expected |= single[a] & single[b] & ~np.array(judge(graph, {a, b}), dtype=np.bool_)
        assert thin[:, found.classes.of_leaf[a]].tolist() == expected.tolist()


def test_two_cuts_part_a_ring() -> None:
    """By hand: a ring of four reached from place 0; two cut links part exactly the places between them."""
    b = GateBuilder()
    links = [b.leaf(f"link {n}") for n in range(4)]  # link n joins places n and n + 1
    anchor = b.leaf("anchor")
    reached = [b.promise(f"place {n}", "least") for n in range(4)]
    for n in range(4):
        ways = [b.all_of([links[n], reached[(n + 1) % 4]]), b.all_of([links[n - 1], reached[n - 1]])]
        b.define(reached[n], b.any_of([*ways, anchor] if n == 0 else ways))
    found = everything(b.freeze(reached))
    cut_off = {(0, 1): {1}, (0, 2): {1, 2}, (0, 3): {1, 2, 3}, (1, 2): {2}, (1, 3): {2, 3}, (2, 3): {3}}
    assert new(found) == {(one, other, row) for (one, other), rows in cut_off.items() for row in rows}
    assert found.false_pairs.tolist() == [4, 4 + 3, 4 + 4, 4 + 3]  # with the anchor each time


def test_a_box_in_a_loop_gives_outputs_beside_it() -> None:
    """By hand: one output of a box feeds the box and never rises; the other falls only with both y and z."""
    b = GateBuilder()
    x, y, z = b.leaf("x"), b.leaf("y"), b.leaf("z")
    fed_back = b.promise("fed back", "least")
    most, every = b.oracle([x, x, y, z, fed_back], 2, majority_and_all, "box")
    b.define(fed_back, every)
    found = everything(b.freeze([most, fed_back]))
    assert new(found) == {(1, 2, 0)}


def test_the_drives_of_a_mirror_are_two_classes() -> None:
    """By hand: either drive will do, so neither alone does anything, yet they are not one class."""
    b = GateBuilder()
    drives = [b.leaf("drive 0"), b.leaf("drive 1")]
    board, fan = b.leaf("board"), b.leaf("fan")
    found = everything(b.freeze([b.all_of([b.any_of(drives), board, fan])]))
    assert found.classes.of_leaf.tolist() == [0, 1, 2, 2]
    assert found.classes.members(2) == (2, 3)
    assert found.classes.sizes.tolist() == [1, 1, 2]
    assert new(found) == {(0, 1, 0)}
    assert found.n_tried == 1


def test_counts_stand_for_leaves_not_classes() -> None:
    """By hand: two out of three nodes of four parts each; 3 x 4 x 4 new pairs, none within a node."""
    b = GateBuilder()
    nodes = [b.all_of([b.leaf(f"part {n} {i}") for i in range(4)]) for n in range(3)]
    root = b.leaf("root")
    found = everything(b.freeze([b.all_of([b.at_least(2, nodes), root]), root]))
    assert found.classes.sizes.tolist() == [4, 4, 4, 1]
    assert found.new_pairs.tolist() == [48, 0]
    assert found.false_pairs.tolist() == [48 + 12, 12]
    assert found.value(0, 1).tolist() == [True, True]
    assert found.value(0, 4).tolist() == [False, True]


def test_an_input_listed_twice_counts_twice() -> None:
    """By hand: two of (x, x, y, z): x alone will do, y and z together too."""
    b = GateBuilder()
    x, y, z = b.leaf("x"), b.leaf("y"), b.leaf("z")
    found = everything(b.freeze([b.at_least(2, [x, x, y, z])]))
    assert new(found) == {(0, 1, 0), (0, 2, 0)}


def test_losses_that_never_meet_are_not_tried() -> None:
    """By hand: twenty services with a mirror each: twenty pairs are tried of 780, and all are right."""
    b = GateBuilder()
    services = [b.any_of([b.leaf(f"drive {n} 0"), b.leaf(f"drive {n} 1")]) for n in range(20)]
    found = everything(b.freeze(services))
    assert found.n_tried == 20
    assert found.false_pairs.tolist() == [1] * 20


def test_what_can_be_spared_twice_is_not_tried() -> None:
    """By hand: of 50 nodes 47 are needed, so no two matter; a strip with two of them and any other node do."""
    b = GateBuilder()
    strip = b.leaf("strip")
    nodes = [b.all_of([b.leaf(f"node {n}"), strip] if n < 2 else [b.leaf(f"node {n}")]) for n in range(50)]
    assert everything(b.freeze([b.at_least(46, nodes)])).n_tried == 0
    found = everything(b.freeze([b.at_least(48, nodes)]))
    assert found.n_tried == 50  # the strip with each node, its own two included
    assert new(found) == {(0, other, 0) for other in range(3, 51)}


@pytest.mark.parametrize(("bound", "tried", "fall"), [(150, 0, 0), (189, 2048, 0), (190, 2080, 2080)])
def test_a_box_is_asked_about_groups(bound: int, tried: int, fall: int) -> None:
    """By hand: 65 shares of 3 make 195, of which two go at a time.

    A box that bears fifteen losses needs no pair tried. One that bears two was asked about groups of two, so all
    pairs but the 32 within a group are tried. One that bears one loss falls with all 2,080 pairs.
    """
    b = GateBuilder()
    shares = [b.leaf(f"share {n}") for n in range(65)]
    found = everything(b.freeze(b.oracle(shares, 1, weighted((3,) * 65, bound), "box")))
    assert found.n_tried == tried
    assert found.false_pairs.tolist() == [fall]


@given(n_words=st.integers(1, 5), part=st.integers(1, 4), chunk=st.integers(1, 700), at=st.integers(2, 39))
@settings(deadline=None, max_examples=40)
def test_however_pairs_are_cut_into_chunks(n_words: int, part: int, chunk: int, at: int) -> None:
    """By hand: 40 nodes need all, all but one, or `at` of each other; any cutting gives the same 780 pairs."""
    b = GateBuilder()
    nodes = [b.leaf(f"node {n}") for n in range(40)]
    mirrors = [b.any_of(nodes[n : n + 2]) for n in range(0, 40, 2)]
    graph = b.freeze([b.at_least(39, nodes), b.at_least(at, nodes), b.all_of(mirrors)])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pairs_module, "_PART", part)
        patch.setattr(pairs_module, "_CHUNK", chunk)
        found = pairs(graph, range(3), memory_bytes=graph.n_gates * 16 * n_words)
    assert found.n_tried == 780
    assert found.new_pairs.tolist() == [780, 780 if at == 39 else 0, 20]
    for a, c in combinations(range(40), 2):
        assert found.value(a, c).tolist() == [False, at < 39, not (a % 2 == 0 and c == a + 1)]


@given(graph=systems(max_leaves=12))
@settings(deadline=None, max_examples=150)
def test_groups_at_boxes_lose_no_pair(graph: GateGraph) -> None:
    """The same values come out when even the smallest box is asked about groups first."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(touching, "_FEW", 0)
        found = everything(graph)
    for a, b in combinations(range(graph.n_leaves), 2):
        assert found.value(a, b).tolist() == list(judge(graph, {a, b}))


@given(lists=st.lists(st.frozensets(st.integers(0, 40)), max_size=90), data=st.data())
def test_who_meets_is_found_by_lists_long_and_short(lists: list[frozenset[int]], data: st.DataObject) -> None:
    """Pairs that meet equal those of the definition, whichever way long lists are kept."""
    chosen = np.array(data.draw(st.lists(st.booleans(), min_size=41, max_size=41)), dtype=np.bool_)
    rows = lists_of(sorted(some) for some in lists)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(meeting, "_WIDE", data.draw(st.integers(0, 42)))
        patch.setattr(meeting, "_SIDE", data.draw(st.integers(1, 50)))
        patch.setattr(meeting, "_BLOCK_BYTES", 41 * data.draw(st.integers(1, 41)))
        squares = list(meeting.meeting(meeting.Meetings(one=rows, other=rows), chosen))
    pairs_found = [
        (a, b) for _, some, other in squares for a, b in zip(some.tolist(), other.tolist(), strict=True)
    ]
    expected = {pair for some in lists for pair in combinations(sorted(some), 2) if chosen[list(pair)].all()}
    assert len(pairs_found) == len(expected)
    assert set(pairs_found) == expected


def test_leaves_that_nothing_watched_leans_on_are_one_class() -> None:
    """By hand: what is not asked about does not split classes, nor are its pairs tried."""
    b = GateBuilder()
    loose = [b.leaf(f"loose {n}") for n in range(5)]
    graph = b.freeze([b.all_of([b.leaf("x"), b.leaf("y")]), b.any_of(loose)])
    found = pairs(graph, [0])
    assert found.classes.sizes.tolist() == [5, 2]
    assert found.n_tried == 0
    assert found.false_pairs.tolist() == [comb(7, 2) - comb(5, 2)]


def test_progress_ends_with_all_classes() -> None:
    """The last word to `progress` is that all classes are done."""
    b = GateBuilder()
    graph = b.freeze([b.any_of([b.leaf("x"), b.leaf("y")])])
    told: list[tuple[int, int]] = []
    pairs(graph, [0], progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (2, 2)


def test_no_leaves_no_pairs() -> None:
    """A system without leaves has no pairs, and nothing watched gives no rows."""
    b = GateBuilder()
    found = pairs(b.freeze([b.true]), [0])
    assert found.false_pairs.tolist() == [0]
    b.leaf("x")
    assert pairs(b.freeze([b.true]), []).false_pairs.shape == (0,)
