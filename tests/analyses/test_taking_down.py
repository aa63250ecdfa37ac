"""May these parts be taken down now? Held against small labs worked out by hand, and against `lose` itself."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.margin import margins_left
from falsework.analyses.taking_down import May, TakingDown, What, taking_down
from falsework.analyses.verdicts import Verdict, lose
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[1] / "labs" / "traps"


def asked(text: str, *parts: str, out: tuple[str, ...] = ()) -> TakingDown:
    """The answer for a lab in a text."""
    standing = Standing(lab_of(text), out=out)
    loss = lose(standing, parts)
    return taking_down(standing, loss, margins_left(standing, loss.lost))


def trap(name: str, *parts: str, out: tuple[str, ...] = ()) -> TakingDown:
    """The answer for a lab among the traps."""
    return asked((TRAPS / name / "base.yaml").read_text(encoding="utf-8"), *parts, out=out)


@pytest.mark.parametrize(
    ("lab", "parts", "may", "what"),
    [
        ("01-enclosure-quorum", ["twin"], May.NO, What.FALLS),
        ("01-enclosure-quorum", ["desk"], May.BUT, What.THIN),
        ("03-survivor-overload", ["A"], May.NO, What.FALLS),
        ("03-survivor-overload", ["n1"], May.YES, None),
        ("08-backup-on-its-source", ["nas.d1", "nas.d2"], May.NO, What.DATA),
        ("11-fragmented-room", ["h4"], May.NO, What.FALLS),
        ("14-battery-too-short", ["mains"], May.BUT, What.FALLS),
        ("19-alarm-inside-the-blast", ["h2"], May.NO, What.FALLS),
        ("false-1-shared-strip", ["A"], May.BUT, What.THIN),
        ("false-3-cheap-witness", ["witness"], May.BUT, What.THIN),
    ],
)
def test_small_labs_get_the_answer_worked_out_by_hand(lab, parts, may, what):
    """Each trap says no to the part that springs it; what is well laid out says yes, or yes with less to spare."""
    found = trap(lab, *parts)
    assert found.may is may
    assert (found.because[0].what if found.because else None) is what


def test_what_is_out_already_turns_yes_into_no_and_is_brought_back_first():
    """With one voter out the second may not go, and the first thing to do is to bring the first back."""
    assert trap("01-enclosure-quorum", "twin.a").may is May.BUT
    found = trap("01-enclosure-quorum", "twin.a", out=("desk",))
    assert found.may is May.NO
    assert found.first[0] == "Bring desk back first: with it nothing falls"


def test_two_that_may_go_alone_and_not_together_go_one_after_the_other():
    """Two voters of three: together no, and the way is told."""
    found = trap("01-enclosure-quorum", "twin.a", "desk")
    assert found.may is May.NO
    assert found.first[0].startswith("Take them down one after the other")


def test_a_fall_that_leaves_time_for_the_work_says_how_long():
    """The battery carries all for nine minutes: the wall may be off for less than that."""
    found = trap("14-battery-too-short", "mains")
    assert found.within_s == pytest.approx(9 * 60)
    assert any("within 9 min" in each for each in found.first)


SHOP = """\
falsework: 1
lab: Shop
machines:
  a..c: node
services:
  mail: {on: [a, b], takes over: 40 s}
  web: {on: c, upkeep: 'Sun 03:00-04:00'}
aims:
  one may go: {lose: node, of: mail}
  quietly: {lose: node, at most: stands, of: mail}
  a year: {of: mail, out under: 1 h}
  after a cut: {cold start: at all}
"""


def test_a_blink_is_told_with_its_length_and_the_aim_that_breaks():
    """Mail moves in 40 s, and the aim that any node may go is not met until the first is back."""
    found = asked(SHOP, "a")
    assert found.may is May.BUT
    assert found.says == "yes, but mail blinks for 40 s, and there is less to spare until it is back"
    assert [each.about for each in found.because if each.what is What.AIM] == [("one may go",)]
    chain = found.because[0].why
    assert [each.thing for each in chain][-1] == "a"
    assert all(each.where is not None for each in chain)


def test_aims_that_take_long_are_not_asked_and_say_why():
    """Every aim is either asked or told with its reason."""
    found = asked(SHOP, "a")
    assert found.aims == ("one may go",)
    assert [each.name for each in found.not_asked] == ["quietly", "a year", "after a cut"]
    assert all(each.says for each in found.not_asked)


def test_upkeep_hours_allow_a_fall():
    """What may be stopped at certain hours says yes, but then."""
    found = asked(SHOP, "c")
    assert found.may is May.BUT
    assert "Sun 03:00-04:00" in found.because[0].says
    assert "Wait for the upkeep hours of web" in found.first


def test_what_is_out_already_may_stay_so():
    """Nothing changes by taking down what is down."""
    found = asked(SHOP, "a", out=("a",))
    assert (found.may, found.says) == (May.YES, "yes: it is out already")


def test_an_aim_that_is_broken_before_is_not_held_against_it():
    """The circuit alone breaks the aim already; taking down a spare node changes nothing of that."""
    text = """\
falsework: 1
lab: One wall
power: {wall: {is: circuit, volts: 230 V, breaker: 16 A}}
machines:
  a..b: {is: node, fed by: wall}
  spare: node
services:
  mail: {on: [a, b]}
aims:
  any feed: {lose: circuit, of: mail}
"""
    assert asked(text, "spare").may is May.YES


def test_all_alarms_silent_says_no_and_one_of_two_is_a_remark():
    """Someone has to be told of the next thing that breaks."""
    text = """\
falsework: 1
lab: Bells
machines:
  a..c: node
services:
  mail: c
  post-1: a
  post-2: b
alarms:
  bell: {raised by: mail, leaves by: post-1}
  horn: {raised by: mail, leaves by: post-2}
"""
    one = asked(text, "a")
    assert (May.BUT, "bell is silent while it is out") in [(each.may, each.says) for each in one.because]
    both = asked(text, "a", "b")
    assert (May.NO, "no alarm leaves while it is out") in [(each.may, each.says) for each in both.because]


def test_hands_on_power_are_warned_and_hands_on_a_switch_are_not():
    """A strip has the caution about power, a drive that about data."""
    assert "electrical codes" in trap("03-survivor-overload", "A").caution
    assert "restored" in trap("08-backup-on-its-source", "nas.d1").caution
    assert trap("false-3-cheap-witness", "sw-1").caution == ""


@given(text=texts(), data=st.data())
@settings(max_examples=40)
def test_the_answer_agrees_with_what_is_lost(text, data):
    """No where something that stands falls at once; never yes where something falls, blinks or has become critical."""
    standing = Standing(lab_of(text))
    parts = data.draw(st.lists(st.sampled_from(standing.parts), min_size=1, max_size=3, unique=True))
    loss = lose(standing, parts)
    margins = margins_left(standing, loss.lost)
    found = taking_down(standing, loss, margins)
    stood = [each for each in loss.effects if standing.baseline.back(each.service)]
    falls = [each for each in stood if each.verdict >= Verdict.FALLS and each.falls_s < 300]
    blinks = [each for each in stood if each.verdict is Verdict.BLINKS]
    if falls:
        assert found.may is May.NO
    if found.may is May.NO:
        assert falls or any(each.what is What.DATA for each in found.because)
    if blinks or margins:
        assert found.may >= May.BUT
    if found.may is May.YES:
        assert not [each for each in stood if each.verdict >= Verdict.BLINKS]
        assert not margins
    assert [each.may for each in found.because] == sorted((each.may for each in found.because), reverse=True)
