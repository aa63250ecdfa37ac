"""The next question worth putting, against trying every one over every set of failures."""

from __future__ import annotations

import json
import shlex

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.analyses.diagnosis.enumerated import gains
from tests.analyses.diagnosis.test_whole import LAB
from tests.strategies import lab_of, texts

from falsework.analyses.diagnosis import diagnose
from falsework.analyses.diagnosis.candidates import candidates_of
from falsework.analyses.diagnosis.reports import reports_of
from falsework.analyses.diagnosis.whole import scene_of
from falsework.support.standing import Standing


def agrees(standing: Standing, failing: list[str], answered: list[str]) -> None:
    """Every question's worth is that of the sum over all sets, and the first one offered is the best there is."""
    lab, prior = scene_of(standing)
    programs = len(prior.alone) <= 8
    if not programs:
        lab, prior = scene_of(standing, programs=False)
    found = diagnose(standing, failing, answered, programs=programs)
    matter = frozenset(found.chance_of)
    known = reports_of(lab, failing, answered, ())
    asked = candidates_of(lab, known, found.chance_of)
    drops = gains(
        standing,
        failing,
        answered,
        matter,
        [(each.thing, each.false_alarms, each.misses) for each in asked],
        programs=programs,
    )
    worth = {(each.how, each.name): (drop, each.minutes) for each, drop in zip(asked, drops, strict=True)}
    for each in found.next:
        assert each.gain_bits == pytest.approx(worth[each.how, each.name][0], abs=1e-7)
    best = max((bits / minutes for bits, minutes in worth.values()), default=0.0)
    if found.next:
        assert found.next[0].bits_a_minute == pytest.approx(best, abs=1e-3)
    else:
        assert all(bits < 2e-4 for bits, _ in worth.values())


def test_shelf_agrees_with_every_question() -> None:
    """On the shelf, what each question tells is what it tells over all sets of failures."""
    agrees(Standing(lab_of(LAB.replace(", batch: k7", ""))), ["first", "post"], ["second"])


@settings(
    deadline=None, max_examples=5, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(texts(most_nodes=2), st.data())
def test_random_labs_agree_with_every_question(text: str, data: st.DataObject) -> None:
    """On random small labs too."""
    standing = Standing(lab_of(text))
    if len(standing.parts) > 5:
        return
    services = list(standing.support.services)
    failing = data.draw(st.lists(st.sampled_from(services), unique=True, min_size=1, max_size=2))
    agrees(standing, failing, [])


def test_the_answer_is_used() -> None:
    """After the question that was offered, told as it says, less is unknown than before, on the average."""
    standing = Standing(lab_of(LAB))
    before = diagnose(standing, ["first"], ["second"])
    first = before.next[0]
    yes = diagnose(standing, ["first"], ["second", first.name])
    no = diagnose(standing, ["first", first.name], ["second"])
    expected = first.yes * yes.unknown_bits + (1.0 - first.yes) * no.unknown_bits
    assert expected < before.unknown_bits
    assert first.name not in {each.name for each in (*yes.next, *no.next) if each.how == first.how}


def test_an_option_is_one_word_whatever_the_name() -> None:
    """What is offered for pasting is one option and one word: a name with quotes in it runs nothing."""
    odd = 'it\'s; $(x) "y"'
    text = LAB.replace("  first: dns", f"  {json.dumps(odd)}: dns")
    found = diagnose(Standing(lab_of(text)), ["second"], ["post"])
    each = next(each for each in found.next if each.name == odd)
    assert [shlex.split(option) for option in each.option] == [["--answered", odd], ["--failing", odd]]


def test_lamps_tell_apart_what_probes_do_not() -> None:
    """A strip and what hangs on it alone fail alike to every probe; a lamp on the strip tells."""
    standing = Standing(lab_of(LAB))
    everything = ["first", "mail", "post", "far", "one", "names"]
    found = diagnose(standing, everything, ["pages"])
    assert any(each.how == "lamp" and each.hands for each in found.next)
    assert all(each.minutes > 20 for each in found.next if each.hands)
