from __future__ import annotations

import os
import tracemalloc

import numpy as np
import pytest
from hypothesis import given
from tests.engines.trees.drawn import happens, states, trees

from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.openpsa import read_openpsa
from falsework.engines.trees.tree import Op
from falsework.errors import LabError

NEEDED = '<define-basic-event name="a"/><define-basic-event name="b"/><define-basic-event name="c"/>'


@pytest.fixture
def load(tmp_path):
    """Write a file and read it."""

    def write_and_read(content, **options):
        path = tmp_path / "f.xml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_openpsa(path, **options)

    return write_and_read


@pytest.fixture
def fault(load, tmp_path):
    """What is said of a file, without its folder."""

    def say(content, **options):
        with pytest.raises(LabError) as caught:
            load(content, **options)
        return str(caught.value).replace(f"{tmp_path}{os.sep}", "")

    return say


def gate(formula, name="t"):
    """One gate."""
    return f'<define-gate name="{name}">{formula}</define-gate>'


def model(*definitions, data=""):
    """A file of one fault tree."""
    joined = "\n".join(definitions)
    return f'<opsa-mef>\n<define-fault-tree name="ft">\n{joined}\n</define-fault-tree>\n<model-data>{data}</model-data>\n</opsa-mef>'


def events(*names):
    """References to basic events."""
    return "".join(f'<basic-event name="{name}"/>' for name in names)


def truths(tree):
    """The states, by names, in which the top event happens."""
    return {frozenset(tree.events[e] for e in s) for s in states(tree) if happens(tree, s)}


def of(test, names="abc"):
    """The states of these events that pass a test on how many of them happened, in their order."""
    found = set()
    for bits in range(1 << len(names)):
        state = [bool(bits >> i & 1) for i in range(len(names))]
        if test(*state):
            found.add(frozenset(name for name, on in zip(names, state, strict=True) if on))
    return found


@pytest.mark.parametrize(
    ("formula", "test"),
    [
        (f"<and>{events('a', 'b', 'c')}</and>", lambda a, b, c: a and b and c),
        (f"<or>{events('a', 'b', 'c')}</or>", lambda a, b, c: a or b or c),
        (f"<or>{events('a', 'b', 'c', 'a')}</or>", lambda a, b, c: a or b or c),
        (f"<xor>{events('a', 'b', 'c')}</xor>", lambda a, b, c: (a + b + c) % 2),
        (f"<iff>{events('a', 'b', 'c')}</iff>", lambda a, b, c: (a == b) == c),
        (f"<nand>{events('a', 'b', 'c')}</nand>", lambda a, b, c: not (a and b and c)),
        (f"<nor>{events('a', 'b', 'c')}</nor>", lambda a, b, c: not (a or b or c)),
        (f'<atleast min="2">{events("a", "b", "c")}</atleast>', lambda a, b, c: a + b + c >= 2),
        (
            f'<cardinality min="1" max="2">{events("a", "b", "c")}</cardinality>',
            lambda a, b, c: 1 <= a + b + c <= 2,
        ),
        (
            f'<cardinality min="0" max="1">{events("a", "b", "c")}</cardinality>',
            lambda a, b, c: a + b + c <= 1,
        ),
        (f"<or><and>{events('a', 'b')}</and>{events('c')}</or>", lambda a, b, c: (a and b) or c),
        (f"<and><not>{events('a')}</not>{events('b', 'c')}</and>", lambda a, b, c: not a and b and c),
        (
            f"<and><imply>{events('a', 'b')}</imply>{events('c')}<constant value='true'/></and>",
            lambda a, b, c: (not a or b) and c,
        ),
    ],
)
def test_connectives_mean_what_the_standard_says(load, formula, test):
    """Each connective, state by state. Source: Open-PSA MEF 2.0, table "Semantics of Boolean connectives"."""
    tree = load(model(gate(formula)))
    assert len(tree.events) == 3
    assert truths(tree) == of(test)


def test_iff_of_two(load):
    """The common case: both or neither."""
    assert truths(load(model(gate(f"<iff>{events('a', 'b')}</iff>")))) == of(lambda a, b: a == b, "ab")


def test_the_example_of_the_standard(load):
    """The fault tree drawn in the standard's chapter "Fault Tree Layer", with a house event that is true."""
    top = gate('<or><gate name="g1"/><gate name="g2"/></or>', "top")
    g1 = gate('<and><house-event name="h1"/><gate name="g3"/><gate name="g4"/></and>', "g1")
    g2 = gate('<and><not><house-event name="h1"/></not><basic-event name="e2"/><gate name="g4"/></and>', "g2")
    g3 = gate(f"<or>{events('e1', 'e3')}</or>", "g3")
    g4 = gate(f"<or>{events('e3', 'e4')}</or>", "g4")
    house = '<define-house-event name="h1"><constant value="true"/></define-house-event>'
    text = '<?xml version="1.0" ?>\n<!DOCTYPE opsa-mef>\n' + model(top, g1, g2, g3, g4, house)
    tree = load(text)
    assert tree.name == "ft"
    assert tree.gate_names[tree.top - len(tree.events)] == "top"
    names = ["e1", "e2", "e3", "e4"]
    assert truths(tree) == of(lambda e1, _e2, e3, e4: (e1 or e3) and (e3 or e4), names)
    off = load(text.replace('<constant value="true"/>', ""))  # by default a house event is false
    assert truths(off) == of(lambda _e1, e2, e3, e4: e2 and (e3 or e4), names)


def test_a_bare_reference_passes_on(load):
    """A gate may be another thing's second name; the kind may be told or not."""
    tree = load(
        model(gate('<event name="m"/>'), gate('<event name="n" type="gate"/>', "m"), gate(events("a"), "n"))
    )
    assert truths(tree) == {frozenset("a")}
    assert [one.op for one in tree.gates] == [Op.SAME] * 3


def test_what_the_top_does_not_reach_is_named(load):
    """It is left out of the tree and listed."""
    tree = load(model(gate(events("a")), gate(events("b"), "u"), data=NEEDED), top="t")
    assert tree.events == ("a",)
    assert set(tree.unreached) == {"u", "b", "c"}


def test_labels_and_attributes_are_passed_over(load):
    """Whatever stands in them."""
    label = '<label>top <b>event</b></label><attributes><attribute name="x" value="y"/></attributes>'
    event = f'<define-basic-event name="a">{label}<float value="0.25"/></define-basic-event>'
    tree = load(model(gate(label + events("a")), data=event))
    assert tree.probabilities == (0.25,)


def test_names_have_scopes(load):
    """Private names are known in their container, by path from outside; public ones everywhere."""
    part = '<define-component name="{0}" role="private"><define-gate name="g">{1}</define-gate></define-component>'
    tree = load(
        model(
            gate('<and><gate name="A.g"/><gate name="ft.B.g"/><gate name="p"/></and>'),
            part.format("A", events("a")),
            part.format("B", f"<or>{events('b')}<gate name='p'/></or>"),
            gate(events("c"), "p"),
        )
    )
    assert truths(tree) == of(lambda a, b, c: a and (b or c) and c)


def test_case_matters_and_blanks_around_names_do_not(load):
    """Source: Open-PSA MEF 2.0, "Use Portable Identifiers"."""
    tree = load(model(gate(f"<and>{events('a', ' A ')}</and>")))
    assert set(tree.events) == {"a", "A"}


def expression(text):
    """A file whose one event has this expression."""
    event = f'<define-basic-event name="a">{text}</define-basic-event>'
    rate = '<define-parameter name="r" unit="hours-1"><mul><int value="2"/><parameter name="s"/></mul></define-parameter>'
    half = '<define-parameter name="s"><float value="0.05"/></define-parameter>'
    return model(gate(events("a")), data=event + rate + half)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ('<float value=" 1e-2 "/>', 0.01),
        ('<int value="1"/>', 1.0),
        ('<exponential><parameter name="r"/><system-mission-time/></exponential>', -np.expm1(-0.3)),
        (
            '<sub><float value="1.0"/><exp><mul><neg><parameter name="r"/></neg><system-mission-time/></mul></exp></sub>',
            1 - np.exp(-0.3),
        ),
        # the long-run unavailability lambda / (lambda + mu), reached after a very long time
        (
            '<GLM><float value="0"/><float value="1"/><float value="3"/><float value="1e6"/></GLM>',
            0.25,
        ),
        ('<GLM><float value="0.5"/><float value="1"/><float value="3"/><float value="0"/></GLM>', 0.5),
        (
            '<Weibull><float value="2"/><float value="1"/><float value="1"/><system-mission-time/></Weibull>',
            1 - np.exp(-1),
        ),
        ('<div><float value="1"/><int value="2"/><int value="2"/></div>', 0.25),
        ('<pow><float value="0.5"/><int value="2"/></pow>', 0.25),
        ('<mean><float value="0.5"/><float value="0.25"/></mean>', 0.375),
        ('<uniform-deviate><float value="0.1"/><float value="0.3"/></uniform-deviate>', 0.2),
        (
            '<lognormal-deviate><float value="0.1"/><float value="3"/><float value="0.95"/></lognormal-deviate>',
            0.1,
        ),
    ],
)
def test_expressions(load, text, value):
    """Values by hand, for rate r = 0.1 and mission time 3."""
    assert load(expression(text), time=3.0).probabilities == (pytest.approx(value, rel=1e-12),)


def test_without_a_mission_time_there_is_no_value(load):
    """Nothing is made up for what the file leaves open."""
    assert load(
        expression('<exponential><parameter name="r"/><system-mission-time/></exponential>')
    ).probabilities == (None,)


@given(tree=trees(max_events=5))
def test_reading_what_was_written(tmp_path_factory, tree):
    """A random tree, written in the format, says the same when read."""
    tags = {Op.AND: "and", Op.OR: "or", Op.NOT: "not", Op.XOR: "xor", Op.SAME: None}
    n, gates = len(tree.events), []
    for number, one in enumerate(tree.gates):
        refs = "".join(
            f'<basic-event name="e{node}"/>' if node < n else f'<gate name="g{node - n}"/>'
            for node in one.inputs
        )
        if one.op is Op.CONSTANT:
            body = f'<constant value="{"true" if one.k else "false"}"/>'
        elif one.op is Op.AT_LEAST:
            body = f'<atleast min="{one.k}">{refs}</atleast>'
        elif one.op is Op.XOR and len(one.inputs) == 1:
            body = refs
        else:
            tag = tags[one.op]
            body = f"<{tag}>{refs}</{tag}>" if tag else refs
        gates.append(gate(body, f"g{number}"))
    data = "".join(f'<define-basic-event name="e{i}"/>' for i in range(n))
    path = tmp_path_factory.mktemp("written") / "f.xml"
    path.write_text(model(*reversed(gates), data=data))
    read = read_openpsa(path, top=f"g{len(tree.gates) - 1}")
    assert set(read.events) <= set(tree.events)
    wanted = {frozenset(tree.events[e] for e in cut) for cut in Enumeration(tree).cut_sets()}
    assert {frozenset(read.events[e] for e in cut) for cut in Enumeration(read).cut_sets()} == wanted


@pytest.mark.slow
def test_a_chain_of_100_000_gates(load):
    """No depth of the tree costs depth of stack."""
    n = 100_000
    chain = (gate(f'<gate name="g{i + 1}"/>', f"g{i}") for i in range(n))
    tree = load(model(*chain, gate(events("a"), f"g{n}")))
    assert len(tree.gates) == n + 1
    assert tree.gate_names[tree.top - 1] == "g0"


# What is refused

ATLEAST = '<atleast{}><basic-event name="a"/><basic-event name="b"/></atleast>'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "f.xml:1:1: the file is empty or begins with nothing but blanks. Name a fault-tree file: Open-PSA XML or Galileo text."),
        (b"\x00\x01\x02", "f.xml:1:1: the file is not text: it holds a zero byte. Name a fault-tree file: Open-PSA XML or Galileo text."),
        ("<html/>", "f.xml:1:1: the file begins with <html>, not with <opsa-mef>. Name a file in the Open-PSA Model Exchange Format."),
        ("<opsa-mef/>", "f.xml:1:1: the file defines no gate. Give it a <define-gate>, or name another file."),
        (
            b"<opsa-mef>\n<label>caf\xe9</label></opsa-mef>",
            "f.xml:2:11: the byte 0xe9 is not UTF-8 text. Save the file as UTF-8.",
        ),
        ('<?xml version="1.0" encoding="koi8-r"?><opsa-mef/>', "f.xml:1:1: the file says it is written in 'koi8-r'. Save it as UTF-8."),
        ("\ufeff<opsa-mef/>".encode("utf-16"), "f.xml:1:1: the file is written in UTF-16. Save it as UTF-8."),
        (
            "<opsa-mef>\n <define-fault-tree na",
            "f.xml:2:2: this is not well-formed XML (unclosed token). Mend the markup here or shortly before; a file that was cut off must be fetched again.",
        ),
        (
            model(gate("<or>" + '<gate name="tt"/>' + events("a") + "</or>")),
            "f.xml:3:27: no gate is called 'tt'. Did you mean 't'?",
        ),
        (
            model(gate(events("d")), data=NEEDED),
            "f.xml:3:23: no basic-event is called 'd'. Define it, or use one of those there are: t, a, b, c.",
        ),
        (
            model(gate(events("a")), gate(events("b"))),
            "f.xml:4:1: 't' is defined twice; the first time at f.xml:3:1. Keep one of the two, or give one another name.",
        ),
        (
            model(gate(events("a")), gate(events("b"), "u")),
            "f.xml:4:1: 2 gates are used by no other, so any could be the top event: 't', 'u'. Say which one is meant: top=\"t\".",
        ),
        (
            model(gate('<gate name="u"/>'), gate('<or><gate name="v"/></or>', "u"), gate('<gate name="u"/>', "v")),
            "f.xml:4:1: gates lean on each other in a circle: 'u' leans on 'v' leans on 'u'. A fault tree says what follows from what: take one of these inputs away.",
        ),
        (model(gate(ATLEAST.format(' min="3"'))), "f.xml:3:23: 'atleast' has min=\"3\" over 2 inputs. Give a whole number from 1 to 2."),
        (model(gate(ATLEAST.format(' min="-1"'))), "f.xml:3:23: 'atleast' has min=\"-1\" over 2 inputs. Give a whole number from 1 to 2."),
        (model(gate(ATLEAST.format(' min="x"'))), "f.xml:3:23: 'atleast' has min=\"x\". Give a whole number."),
        (model(gate(ATLEAST.format(""))), "f.xml:3:23: 'atleast' does not say min. Write <atleast min=\"...\">, with a whole number."),
        (model(gate("<not>" + events("a", "b") + "</not>")), "f.xml:3:23: 'not' has 2 inputs and takes exactly 1. Give it as many as it takes."),
        (model(gate(events("a", "b"))), "f.xml:3:1: the gate 't' holds 2 formulas. Give it one; join several by <and> or <or>."),
        (
            model(gate("<inhibit/>")),
            "f.xml:3:23: <inhibit> is no formula. Write one of: and, or, not, xor, iff, nand, nor, atleast, cardinality, imply, gate, basic-event, house-event, event, constant.",
        ),
        (
            model(gate(events("a")), '<define-CCF-group name="c" model="beta-factor"/>'),
            "f.xml:4:1: <define-CCF-group> is not read. It could change what the fault tree says: write the model without it.",
        ),
        (
            expression('<periodic-test><float value="1"/></periodic-test>'),
            "f.xml:5:42: <periodic-test> is no expression that is read. Write a <float value=\"0.01\"/> instead.",
        ),
        (
            expression('<float value="nan"/>'),
            "f.xml:5:42: <float> has value=\"nan\". Give a finite number, such as 0.01 or 1e-2.",
        ),
        (expression('<float value="1e999"/>'), "f.xml:5:42: <float> has value=\"1e999\". Give a finite number, such as 0.01 or 1e-2."),
        (
            expression('<float value="-0.1"/>'),
            "f.xml:5:13: the basic event 'a' has the probability -0.1. A probability lies between 0 and 1.",
        ),
        (
            expression('<float value="1.5"/>'),
            "f.xml:5:13: the basic event 'a' has the probability 1.5. A probability lies between 0 and 1.",
        ),
        (
            expression('<div><float value="1"/><float value="0"/></div>'),
            "f.xml:5:13: the expression of 'a' cannot be worked out (float division by zero). Mend the expression, or write the number.",
        ),
        (expression('<parameter name="q"/>'), "f.xml:5:42: no parameter is called 'q'. Define it, or use one of those there are: r, s."),
        (
            expression('<float value="0.1"/>').replace('<float value="0.05"/>', '<parameter name="r"/>'),
            "f.xml:5:83: parameters lean on each other in a circle: 'r' leans on 's' leans on 'r'. Give one of them a number.",
        ),
        (
            model(gate('<gate name="a"/>'), data=NEEDED),
            "f.xml:3:23: 'a' is a basic-event, not a gate. Write <basic-event name=.../>.",
        ),
    ],
)  # fmt: skip
def test_each_fault_is_told_with_place_and_mend(fault, text, said):
    """The whole message: where, what, how to mend it."""
    assert fault(text) == said


def test_all_faults_at_once(fault):
    """A file is mended in one round."""
    said = fault(model(gate(ATLEAST.format(' min="9"')), gate("<not/>", "u"), gate("<inhibit/>", "v")))
    assert [line.split(":")[1] for line in said.splitlines()] == ["3", "4", "5"]


TYPE = '<?xml version="1.0"?>\n<!DOCTYPE opsa-mef {}>\n<opsa-mef/>'


@pytest.mark.parametrize(
    "declared",
    [
        '[<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]',
        'SYSTEM "other.dtd"',
        '[<!ENTITY x SYSTEM "file:///etc/hostname">]',
        '[<!ENTITY % p "x"> %p;]',
        "[<!ELEMENT opsa-mef ANY>]",
    ],
)
def test_declarations_are_refused_at_sight(fault, declared):
    """Entities that multiply, or that reach for other files, are never acted on."""
    assert "the document type 'opsa-mef' brings declarations of its own" in fault(TYPE.format(declared))


def test_an_undeclared_entity_is_no_markup(fault):
    """Without declarations there is nothing it could stand for."""
    assert "undefined entity" in fault("<opsa-mef>&x;</opsa-mef>")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (model(gate("<not>" * 100_000 + events("a") + "</not>" * 100_000)), "more than 500 elements lie inside each other"),
        ("<opsa-mef><label>" + "<a>" * 100_000, "more than 500 elements lie inside each other"),
        (
            '<opsa-mef><define-fault-tree name="f" ' + " ".join(f'a{i}="1"' for i in range(2_000_000)),
            "a tag or comment begins here that is longer than 1 MiB",
        ),
        ("<opsa-mef><!-- " + "x" * 20_000_000, "a tag or comment begins here that is longer than 1 MiB"),
        (model(gate(f'<gate name="{"x" * 900_000}"/>')), "a name has more than 1000 characters"),
        (
            model('<define-component name="c">' * 30 + gate(events("a")) + "</define-component>" * 30),
            "more than 20 components lie inside each other",
        ),
        (expression(f'<float value="{"9" * 900_000}"/>'), "<float> has value=\"9999"),
        (expression(f'<int value="{"9" * 900_000}"/>'), "<int> has value=\"9999"),
        (
            model(*(gate(f'<gate name="x{i}"/>', f"g{i}") for i in range(30_000))),
            "... and 29800 more. Mend these first, then look again.",
        ),
        (
            model(*(gate(f'<gate name="g{(i + 1) % 30_000}"/>', f"g{i}") for i in range(30_000))),
            "'g0' leans on 'g1' leans on 'g2' leans on 'g3' leans on 'g4' leans on 'g5' leans on 29994 more leans on 'g0'",
        ),
    ],
    ids=["deep", "deep label", "attributes", "comment", "name", "components", "float", "int", "dangling", "circle"],
)  # fmt: skip
@pytest.mark.slow
def test_hostile_files_cost_little(fault, content, said):
    """A clear message, and memory that stays small beside what a file of its size may need."""
    tracemalloc.start()
    try:
        assert said in fault(content)
        assert tracemalloc.get_traced_memory()[1] < 200 * 2**20
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("kind", ["missing", "folder", "pipe"])
def test_what_is_no_file(tmp_path, kind):
    """A folder or a pipe is told as such, and never waited for."""
    path = tmp_path / "x"
    if kind == "folder":
        path.mkdir()
    if kind == "pipe":
        os.mkfifo(path)
    with pytest.raises(LabError, match=r"there is no file|is not a file"):
        read_openpsa(path)


def test_bounds_on_numbers(load, fault, monkeypatch):
    """Gates, events, inputs and bytes are bounded."""
    text = model(gate(f"<and>{events('a', 'b')}</and>"))
    assert len(load(text).events) == 2
    monkeypatch.setattr("falsework.engines.trees.draft.MOST_NODES", 2)
    assert "there are more than 2 gates and events" in fault(text)
    monkeypatch.undo()
    monkeypatch.setattr("falsework.engines.trees.openpsa.MOST_INPUTS", 1)
    assert "the formulas have more than 1 inputs" in fault(text)
