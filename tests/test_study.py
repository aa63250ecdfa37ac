"""Does the conductor tell early what it knows early, and in the end all of it?"""

from __future__ import annotations

from tests.strategies import lab_of

from falsework.study import Study, study_lab

LAB = """
falsework: 1
lab: two of two
machines: {n1..2: {is: node}}
services:
  pair: {on: [n1, n2]}
  lone: {on: n1}
aims:
  often enough: {out under: 1 min, of: lone}
  any one node: {lose: node, at most: thin}
"""


def test_what_needs_no_odds_is_told_before_them() -> None:
    """First the aim that needs no odds, judged as in the end, and the findings but for the other aim; then all."""
    told: list[Study] = []
    whole = study_lab(lab_of(LAB), soon=told.append)
    (early,) = told
    assert early.waiting == ("often enough",)
    assert early.odds is None
    assert [aim.name for aim in early.aims] == ["any one node"]
    assert whole.waiting == ()
    assert [aim.name for aim in whole.aims] == ["often enough", "any one node"]
    assert early.aims[0] == whole.aims[1]
    late = [finding for finding in whole.findings if finding not in early.findings]
    assert [finding.code for finding in late] == ["aim broken"]
    assert late[0].says.startswith("often enough: ")


def test_nothing_is_told_early_where_nothing_waits() -> None:
    """Without an aim that gives a time in a year there is one answer, the whole one."""
    told: list[Study] = []
    whole = study_lab(lab_of(LAB.replace("out under: 1 min, of: lone", "lose: n2")), soon=told.append)
    assert told == []
    assert whole.waiting == ()
