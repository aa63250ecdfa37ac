"""Does rewriting, cutting and ordering a tree leave what it says alone?"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from tests.engines.diagrams.random_trees import tree_of, trees, truth

from falsework.engines.diagrams.modules import modules
from falsework.engines.diagrams.net import Net
from falsework.engines.diagrams.orders import RULES
from falsework.engines.diagrams.pieces import pieces
from falsework.engines.diagrams.simplify import merged, simplified
from falsework.engines.trees.tree import Op


def as_tree(tree, net):
    """A net with the names of the tree it came from."""
    return replace(tree, gates=net.gates, gate_names=("",) * len(net.gates), top=net.top)


def below(net, node, *, but=-1):
    """The events that a node leans on, without looking through one other node."""
    found, waiting, seen = set(), [node], {but}
    while waiting:
        at = waiting.pop()
        if at in seen:
            continue
        seen.add(at)
        gate = net.gate(at)
        if gate is None:
            found.add(at)
        else:
            waiting += gate.inputs
    return found


@pytest.mark.parametrize("rewrite", [merged, simplified])
@given(tree=trees(most_gates=14))
@settings(deadline=None)
def test_rewriting_keeps_the_function(rewrite, tree):
    """The same answer for every set of events, and no constant or pass-through gate is left but as the top."""
    net = rewrite(Net.of(tree))
    written = as_tree(tree, net)
    for bits in product((False, True), repeat=len(tree.events)):
        failed = {event for event, bit in enumerate(bits) if bit}
        assert truth(written, failed) == truth(tree, failed)
    assert Op.SAME not in {gate.op for gate in net.gates}
    assert Op.CONSTANT not in {gate.op for gate in net.gates} or len(net.gates) == 1


def test_what_is_common_is_taken_out():
    """(a and b) or (a and c) has two gates afterwards, not three."""
    tree = tree_of(3, (Op.AND, [0, 1]), (Op.AND, [0, 2]), (Op.OR, [3, 4]))
    assert len(merged(Net.of(tree)).gates) == 3
    assert len(simplified(Net.of(tree)).gates) == 2


@given(trees(most_gates=14))
@settings(deadline=None)
def test_a_module_shares_no_event_with_the_rest(tree):
    """Whatever the top leans on without the module, the module does not."""
    net = merged(Net.of(tree))
    found = modules(net)
    assert found[-1] == net.top
    for node in found[:-1]:
        assert below(net, node).isdisjoint(below(net, net.top, but=node))


def test_modules_are_found():
    """Two blocks under an or: both are modules; with an event in common neither is."""
    apart = tree_of(4, (Op.AND, [0, 1]), (Op.AND, [2, 3]), (Op.OR, [4, 5]))
    assert modules(Net.of(apart)) == [4, 5, 6]
    shared = tree_of(3, (Op.AND, [0, 1]), (Op.AND, [1, 2]), (Op.OR, [3, 4]))
    assert modules(Net.of(shared)) == [5]


@pytest.mark.parametrize("rule", sorted(RULES))
@given(tree=trees(most_gates=10))
@settings(deadline=None, max_examples=20)
def test_an_order_holds_every_event_once(rule, tree):
    """For every piece of a tree, by every rule."""
    for piece in pieces(merged(Net.of(tree))):
        if piece.net.gates and piece.leaves:
            assert sorted(RULES[rule](piece.net)) == list(range(piece.net.n_events))
