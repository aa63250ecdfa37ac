"""Is it told what a drill would not show?"""

from __future__ import annotations

from tests.observing import outage, probe, run
from tests.strategies import lab_of

from falsework.analyses.comparing import compare
from falsework.findings.finding import CODES, Level
from falsework.findings.rules.drilling import drilling
from falsework.study import study_lab
from falsework.support.probing import questions
from falsework.support.standing import Standing

TEXT = """
lab: t
machines: {n1..2: node}
services:
  mail: {on: [n1, n2], reached at: [10.0.0.1, 10.0.0.2]}
  wiki: {on: n1}
aims:
  mail stays: {lose: node, of: mail}
  all of it: {lose: node, at most: falls}
"""


def told(more):
    """What is told of the lab with more in it."""
    return list(drilling(lab_of(TEXT + more)))


def test_without_probes_nothing_is_told():
    """Who has not begun to watch is not nagged about it."""
    assert told("") == []


def test_a_service_that_an_aim_names_and_no_probe_sees_is_told_once():
    """One remark for all of them; an aim about everything names nobody."""
    (found,) = told("probes: {p: {asks: ping 10.0.0.9, sees: wiki}}\n")
    assert (found.code, found.level, found.services) == ("not watched", Level.REMARK, ("mail",))
    assert found.code in CODES
    assert found.says == "mail is what aims are about, and no probe sees it"
    assert found.where.line == 10
    assert told("probes: {p: ping 10.0.0.2}\n") == []


def test_a_probe_of_which_nobody_knows_what_it_sees_is_told():
    """An address that no service has, and no `sees`."""
    (found,) = told("probes: {p: ping 10.0.0.1, q: ping 10.0.0.77, r: command ./look}\n")
    assert (found.code, found.level, found.things) == ("probe sees nothing known", Level.REMARK, ("q", "r"))
    assert found.says.startswith("what q and r see is not known")
    assert found.where.line == 10


def test_a_check_tells_both():
    """They are among the findings of a check, and break nothing."""
    study = study_lab(lab_of(TEXT + "probes: {p: ping 10.0.0.77}\n"))
    codes = [each.code for each in study.findings]
    assert codes.count("not watched") == codes.count("probe sees nothing known") == 1
    assert [each.level for each in study.findings if each.code == "not watched"] == [Level.REMARK]


def test_a_probe_of_whether_a_store_is_whole_is_known():
    """What it shows is said, though it is nothing that stands or falls."""
    more = "stores: {s: {drives: n1.d*, layout: mirror}}\nprobes: {p: {asks: command ./whole s, whole: s}, q: ping 10.0.0.1}\n"
    text = TEXT.replace("n1..2: node", "n1: {is: node, drives: 2 disk}, n2: node")
    lab = lab_of(f"{text}kinds: {{disk: {{is: drive}}}}\n{more}")
    assert list(drilling(lab)) == []
    assert [(each.sees, each.whole) for each in questions(lab)] == [("", "s"), ("mail", "")]
    found = compare(
        Standing(lab), run(["n1"], probe("", name="p"), probe("mail", outage(60.0, 80.0), name="q"))
    )
    assert found.unknown == ()
