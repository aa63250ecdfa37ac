"""Do power, wire, noise and racks keep quiet about what must not be told as a failure?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.faces.cli.typed import typed

from falsework.findings.finding import Level
from falsework.model.build import load
from falsework.study import study_lab

TRAPS = Path(__file__).parents[1] / "labs" / "traps"
LABS = sorted(path for path in TRAPS.glob("false-*/*.yaml") if path.stem != "expect")
PHYSICAL = {
    "trips",
    "too many volt-amperes",
    "supply too small",
    "too much at once",
    "too much heat",
    "battery old",
    "battery too short",
    "voltage does not fit",
    "rack overloaded",
    "rack could tip",
    "deeper than its rack",
    "too loud",
    "one port is too few",
    "no port left",
    "group of two speeds",
    "traffic does not get through",
    "controllers out of reach",
    "unreadable in a rebuild",
    "long without redundancy",
    "addresses run out",
    "pool too small",
    "address in the pool",
}
each_lab = pytest.mark.parametrize("path", LABS, ids=lambda path: f"{path.parent.name}-{path.stem}")


def test_there_are_labs_to_ask():
    """All false alarms with their variants."""
    assert len(LABS) == 20


@each_lab
def test_nothing_is_told_that_is_not_so(path):
    """None of the physical findings is made of a lab that is sound in that respect."""
    told = [each for each in study_lab(load(path)).findings if each.code in PHYSICAL]
    assert told == []


@each_lab
@pytest.mark.parametrize("command", ["power", "wire", "noise", "rack"])
def test_the_commands_end_well(path, command):
    """Status 0: nothing is broken; and nothing is said on standard error."""
    if command in ("noise", "rack") and path.stem != "base":
        pytest.skip("the variants differ in nothing that is asked here")
    said = typed(command, str(path))
    assert (said.status, said.err) == (0, "")
    assert "BROKEN" not in said.out


def test_a_remark_is_only_a_remark():
    """A load near its limit, or a ring that nobody says what cuts, may be told; not as broken."""
    for path in LABS:
        for each in study_lab(load(path)).findings:
            if each.code in {"close to the limit", "circle of switches"}:
                assert each.level is Level.REMARK
