"""Is everything that the owner of a probe left open settled, and what it sees found where it can be?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.support.probing import DRILL_S, EVERY_S, PATIENCE_S, questions

LAB = """
lab: t
machines: {n1..2: node}
services:
  mail: {on: [n1, n2], reached at: [10.0.0.1, 10.0.0.2]}
  front: {on: [n1, n2], floats: 10.0.0.9 in 4 s}
  files: {on: n1, named: files.rock from names}
  names: {on: n2, reached at: 10.0.0.5}
"""


def sees(asks):
    """What a probe sees that asks so, and says no more."""
    return questions(lab_of(f"{LAB}probes: {{p: '{asks}'}}"))[0].sees


@pytest.mark.parametrize(
    ("asks", "thing"),
    [
        ("tcp 10.0.0.2 port 25", "mail"),
        ("ping 10.0.0.9", "front"),
        ("https://files.rock/", "files"),
        ("dns files.rock at 10.0.0.5", "names"),
        ("dns files.rock at 10.0.0.77", "files"),
        ("ping 10.0.0.1", "mail"),
        ("ping 10.0.0.77", ""),
        ("https://10.0.0.77/files.rock", ""),
        ("command ./look files.rock", ""),
    ],
)
def test_it_sees_whoever_has_what_it_asks(asks, thing):
    """The service with that address or name, a lookup sees who answers before whom it is about."""
    assert sees(asks) == thing


def test_what_its_owner_says_goes_before():
    """`sees`, `from`, `every` and `patience` as written; nothing is guessed then."""
    text = f"{LAB}probes: {{p: {{asks: ping 10.0.0.1, sees: n2, from: n1, every: 7 s, patience: 3 s, expects: hello}}}}"
    (found,) = questions(lab_of(text), usual_s=DRILL_S)
    assert (found.name, found.sees, found.from_, found.every_s, found.patience_s) == (
        "p",
        "n2",
        "n1",
        7.0,
        3.0,
    )
    assert (found.expects, found.where.line) == ("hello", 9)


def test_what_is_left_open_is_settled():
    """Once a second, ten times as often in a drill; a second of patience; from where the stopwatch runs."""
    lab = lab_of(f"{LAB}probes: {{p: ping 10.0.0.1, q: ping 10.0.0.2}}")
    for usual_s, asked in ((EVERY_S, questions(lab)), (DRILL_S, questions(lab, usual_s=DRILL_S))):
        assert [each.name for each in asked] == ["p", "q"]
        assert {(each.every_s, each.patience_s, each.from_) for each in asked} == {(usual_s, PATIENCE_S, "")}


@settings(max_examples=8, deadline=None)
@given(text=texts())
def test_a_lab_without_probes_asks_nothing(text):
    """Whatever else is in it."""
    assert questions(lab_of(text)) == ()
