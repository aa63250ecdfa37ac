"""Which probes are to be added before anything failed?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.diagnosis.planning import plan_probes
from falsework.findings.edits.probing import probes_added
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: Two hosts
kinds:
  box: {is: node}
power:
  A: {is: strip}
  B: {is: strip}
machines:
  h1: {kind: box, fed by: A}
  h2: {kind: box, fed by: B}
  sw: {is: switch}
wire:
  cables: [h1 -- sw, h2 -- sw]
services:
  names: {on: [h1, h2], reached at: [10.0.0.1, 10.0.0.2]}
  mail: {on: h2, needs: [names]}
probes:
  post: {asks: tcp mail.b port 25, sees: mail}
"""


def test_all_that_can_be_told_apart_is() -> None:
    """With what is to be added in the file, nothing more is, and the parts fall into as many groups as foretold."""
    standing = Standing(lab_of(LAB))
    found = plan_probes(standing)
    assert found.add
    assert found.fewest
    changes = probes_added(standing.lab, found.add)
    assert not changes.left
    again = plan_probes(Standing(lab_of(changes.files["lab.yaml"])))
    assert again.add == ()
    assert again.told_now == found.told_then == again.told_then
    assert again.unseen == ()


def test_a_half_dead_spare_is_named_until_it_is_asked_by_itself() -> None:
    """One of two copies can be dead unseen; asked at its own address, or its machine pinged, it can't."""
    standing = Standing(lab_of(LAB))
    found = plan_probes(standing)
    assert [dead.copy for dead in found.half_dead] == ["names.1"]
    assert "h1" in found.half_dead[0].parts
    by_address = LAB + "  first: dns a.b at 10.0.0.1\n"
    assert plan_probes(Standing(lab_of(by_address))).half_dead == ()
    floating = LAB + "  both: {asks: command ./try, sees: names}\n"
    assert [dead.copy for dead in plan_probes(Standing(lab_of(floating))).half_dead] == ["names.1"]


@pytest.mark.parametrize(
    ("probe", "caught"),
    [
        ("{asks: tcp mail.b port 25, sees: mail, from: h2}", {"h2", "B"}),
        ("{asks: dns a.b at 10.0.0.2, from: h2}", set()),
        ("{asks: dns a.b at 10.0.0.1, from: h1}", set()),
        ("{asks: tcp mail.b port 25, sees: mail, from: h1}", set()),
        ("{asks: tcp mail.b port 25, sees: mail}", set()),
    ],
)
def test_a_probe_inside_the_blast_is_named(probe: str, caught: set[str]) -> None:
    """Only a probe whose asker falls with what it sees is; one that asks from elsewhere, or sees a spare, is not."""
    found = plan_probes(Standing(lab_of(f"{LAB}  inside: {probe}\n")))
    assert caught <= {part for each in found.in_blast for part in each.parts}
    assert bool(found.in_blast) is bool(caught)


def test_looks_tell_what_probes_do_not() -> None:
    """A box and its strip alone behind it look alike to every probe; one look at a lamp tells."""
    found = plan_probes(Standing(lab_of(LAB)))
    group = next(each for each in found.together if "A" in each.parts or "B" in each.parts)
    assert group.looks
    assert all(len(names) > 1 for names in group.still)
