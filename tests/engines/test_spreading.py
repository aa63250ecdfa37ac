from __future__ import annotations

from itertools import combinations, product

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.spreading import Ground, best_spread, left_after


def slowly(ground, weights, at):
    """The heaviest piece after the worst loss, with a graph library."""
    worst = []
    for lost in range(ground.vertices):
        graph = networkx.Graph(ground.edges)
        graph.add_nodes_from(range(ground.vertices))
        graph.remove_node(lost)
        everything = [*ground.fixed, *zip(weights, at, strict=True)]
        worst.append(
            max(
                (
                    sum(weight for weight, those in everything if set(those) & piece)
                    for piece in networkx.connected_components(graph)
                ),
                default=0,
            )
        )
    return tuple(worst)


TWO = Ground(vertices=2, edges=((0, 1),))


def test_five_on_two():
    """Five singles on two switches leave two after the worst loss; four and one with two ways leave three."""
    today = [(0,), (0,), (0,), (1,), (1,)]
    assert best_spread(TWO, [1] * 5, today).left == 2
    assert best_spread(TWO, [1] * 5, today, two_ways=1).left == 3


def test_a_star_is_held_together_by_its_middle():
    """On a star the loss of the middle leaves only what is on one leaf, so all on one leaf is no better."""
    star = Ground(vertices=4, edges=((0, 1), (0, 2), (0, 3)))
    assert best_spread(star, [1] * 3, [(1,), (2,), (3,)]).left == 1


def test_what_is_as_good_moves_fewest():
    """One of three on a switch moves; the others stay where they are."""
    ring = Ground(vertices=3, edges=((0, 1), (1, 2), (2, 0)))
    best = best_spread(ring, [1] * 3, [(0,), (0,), (1,)])
    assert best.at == ((0,), (1,), (2,)) or sorted(best.at) == [(0,), (1,), (2,)]
    assert best.left == 2


def test_enough_is_enough():
    """Where what is there will do nothing moves, though more could be left."""
    ring = Ground(vertices=4, edges=((0, 1), (1, 2), (2, 3), (3, 0)))
    today = [(0,), (0,), (1,), (1,)]
    assert best_spread(ring, [1] * 4, today, enough=2).at == tuple(today)
    assert best_spread(ring, [1] * 4, today).left == 3


def test_too_many_ways_are_not_tried():
    """Where the ways are more than are looked at nothing is said."""
    chain = Ground(vertices=40, edges=tuple((at, at + 1) for at in range(39)))
    assert best_spread(chain, [1] * 9, [(0,)] * 9) is None


@st.composite
def grounds(draw):
    """A graph of up to four vertices, some fixed weights and some to be spread."""
    count = draw(st.integers(1, 4))
    pairs = list(combinations(range(count), 2))
    edges = tuple(pair for pair in pairs if draw(st.booleans()))
    fixed = tuple(
        (draw(st.integers(1, 2)), draw(st.frozensets(st.integers(0, count - 1), min_size=1, max_size=2)))
        for _ in range(draw(st.integers(0, 2)))
    )
    weights = sorted(draw(st.lists(st.integers(1, 2), min_size=1, max_size=4)), reverse=True)
    return Ground(vertices=count, edges=edges, fixed=fixed), weights


@given(grounds(), st.integers(0, 1))
@settings(deadline=None, max_examples=200)
def test_the_best_of_all_ways(case, two_ways):
    """No way of all is better, and the one that is given is as good as it says."""
    ground, weights = case
    weights = list(reversed(weights)) if two_ways else weights
    vertices = range(ground.vertices)
    if two_ways and ground.vertices < 2:
        return
    today = [(0,)] * len(weights)
    found = best_spread(ground, weights, today, two_ways=two_ways)
    singles = len(weights) - two_ways
    choices = [[(each,) for each in vertices]] * singles + [list(combinations(vertices, 2))] * two_ways
    best = max(min(slowly(ground, weights, at)) for at in product(*choices))
    assert found.left == best
    assert min(slowly(ground, weights, found.at)) == best
    assert left_after(ground, weights, found.at) == slowly(ground, weights, found.at)
