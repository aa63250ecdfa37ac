from __future__ import annotations

import math
import os

import pytest
from tests.engines.trees.drawn import happens, states

from falsework.engines.trees.galileo import read_galileo
from falsework.engines.trees.tree import Op
from falsework.errors import LabError


@pytest.fixture
def load(tmp_path):
    """Write a file and read it."""

    def write_and_read(content, **options):
        path = tmp_path / "f.dft"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_galileo(path, **options)

    return write_and_read


@pytest.fixture
def fault(load, tmp_path):
    """What is said of a file, without its folder."""

    def say(content):
        with pytest.raises(LabError) as caught:
            load(content)
        return str(caught.value).replace(f"{tmp_path}{os.sep}", "")

    return say


LEAVES = '"B" prob=0.1;\n"C" prob=0.2;\n"D" prob=0.3;'


@pytest.mark.parametrize(("gate", "least"), [("and", 3), ("or", 1), ("2of3", 2), ("AND", 3), ("vot2of3", 2)])
def test_gates(load, gate, least):
    """And, or, and at least k of n, told by how many of three must happen."""
    tree = load(f'toplevel "A";\n"A" {gate} "B" "C" "D";\n{LEAVES}')
    assert tree.name == "A"
    assert tree.probabilities == (0.1, 0.2, 0.3)
    assert all(happens(tree, state) == (len(state) >= least) for state in states(tree))


def test_rates(load):
    """Repaired: the long-run unavailability. Not repaired: by the time given, or unknown without one."""
    text = 'toplevel "A";\n"A" or "B" "C";\n"B" lambda=0.5 dorm=0.3 repair=0.4;\n"C" lambda=0.5 dorm=3;'
    assert load(text).probabilities == (pytest.approx(0.5 / 0.9), None)
    assert load(text, time=2.0).probabilities == (
        pytest.approx(0.5 / 0.9),
        pytest.approx(1 - math.exp(-1)),
    )


def test_traps_of_real_files(load):
    """Commas, slashes, dots and blanks in names; names that differ in case only; what is not reached; no last line end."""
    tree = load(
        'toplevel "Track,_bed/ties a.b";  // a remark\n/* and\n another */"Track,_bed/ties a.b" and "x" "X" "x";\n'
        '"x" prob= 1e-1;\n"X" prob =0.5;"lost" or "gone" "x";\n"gone" prob=1;'
    )
    assert tree.name == "Track,_bed/ties a.b"
    assert tree.events == ("x", "X")
    assert tree.probabilities == (0.1, 0.5)
    assert tree.gates[0].inputs == (0, 1)  # one input twice counts once
    assert tree.unreached == ("lost", "gone")


def test_the_top_event_may_be_a_basic_event(load):
    """A tree of no gate."""
    tree = load('toplevel "B"; "B" prob=0.25;')
    assert (tree.top, tree.events, tree.gates) == (0, ("B",), ())


def test_names_without_quotes(load):
    """Plain words may go without."""
    assert load("toplevel A;\nA or x/y B2;\nx/y prob=0.5;\nB2 prob=0.5;").events == ("x/y", "B2")


@pytest.mark.slow
def test_a_chain_of_100_000_gates(load):
    """No depth of the tree costs depth of stack."""
    n = 100_000
    tree = load('toplevel "g0";' + "".join(f'"g{i}" and "g{i + 1}";' for i in range(n)) + f'"g{n}" prob=0.5;')
    assert len(tree.gates) == n
    assert all(gate.op is Op.AND for gate in tree.gates)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('"B" prob=0.1;', 'f.dft:1:1: no top event is named. Add toplevel "..."; with the name of a gate.'),
        ("// nothing", "f.dft:1:1: the file holds no statement. Name a fault-tree file."),
        ('toplevel "A";\n"A" or "B";\n"B" prob=0.1', "f.dft:3:10: the last statement does not end. End it with ';'."),
        ('toplevel "A";\n"A" or "b";\n"B" prob=0.1;', "f.dft:2:8: no gate or event is called 'b'. Did you mean 'B'?"),
        (
            'toplevel "A";\n"A" or "B";\n"B" prob=0.1;\n"B" prob=0.1;',
            "f.dft:4:1: 'B' is defined twice; the first time at f.dft:3:1. Keep one of the two, or give one another name.",
        ),
        (
            'toplevel "A";\n"A" or "B";\n"B" or "A";',
            "f.dft:2:1: gates lean on each other in a circle: 'A' leans on 'B' leans on 'A'. A fault tree says what follows from what: take one of these inputs away.",
        ),
        ('toplevel "A";\n"A" 2of3 "B" "C";', "f.dft:2:5: '2of3' has 2 inputs. Give it 3, or write 2of2."),
        ('toplevel "A";\n"A" 3of2 "B" "C";', "f.dft:2:5: '3of2' asks for 3 of 2. Ask for 1 to 2."),
        ('toplevel "A";\n"A" 0of2 "B" "C";', "f.dft:2:5: '0of2' asks for 0 of 2. Ask for 1 to 2."),
        ('toplevel "A";\n"A" nand "B" "C";', "f.dft:2:5: 'A' is said to be 'nand', which is no gate. Write and, or, or for instance 2of3."),
        ('toplevel "B";\n"B" prob=nan;', "f.dft:2:10: prob is 'nan'. Give a finite number, such as 0.01 or 1e-2."),
        ('toplevel "B";\n"B" prob=1.1;', "f.dft:2:10: prob is '1.1'. A probability lies between 0 and 1."),
        ('toplevel "B";\n"B" lambda=-1;', "f.dft:2:12: lambda is '-1'. Give a number from 0 on."),
        ('toplevel "B";\n"B" prop=1;', "f.dft:2:5: the key 'prop' is not read. Did you mean 'prob'?"),
        ('toplevel "B";\n"B" cov=1;', "f.dft:2:5: the key 'cov' is not read. Those read are: prob, lambda, dorm, repair."),
        ('toplevel "B";\n"B" prob=0.1 lambda=1;', "f.dft:2:1: 'B' has both prob and lambda. Give it one of the two."),
        ('toplevel "B";\n"B" repair=1;', "f.dft:2:1: 'B' has neither prob nor lambda. Give it one of the two."),
        (
            'toplevel "A";\n"A" or "B"\n"B" prob=0.1;',
            "f.dft:3:9: '=' stands among the inputs of a gate. A ';' may be missing before.",
        ),
        ('toplevel "A;\n"A" or "B";', "f.dft:1:10: a quotation mark is not closed on its line. Write names as \"name\", each on one line."),
        ('toplevel "B"; /* "B" prob=1;', "f.dft:1:15: a remark does not end. Close it with '*/'."),
        (b'toplevel "A";\n"\xe9" prob=1;', "f.dft:2:2: the byte 0xe9 is not UTF-8 text. Save the file as UTF-8."),
        ('toplevel "A";\ntoplevel "B";', "f.dft:2:1: toplevel is said twice; the first time at f.dft:1:1. Keep one of the two."),
    ],
)  # fmt: skip
def test_each_fault_is_told_with_place_and_mend(fault, text, said):
    """The whole message: where, what, how to mend it."""
    assert fault(text) == said


@pytest.mark.parametrize(
    "gate", ["pand", "por", "wsp", "csp", "hsp", "spare", "fdep", "pdep", "seq", "mutex"]
)
def test_dynamic_gates_are_refused_by_name(fault, gate):
    """They are never taken for a static gate."""
    assert fault(f'toplevel "A";\n"A" {gate} "B" "C";\n{LEAVES}') == (
        f"f.dft:2:5: 'A' is said to be '{gate}', a dynamic gate: its order in time matters, which a static fault tree"
        " can't say. Use 'and', 'or' or '2of3' where the order does not matter, or leave the gate out."
    )


def test_endless_statements_are_cut_short(fault):
    """Neither one long statement nor very many words go on for ever."""
    assert "a statement has more than 100000 words" in fault('"A" prob=0.1 ' * 100_000)
