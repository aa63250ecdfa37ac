"""Probes and drills that contradict themselves: each contradiction's whole message."""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, told

LAB = """\
falsework: 1
lab: test
machines: {{n1: node}}
services: {{s: {{on: n1, reached at: 10.0.0.1}}}}
probes: {{p: {{asks: ping 10.0.0.1{probe}}}}}
drills: {{d: {drill}}}
"""


@pytest.mark.parametrize(
    ("probe", "drill", "message"),
    [
        (", every: 0 s", "n1", "(probes.p.every): it asks every 0 s. Give 10 ms to 1 day, such as 1 s."),
        (
            ", every: 2 days",
            "n1",
            "(probes.p.every): it asks every 2 days. Give 10 ms to 1 day, such as 1 s.",
        ),
        (
            ", patience: 0 s",
            "n1",
            "(probes.p.patience): it waits 0 s for an answer. Give 10 ms to 10 min, such as 1 s.",
        ),
        (
            ", misses: 300 %",
            "n1",
            "(probes.p.misses): 300 % of its answers are wrong, it says. Give less than half, such as 0.1 %, or mend the probe.",
        ),
        (
            ", false alarms: 50 %",
            "n1",
            "(probes.p.false alarms): 50 % of its answers are wrong, it says. Give less than half, such as 0.1 %, or mend the probe.",
        ),
        (
            "",
            "{tries: loss}",
            "(drills.d.tries): a loss of nothing. Name what it takes out under `loses`.",
        ),
        (
            "",
            "{loses: n1, stop after: 0 s}",
            "(drills.d.stop after): it is given up after 0 s."
            " Give the time after which it is put back, such as 10 min.",
        ),
    ],
)
def test_a_contradiction_is_told_with_its_place_and_a_mend(probe, drill, message):
    """Each is told where it stands, and how to mend it."""
    assert any(message in each for each in told(LAB.format(probe=probe, drill=drill)))


@pytest.mark.parametrize("probe", ["", ", every: 10 ms", ", patience: 10 min", ", misses: 0 %"])
@pytest.mark.parametrize(
    "drill", ["n1", "{tries: cold start}", "{tries: failover, of: s}", "{tries: restore}"]
)
def test_what_can_be_is_read(probe, drill):
    """The bounds themselves are allowed, and a cold start needs no name."""
    assert lab_of(LAB.format(probe=probe, drill=drill)) is not None


STORE = """\
kinds: {{disk: {{is: drive, size: 1 TB}}}}
machines: {{n1: {{is: node, drives: 2 disk}}}}
stores: {{keep: {{drives: n1.d*, layout: mirror}}}}
probes: {{p: {{asks: command ./whole, {more}}}}}
"""


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (
            "whole: keep, sees: n1",
            "it shows whether a store is whole, and sees something else besides, it says."
            " Leave out one of `sees` and `whole`, or write two probes.",
        ),
        ("whole: n1", "It is a node, and a store is wanted here"),
        ("whole: kep", "Did you mean 'keep'?"),
    ],
)
def test_whole_is_said_of_a_store_and_alone(more, message):
    """A probe shows one thing."""
    assert any(message in each for each in told(STORE.format(more=more)))
    assert lab_of(STORE.format(more="whole: keep")) is not None
