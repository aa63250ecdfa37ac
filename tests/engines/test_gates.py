"""Does the builder share, simplify and freeze as it says?"""

from __future__ import annotations

import numpy as np
import pytest

from falsework.engines.gates import GREATEST, LEAST, GateBuilder, Kind
from falsework.engines.judge import judge


def test_equal_gates_are_one_gate() -> None:
    """Order and repeats of inputs do not make a new all-of or any-of; order does not make a new at-least."""
    b = GateBuilder()
    x, y, z = (b.leaf(name) for name in "xyz")
    assert b.leaf("x") == x
    assert b.all_of([x, y]) == b.all_of([y, x, y])
    assert b.any_of([x, y]) == b.any_of([y, y, x])
    assert b.at_least(2, [x, y, z]) == b.at_least(2, [z, x, y])
    assert b.all_of([x, y]) != b.any_of([x, y])


def test_constants_and_lone_inputs_vanish() -> None:
    """All-of and any-of with constants, of one thing and of nothing are what logic says."""
    b = GateBuilder()
    x, y = b.leaf("x"), b.leaf("y")
    assert b.all_of([]) == b.true
    assert b.any_of([]) == b.false
    assert b.all_of([x, b.true]) == b.any_of([x, b.false]) == b.all_of([x, x]) == x
    assert b.all_of([x, b.false]) == b.false
    assert b.any_of([x, b.true]) == b.true
    assert b.all_of([x, b.true, y]) == b.all_of([x, y])


def test_at_least_falls_back_on_simpler_gates() -> None:
    """No, every, too many, one, and constant inputs are simplified; a repeat counts twice."""
    b = GateBuilder()
    x, y, z = (b.leaf(name) for name in "xyz")
    assert b.at_least(0, [x]) == b.at_least(-1, []) == b.true
    assert b.at_least(3, [x, y]) == b.false
    assert b.at_least(2, [x, y]) == b.all_of([x, y])
    assert b.at_least(1, [x, y]) == b.any_of([x, y])
    assert b.at_least(2, [x, y, b.true]) == b.any_of([x, y])
    assert b.at_least(2, [x, y, b.false]) == b.all_of([x, y])
    assert b.at_least(2, [x, x, x]) == x
    graph = b.freeze([b.at_least(2, [x, x, y, z])])
    assert [judge(graph, lost)[0] for lost in ({1, 2}, {0}, {0, 1})] == [True, True, False]


def test_wires_and_promises_keep_their_identity() -> None:
    """Two wires of one gate, and two promises of one name, differ."""
    b = GateBuilder()
    x = b.leaf("x")
    assert len({x, b.wire(x, "w"), b.wire(x, "w"), b.promise("p", "least"), b.promise("p", "least")}) == 5


def test_freeze_drops_what_nothing_kept_needs_but_no_leaf() -> None:
    """Leaves come first and all stay; other gates stay when needed; kept order and repeats are respected."""
    b = GateBuilder()
    x, y = b.leaf("x"), b.leaf("y")
    unused, used = b.all_of([x, y]), b.any_of([x, y])
    z = b.leaf("z")
    graph = b.freeze([used, z, used])
    assert graph.leaf_names == ("x", "y", "z")
    assert graph.kind.tolist() == [Kind.LEAF] * 3 + [Kind.ANY]
    assert graph.kept.tolist() == [3, 2, 3]
    assert unused not in graph.gate_of
    assert graph.inputs(graph.gate_of[used]) == (0, 1)
    with pytest.raises(ValueError, match="read-only"):
        graph.kind[0] = Kind.TRUE


def test_freeze_renumbers_oracles_and_marks_unneeded_outputs() -> None:
    """Only the boxes that are needed stay; outputs nobody needs are -1."""
    b = GateBuilder()
    x = b.leaf("x")
    b.oracle([x], 1, lambda inputs: inputs, "first")
    _, second = b.oracle([x, x], 2, lambda inputs: inputs, "second")
    graph = b.freeze([second])
    (box,) = graph.oracles
    assert (box.label, box.outputs) == ("second", (-1, graph.gate_of[second]))
    assert graph.inputs(box.gate) == (0, 0)
    assert judge(graph, {0}) == (False,)


def test_signs_and_names_of_promises_survive_freezing() -> None:
    """A loop of its own holds itself up when greatest, and never starts when least."""
    b = GateBuilder()
    up, down = b.promise("up", "greatest"), b.promise("down", "least")
    b.define(up, up)
    b.define(down, down)
    graph = b.freeze([up, down])
    assert graph.sign.tolist() == [GREATEST, LEAST]
    assert dict(graph.labels) == {0: "up", 1: "down"}
    assert judge(graph, ()) == (True, False)


def test_misuse_is_told_plainly() -> None:
    """Undefined, doubly defined and unknown gates are refused by name or number."""
    b = GateBuilder()
    x = b.leaf("x")
    p = b.promise("p", "greatest")
    with pytest.raises(ValueError, match="'p' was never defined"):
        b.freeze([p])
    b.define(p, x)
    with pytest.raises(ValueError, match="'p' is defined twice"):
        b.define(p, x)
    with pytest.raises(ValueError, match="is no promise"):
        b.define(x, p)
    with pytest.raises(ValueError, match="there is no gate 99"):
        b.all_of([x, type(x)(99)])
    with pytest.raises(ValueError, match="not 'up'"):
        b.promise("q", "up")  # type: ignore[arg-type]  # that is the misuse


def test_edges_are_stored_as_rows() -> None:
    """Both arrays are int32 and cover every gate."""
    b = GateBuilder()
    graph = b.freeze([b.all_of([b.leaf("x"), b.leaf("y")])])
    assert graph.indptr.dtype == graph.indices.dtype == np.int32
    assert graph.indptr.tolist() == [0, 0, 0, 2]
