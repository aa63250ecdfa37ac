from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.wire.whole import wire
from falsework.errors import QuestionError
from falsework.support.standing import Standing

RING = """
falsework: 1
lab: x
machines:
  n1..2: {is: node, ports: {a: 1 Gb/s}}
  s1..3: {is: switch, ports: 8 x 1 Gb/s, WORDS}
wire:
  cables: [n1 -- s1, n2 -- s2, s1 -- s2, {run: s2.7..8 -- s3.7..8, group: t}, s3 -- s1]
"""


def taken(words):
    """The figures that were taken for the times of switches and groups, by key."""
    lab = lab_of(RING.replace("WORDS", words))
    return {each.key: each for each in wire(Standing(lab)).taken}


@pytest.mark.parametrize(
    ("words", "value", "low", "high"),
    [
        ("loops cut by: spanning tree", "50 s", "30 s", "50 s"),
        ("loops cut by: rapid spanning tree", "6 s", "1 s", "6 s"),
        ("about: nobody says", "6 s", "1 s", "50 s"),
    ],
)
def test_times_that_were_taken(words, value, low, high):
    """By what cuts circles, with its source and both ends of what is usual."""
    found = taken(words)["settles in"]
    assert (found.value, found.low, found.high) == (value, low, high)
    assert found.things == ("s1", "s2", "s3")
    assert "802.1D" in found.source


def test_times_that_were_said_are_not_taken():
    """`settles in`, or nothing that cuts."""
    assert "settles in" not in taken("settles in: 2 s")
    assert "settles in" not in taken("loops cut by: nothing")


def test_a_group_without_a_time():
    """Three seconds, one to ninety."""
    found = taken("settles in: 2 s")["notices in"]
    assert (found.value, found.low, found.high) == ("3 s", "1 s", "1 min 30 s")


def test_one_end_alone_is_refused():
    """Both are needed."""
    with pytest.raises(QuestionError, match="only one end"):
        wire(Standing(lab_of(RING.replace("WORDS", "about: x"))), ends=("n1", ""))


def test_all_of_it_after_a_loss():
    """What is out beforehand is out of circles' trees, pauses and limits."""
    lab = lab_of(RING.replace("WORDS", "loops cut by: rapid spanning tree"))
    before, after = wire(Standing(lab)), wire(Standing(lab, out=["s3"]), lost=("s3",))
    ways = {part for pause in before.pauses for part in pause.lost if pause.how == "a new way round"}
    assert "s1.2 -- s2.2" in ways
    assert not any(pause.how == "a new way round" for pause in after.pauses)
    assert after.lost == ("s3",)
