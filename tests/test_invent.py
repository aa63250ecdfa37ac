from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.ground import Ground

from falsework.errors import QuestionError
from falsework.invent import LEAST, MOST, invent, invent_bare, invent_copied
from falsework.lab.read import Source, read, read_text
from falsework.model.build import build
from falsework.model.lab import Lab
from falsework.model.parts import Node
from falsework.model.services import Copy
from falsework.support.placing.amounts import MEMORY
from falsework.support.placing.whole import placeable
from falsework.support.standing import Standing

pytestmark = pytest.mark.slow


def lab(folder: Path, nodes: int, seed: int) -> Lab:
    """An invented lab, read as any other file is."""
    path = folder / f"{nodes}-{seed}.yaml"
    path.write_text(invent(nodes, seed), encoding="utf-8")
    source: Source = read(path)
    return build(source)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder for all the labs of this file."""
    return tmp_path_factory.mktemp("invented")


@settings(max_examples=20)
@given(nodes=st.integers(LEAST, 40), seed=st.integers(0, 2**32))
def test_an_invented_lab_loads_and_stands(folder, nodes, seed):
    """Whatever the size and the seed, the lab has no fault, as many nodes as asked for, and nothing down."""
    found = lab(folder, nodes, seed)
    assert len(found.of(Node)) == nodes
    standing = Standing(found)
    assert [name for name in standing.support.things if not standing.baseline.up(name)] == []
    assert [name for name in standing.support.keepings if not standing.baseline.kept(name)] == []


@pytest.mark.slow
@settings(max_examples=6)
@given(nodes=st.integers(40, 400), seed=st.integers(0, 2**32))
def test_larger_ones_do_too(folder, nodes, seed):
    """The same for labs of many racks."""
    test_an_invented_lab_loads_and_stands.hypothesis.inner_test(folder, nodes, seed)


@given(nodes=st.integers(LEAST, 300), seed=st.integers(0, 1000))
def test_the_same_numbers_give_the_same_text(nodes, seed):
    """The text depends on the size and the seed and on nothing else; another seed gives another text."""
    assert invent(nodes, seed) == invent(nodes, seed)
    assert invent(nodes, seed) != invent(nodes, seed + 1)


def test_the_largest_lab_is_a_short_text():
    """10,000 nodes take well under 2 MB, and no line is longer than an editor bears."""
    text = invent(MOST)
    assert len(text.encode()) < 1_000_000
    assert max(map(len, text.splitlines())) < 300


def test_it_has_about_twenty_parts_a_node(folder):
    """A node comes with its supplies, drives, cards, cables and controller."""
    parts = Standing(lab(folder, 100, 1)).parts
    assert 17 <= len(parts) / 100 <= 24


def test_some_labs_have_flaws():
    """Not every invented lab keeps what its owner wants: each flaw is in some of them and in others not."""
    texts = [invent(150, seed) for seed in range(12)]
    for words in (
        "cord is too short",
        "no port was free",
        "left in the box",
        "names at 10.10.0.5",
        "apart: node, placed",
    ):
        assert any(words in text for text in texts), words
        assert not all(words in text for text in texts), words


@pytest.mark.parametrize("nodes", [-1, 0, 2, 10_001])
def test_out_of_bounds_is_refused(nodes):
    """Fewer than 3 nodes or more than 10,000 are no question that can be answered."""
    with pytest.raises(QuestionError) as caught:
        invent(nodes)
    assert str(caught.value) == f"a lab of {nodes:,} nodes can't be invented. ask for 3 to 10,000 nodes"


@settings(max_examples=8)
@given(nodes=st.integers(6, 30), seed=st.integers(0, 2**32))
def test_a_bare_lab_can_be_made_with_its_stand_ins_only(nodes, seed):
    """Before any of it stands the lab needs its stand-ins, and with all of them it can be made; then it stands."""
    found = build(read_text(invent_bare(nodes, seed), "bare.yaml"))
    standing = Standing(found)
    assert [name for name in standing.support.things if not standing.baseline.up(name)] == []
    ground = Ground(found)
    assert ground.unmade(())
    assert ground.unmade(ground.stand_ins) == []


@given(nodes=st.integers(6, 200), seed=st.integers(0, 1000))
def test_a_bare_lab_is_the_same_lab(nodes, seed):
    """The same numbers give the same text; machines, wire and power are those of the lab that stands."""
    text = invent_bare(nodes, seed)
    assert text == invent_bare(nodes, seed)
    for section in ("power", "machines", "wire"):
        assert text.split(f"\n{section}:\n")[1].split("\n\n")[0] in invent(nodes, seed)


def test_a_bare_lab_needs_an_installer():
    """Fewer than six nodes have none, and are refused."""
    with pytest.raises(QuestionError) as caught:
        invent_bare(5)
    assert str(caught.value) == "a bare lab of 5 nodes can't be invented. ask for 6 to 10,000 nodes"


@settings(max_examples=6)
@given(nodes=st.integers(8, 40), per_node=st.integers(3, 6), seed=st.integers(0, 2**32))
def test_a_lab_with_copies_has_so_many_and_stands(nodes, per_node, seed):
    """As many copies on the pools as asked for, all of them open to another host; nothing is down."""
    copies = nodes * per_node
    text = invent_copied(nodes, copies, seed)
    assert text == invent_copied(nodes, copies, seed)
    standing = Standing(build(read_text(text, "full.yaml")))
    assert sum(1 for copy in standing.lab.of(Copy) if copy.pool) == copies
    assert [name for name in standing.support.things if not standing.baseline.up(name)] == []


@pytest.mark.parametrize("seed", [1, 2])
def test_two_thirds_of_the_memory_are_used(seed):
    """Of the memory that the pools have for copies 55 to 70 percent are taken, and each host holds what it runs."""
    asked = placeable(Standing(build(read_text(invent_copied(60, 300, seed), "full.yaml"))))
    assert asked.problem.n_items == 300
    use = asked.problem.size[:, MEMORY].sum() / asked.problem.capacity[:, MEMORY].sum()
    assert 0.55 <= use <= 0.70


def test_some_copies_are_placed_as_nobody_should():
    """Somewhere two copies of one service lie in one enclosure by the owner's own word."""
    asked = placeable(Standing(build(read_text(invent_copied(60, 300, 1), "full.yaml"))))
    enclosure = asked.scene.domains("enclosure")
    twice = [
        name
        for name, items in asked.scene.items.items()
        if len({enclosure[asked.today[item]] for item in items}) < len(items)
    ]
    assert twice
    assert len(twice) < len(asked.scene.items) / 2


def test_a_lab_with_copies_is_the_same_lab():
    """All but the copies is as without them."""
    text, plain = invent_copied(40, 200, 7), invent(40, 7)
    lines = text.splitlines()
    assert all(line in lines for line in plain.splitlines())


@pytest.mark.parametrize("copies", [-1, 0, 100_000])
def test_too_few_and_too_many_copies_are_refused(copies):
    """The pools run some copies in any case, and not more than their cores carry."""
    with pytest.raises(QuestionError, match=f"{copies:,} copies on the pools of 40 nodes can't be invented"):
        invent_copied(40, copies)
