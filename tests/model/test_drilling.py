"""Are probes and drills read, bound and refused as everything else in a lab file?"""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, told

from falsework.model.asks import Sort
from falsework.model.drilling import Drill, Probe

LAB = """
machines: {n1..2: node, sw: switch}
services: {mail: [n1, n2]}
data: {letters: {of: mail, in: n1}}
"""


def test_a_probe_may_be_a_line():
    """Its question alone; all else is left open."""
    (probe,) = lab_of(LAB + "probes: {answers: tcp 10.0.0.1 port 25}").of(Probe)
    assert (probe.id, probe.asks.sort, probe.asks.port) == ("answers", Sort.TCP, 25)
    assert (probe.sees, probe.from_, probe.every, probe.patience, probe.expects) == (
        None,
        None,
        None,
        None,
        "",
    )


def test_a_probe_with_all_its_keys():
    """Each is read with its unit and bound to the thing it names."""
    text = "probes: {p: {asks: ping 10.0.0.1, sees: mail, from: n2, every: 5 s, patience: 2 s, expects: status 200, false alarms: 0.1 %, misses: 1..2 %}}"
    (probe,) = lab_of(LAB + text).of(Probe)
    assert (probe.sees.ids, probe.from_.ids) == (("mail",), ("n2",))
    assert (probe.every, probe.patience, probe.expects) == (5.0, 2.0, "status 200")
    assert probe.false_alarms.low == pytest.approx(0.001)
    assert (probe.misses.low, probe.misses.high) == pytest.approx((0.01, 0.02))


def test_a_drill_may_be_what_it_takes_out():
    """A name, or several by a pattern."""
    (drill,) = lab_of(LAB + "drills: {both: n*}").of(Drill)
    assert (drill.tries, drill.loses.ids) == ("loss", ("n1", "n2"))


def test_a_drill_with_all_its_keys():
    """What it tries, of what, what it may stop, its commands and when it is given up."""
    text = "drills: {d: {tries: restore, of: letters, may stop: mail, do: ./a, put back: ./b, stop after: 10 min, proved: 2026-03-01}}"
    (drill,) = lab_of(LAB + text).of(Drill)
    assert (drill.tries, drill.of.ids, drill.may_stop.ids) == ("restore", ("letters",), ("mail",))
    assert (drill.do, drill.put_back, drill.stop_after, str(drill.proved)) == (
        "./a",
        "./b",
        600.0,
        "2026-03-01",
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("probes: {p: {sees: mail}}", "(probes.p): the key 'asks' is missing."),
        ("probes: {p: {asks: ping 10.0.0.1, sees: mial}}", "Did you mean 'mail'?"),
        ("probes: {p: {asks: ping 10.0.0.1, sees: letters}}", "It is a data, and"),
        (
            "probes: {p: {asks: ping 10.0.0.1, from: sw}}",
            "It is a switch, and a node or outside is wanted here.",
        ),
        ("probes: {p: {asks: ping 10.0.0.1, evry: 1 s}}", "Did you mean 'every'?"),
        ("probes: {mail: ping 10.0.0.1}", "'mail' is already the name of a service"),
        ("probes: [ping 10.0.0.1]", "(probes): "),
        ("drills: {d: {tries: los, loses: n1}}", "Did you mean 'loss'?"),
        ("drills: {d: {loses: n9}}", "(drills.d.loses): "),
        ("drills: {d: {loses: n1, stop after: 10}}", "(drills.d.stop after): "),
        ("drills: {d: {of: n1}}", "It is a node, and a service or data is wanted here."),
    ],
)
def test_slips_are_told_with_their_place(text, message):
    """One message each, with what was meant where something is near."""
    (found,) = told(LAB + text)
    assert message in found
