"""Tests of whether a drill may be done today."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from tests.analyses.drilling.labs import PAIR, STORED, standing
from tests.strategies import lab_of

from falsework.analyses.drilling import drills, may_drill, plan_for
from falsework.analyses.drilling.may import Against
from falsework.model.build import load
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[2] / "labs" / "traps"


def asked(text, names, *, out=(), more=""):
    """The answer for one drill."""
    lab = standing(text, out=out, more=more)
    return may_drill(lab, plan_for(lab, names))


def whats(answer):
    """What speaks against it."""
    return {each.what for each in answer.because}


def test_what_is_foretold_and_allowed_may_be_done():
    """A take-over that the aim allows is no reason; that it interrupts is told."""
    answer = asked(PAIR, ["one"])
    assert answer.yes
    assert any("mail" in each and "quiet hour" in each for each in answer.mind)


def test_a_second_fault_makes_it_no_and_says_what_to_mend():
    """With two out, losing one would break the aim it is to prove; bringing two back is what comes first."""
    answer = asked(PAIR, ["one"], out=["two"])
    assert not answer.yes
    assert {Against.AIM, Against.FALLS} <= whats(answer)
    assert answer.first[0] == "Bring two back first: with it this drill may be done."
    assert answer.because[0].why


def test_a_fall_that_breaks_an_aim_is_told_once():
    """The aim tells of mail, and why; only web, of which the aim tells nothing, is told by itself."""
    because = asked(PAIR, ["one"], out=["two"]).because
    assert [(each.what, each.says) for each in because] == [
        (Against.AIM, "the aim 'any box' would break: mail falls at once"),
        (Against.FALLS, "web falls at once"),
    ]


def test_a_fault_that_has_nothing_to_do_with_it_does_not_matter():
    """Far is out, and losing one does what it always does."""
    answer = asked(PAIR, ["one"], out=["far"])
    assert answer.yes
    assert any("far" in each for each in answer.mind)


def test_less_to_spare_is_told_and_not_refused():
    """While one is out, losing two would end all of it: told, since every drill takes out a spare."""
    assert any("losing B or two" in each or "losing two" in each for each in asked(PAIR, ["one"]).mind)


def test_a_fall_that_no_aim_forbids_and_the_plan_foretells_may_be():
    """Log falls with far, as the plan says, and nobody asked otherwise."""
    answer = asked(PAIR, ["far"])
    assert answer.yes
    assert answer.falls == ("log",)


def test_a_drill_that_breaks_an_aim_even_with_nothing_out_is_refused():
    """The plan is to be mended first; it needs no drill to see that it does not hold."""
    answer = asked(PAIR, ["far"], more="  all: {lose: node, at most: blinks, of: log}\n")
    assert whats(answer) == {Against.AIM}
    assert "Mend the plan first" in answer.first[0]


def test_what_the_owner_lets_stop_may_break_its_aim():
    """`may stop` is the owner's word, whatever the aims say."""
    more = "  all: {lose: node, at most: blinks, of: log}\ndrills: {far off: {loses: far, may stop: log}}\n"
    assert asked(PAIR, ["far off"], more=more).yes


def test_data_that_hangs_by_one_part_is_not_put_at_risk():
    """A mirror without a backup has one drive left while the other is pulled; with one restored from it may be."""
    bare = STORED.replace(", backed up: {to: far, every: 1 day}", "")
    answer = asked(bare, ["nas.d1"])
    assert whats(answer) == {Against.DATA}
    assert "shares would be lost if nas.d2 failed meanwhile" in answer.because[0].says
    assert asked(STORED.replace("every: 1 day}", "every: 1 day, restored: 2026-01-01}"), ["nas.d1"]).yes


def test_data_that_would_be_gone_is_refused_first():
    """Pulling both drives of a mirror without a backup loses the data, and that is said before all else."""
    bare = STORED.replace(", backed up: {to: far, every: 1 day}", "")
    answer = asked(bare, ["nas.d1", "nas.d2"])
    assert answer.because[0].what is Against.DATA
    assert "all that is left of shares" in answer.because[0].says


def test_an_untried_backup_holds_back_the_drive_and_the_cold_start():
    """Nothing touches data of which no backup was ever restored from."""
    assert whats(asked(STORED, ["nas.d1"])) == {Against.UNPROVED}
    assert whats(asked(STORED, ["cold start"])) == {Against.UNPROVED}
    assert asked(STORED, ["restore shares from far"]).yes


def test_a_restore_from_what_is_down_tries_nothing():
    """The backup lies on something that is out."""
    answer = asked(STORED, ["restore shares from far"], out=["far"])
    assert whats(answer) == {Against.NOTHING}


def test_what_falls_only_after_it_is_given_up_does_not_count():
    """A drill of ten minutes does not wait for what falls after an hour."""
    text = """
falsework: 1
lab: Held
machines: {a: node, b: node, c: node}
services:
  names: {on: [a, b]}
  web:   {on: c, needs: {to run: [names for 1 h]}}
drills:
  long:  {loses: a}
  brief: {loses: a, stop after: 10 min}
"""
    for name, counts in (("long", True), ("brief", False)):
        answer = asked(text, [name], out=["b"])
        assert ("web" in {each for because in answer.because for each in because.about}) is counts


@pytest.mark.parametrize(
    ("file", "lost", "yes"),
    [
        ("base", "h2", False),
        ("base", "h1", True),
        ("one", "sw-1", False),
        ("one", "gate", False),
        ("one", "desk-1", True),
        ("two", "h2", False),
        ("two", "uplink", False),
        ("three", "uplink", True),
        ("three", "h1", True),
    ],
)
def test_an_alarm_inside_the_blast_forbids_the_drill(file, lost, yes):
    """Trap 19: where no alarm leaves while it lasts, the answer is no, and says which."""
    lab = Standing(load(TRAPS / "19-alarm-inside-the-blast" / f"{file}.yaml"))
    answer = may_drill(lab, plan_for(lab, [lost]))
    assert answer.yes is yes
    assert (Against.SILENT in whats(answer)) is not yes


@pytest.mark.parametrize(
    ("file", "held", "broken"),
    [
        ("base", {"a"}, {"S1"}),
        ("one", {"a", "S1"}, {"c1"}),
        ("two", {"a"}, {"S1"}),
        ("three", {"a", "S1"}, set()),
    ],
)
def test_losing_the_machine_does_not_prove_losing_its_power(file, held, broken):
    """Trap 18: pulling a proves the take-over that its fence can confirm, never the loss of what feeds both.

    Where the strip's loss is survived, it is survived by another fence: neither drill proves the other claim.
    """
    text = (TRAPS / "18-fence-shares-fate" / f"{file}.yaml").read_text(encoding="utf-8")
    words = "[node, strip, circuit]" if "circuit" in text else "[node, strip]"
    lab = Standing(
        lab_of(
            f"{text}aims:\n  any: {{lose: {words}, at most: blinks, of: SERVICE}}\n".replace(
                "SERVICE", "mail" if "mail:" in text else "counts"
            )
        )
    )
    told = drills(lab, datetime.date(2026, 4, 6), workers=1)
    claimed = {
        claim.name.removeprefix("any: ") for claim in told.claims if claim.sort == "a loss that an aim covers"
    }
    assert held <= claimed
    assert {each.lost[0] for each in told.broken if each.aim == "any"} == broken
    proofs = {plan.name: plan.proves for plan in told.plans}
    assert all("any: S1" not in proves for name, proves in proofs.items() if name == "lose a")
    if "S1" in held and file == "three":
        assert "any: a" not in proofs["lose S1"]
    for name in broken:
        answer = may_drill(lab, plan_for(lab, [name]))
        assert Against.AIM in whats(answer)
