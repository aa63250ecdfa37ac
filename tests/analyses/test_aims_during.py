from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.aims.during import during
from falsework.analyses.order import replay
from falsework.study import study_lab
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: Names first
machines: {n1..3: {is: node, drives: {d: {is: drive}}}}
services:
  names: {on: [n1, n2]}
  pages: {on: n3, needs: [names]}
data:
  zone: {of: names, in: [n1, n2]}
stand-ins:
  laptop: {for: names, costs: 1 h}
order:
STEPS
aims:
  a: {AIM, during build: yes}
"""


def judged(aim, *steps, text=LAB):
    """The aim, judged over an order: met, and what is said."""
    lines = "".join(f"  - {{do: work, {step}}}\n" for step in steps)
    lab = lab_of(text.replace("STEPS", lines.rstrip("\n") or "  []").replace("AIM", aim))
    standing = Standing(lab)
    found = during(lab.aims[0], standing, replay(lab, standing=standing))
    return found.met, found.says


BOTH = ("brings: [names, pages]",)
ONE_BY_ONE = ("brings: names.1", "brings: names.2, repoints: names.1")


def test_a_pair_that_comes_at_once_may_lose_either():
    """Names on two nodes from the first step on: any node may go after every step."""
    assert judged("lose: node, of: names, at most: blinks", *BOTH) == (
        True,
        "it holds after every step of the order (6 losses looked at)",
    )


def test_the_step_and_the_part_that_break_it_are_told():
    """With the first copy alone its node is a single point, though the finished lab has none."""
    met, says = judged("lose: node, of: names, at most: blinks", *ONE_BY_ONE)
    assert (met, says) == (False, "after step 1 (work): lose n1: names falls")
    assert judged("lose: n3, of: names, at most: blinks", *ONE_BY_ONE)[0] is True


def test_what_does_not_serve_yet_is_not_judged():
    """Before pages are made, losing their node hurts nobody."""
    assert judged("lose: n3, of: pages, at most: blinks", "brings: names")[0] is True
    met, says = judged("lose: n3, of: pages, at most: blinks", "brings: names", "brings: pages")
    assert (met, says) == (False, "after step 2 (work): lose n3: pages falls")


def test_a_lent_stand_in_may_be_lost_too():
    """Named as what may go, the laptop breaks it while it serves, and not once it is retired."""
    steps = ("with: laptop, brings: pages", "brings: names, moves: names, repoints: pages", "retires: laptop")
    met, says = judged("lose: laptop, of: pages, at most: blinks", *steps)
    assert (met, says) == (False, "after step 1 (work): lose laptop: pages falls")
    assert judged("lose: [n1, n2], of: pages, at most: blinks", *steps)[0] is True


def test_state_on_a_stand_in_is_lost_with_it():
    """While the laptop owns the zone, its loss destroys the zone; a node's does not."""
    steps = ("with: laptop", "brings: names, moves: zone", "retires: laptop")
    met, says = judged("lose: laptop, of: zone, at most: falls", *steps)
    assert (met, says) == (
        False,
        "after step 1 (work): lose laptop: zone is gone, and no backup of it survives",
    )
    assert judged("lose: drive, of: zone, at most: falls", *steps)[0] is True


def test_data_with_one_home_half_way():
    """Two homes in the finished lab, and nobody counts a home whose machine is not there yet."""
    text = LAB.replace("in: [n1, n2]", "in: n1")
    met, says = judged("lose: drive, of: zone, at most: falls", "brings: names", text=text)
    assert met is False
    assert says == "after step 1 (work): lose n1.d: zone is gone, and no backup of it survives"


@pytest.mark.parametrize(("limit", "met"), [("10 min", True), ("30 min", False)])
def test_only_what_happens_in_time_counts(limit, met):
    """Pages can be without names for 20 minutes: within ten nothing happens, within thirty they fall."""
    text = LAB.replace("needs: [names]", "needs: [names for 20 min]")
    found, _ = judged(
        f"lose: [n1, n2], at once: 2, within: {limit}, of: pages, at most: blinks",
        "brings: [names, pages]",
        text=text,
    )
    assert found is met


def test_how_long_it_may_blink():
    """A copy that takes over within a minute blinks for a minute, at the first step already."""
    text = LAB.replace("names: {on: [n1, n2]}", "names: {on: [n1, n2], takes over: 60 s}")
    aim = "lose: n1, of: names, at most: blinks, blinks under: "
    met, says = judged(aim + "30 s", "brings: names", text=text)
    assert (met, says) == (False, "after step 1 (work): lose n1: names blinks for 1 min")
    assert judged(aim + "2 min", "brings: names", text=text)[0] is True


@pytest.mark.parametrize(
    ("aim", "steps", "word"),
    [
        ("lose: node", (), "order"),
        ("cold start: at all", BOTH, "lost"),
        ("lose: node, at most: stands", BOTH, "thin"),
    ],
)
def test_what_cannot_be_judged_stays_open_and_says_why(aim, steps, word):
    """No order, nothing lost, or too fine a question: open, with the reason."""
    met, says = judged(aim, *steps)
    assert met is None
    assert word in says


def test_a_broken_aim_is_a_finding_with_a_mend():
    """The finding says the step and the part, and what to do about it."""
    lines = "".join(f"  - {{do: work, {step}}}\n" for step in ONE_BY_ONE)
    text = LAB.replace("STEPS", lines.rstrip("\n")).replace("AIM", "lose: node, of: names, at most: blinks")
    found = [each for each in study_lab(lab_of(text)).findings if each.code == "aim broken"]
    (finding,) = found
    assert finding.says == "a: after step 1 (work): lose n1: names falls"
    assert finding.mend == "bring the second one, or lend a stand-in beside it, before that step"
    assert finding.why == ("step 1 is at lab.yaml:13:5",)
