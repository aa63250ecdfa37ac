"""Which probes are told of, and which are not?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.findings.finding import CODES, Level
from falsework.findings.rules.probing import probing
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: Two hosts
power: {A: {is: strip}, B: {is: strip}}
machines:
  h1: {is: node, fed by: A}
  h2: {is: node, fed by: B}
services:
  names: {on: [h1, h2]}
  mail: {on: h2}
probes:
"""


@pytest.mark.parametrize(
    ("probe", "told"),
    [
        ("inside: {asks: tcp mail.b port 25, sees: mail, from: h2}", True),
        ("across: {asks: tcp mail.b port 25, sees: mail, from: h1}", False),
        ("outside: {asks: tcp mail.b port 25, sees: mail}", False),
        ("spare: {asks: command ./try, sees: names, from: h2}", False),
        ("itself: {asks: ping h2, sees: h2, from: h2}", False),
        ("unknown: {asks: command ./try, from: h2}", False),
    ],
)
def test_only_a_probe_that_falls_with_what_it_sees(probe: str, told: bool) -> None:
    """One remark where a loss takes both; none where a copy goes on, or it asks from elsewhere."""
    found = list(probing(Standing(lab_of(f"{LAB}  {probe}\n"))))
    assert bool(found) is told
    for each in found:
        assert each.level is Level.REMARK
        assert each.code == "probe in the blast"
        assert each.code in CODES
        assert "h2, from which inside asks, falls with mail" in each.why[0]
        assert each.where is not None


def test_several_are_told_once() -> None:
    """Two such probes are one remark, and a lab without probes has none."""
    both = LAB + "  one: {asks: ping a, sees: mail, from: h2}\n  two: {asks: ping b, sees: mail, from: h2}\n"
    found = list(probing(Standing(lab_of(both))))
    assert [each.things for each in found] == [("one", "two")]
    assert not list(probing(Standing(lab_of(LAB.replace("probes:\n", "")))))
