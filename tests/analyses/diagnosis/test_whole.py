"""Which parts broke, against trying every set of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.analyses.diagnosis.enumerated import chances
from tests.strategies import lab_of, texts

from falsework.analyses.diagnosis import diagnose
from falsework.analyses.diagnosis.reports import thing_of
from falsework.analyses.diagnosis.states import Event
from falsework.analyses.diagnosis.whole import scene_of
from falsework.errors import QuestionError
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: A shelf
kinds:
  box: {is: node, fails: 10 %/year}
  eight: {is: switch, fails: 5 %/year}
power:
  A: {is: strip, fails: 1 %/year}
  B: {is: strip, fails: 1 %/year}
machines:
  one: {kind: box, fed by: A, batch: k7}
  two: {kind: box, fed by: B, batch: k7}
  sw: {kind: eight, fed by: A}
wire:
  cables: [one -- sw, two -- sw]
services:
  names: {on: [one, two], reached at: [10.0.0.1, 10.0.0.2]}
  mail: {on: one, needs: [names]}
  pages: {on: two}
probes:
  first: dns a.b at 10.0.0.1
  second: dns a.b at 10.0.0.2
  post: {asks: tcp mail.b port 25, sees: mail, false alarms: 1 %, misses: 2 %}
  far: {asks: tcp 10.0.0.2 port 53, sees: names, from: one}
people:
  me: {comes in: 20 min, notices in: 2 days}
"""


@pytest.fixture(scope="module")
def shelf() -> Standing:
    """Two boxes of one batch, a switch and two strips."""
    return Standing(lab_of(LAB))


def agrees(
    standing: Standing,
    failing: list[str],
    answered: list[str],
    looked: tuple[str, ...] = (),
    *,
    programs: bool = False,
) -> None:
    """The chances of all parts are those of the sum over all sets."""
    found = diagnose(standing, failing, answered, looked=looked, programs=programs, most=100_000)
    parts, _ = chances(standing, failing, answered, looked, programs=programs)
    assert found.left_out == 0.0
    for part, chance in found.chance_of.items():
        assert chance == pytest.approx(parts[part], abs=1e-9)


@pytest.mark.parametrize(
    ("failing", "answered", "looked"),
    [
        (["first", "post"], ["second"], ()),
        (["first", "second", "mail"], [], ("one: lit",)),
        (["far"], ["second"], ("sw: dark",)),
        (["two"], ["one", "pages"], ()),
        (["pages"], [], ()),
    ],
)
def test_shelf_agrees_with_every_set(
    shelf: Standing, failing: list[str], answered: list[str], looked: tuple[str, ...]
) -> None:
    """On a shelf with a shared batch, all chances are those of the sum over all sets of failures."""
    agrees(shelf, failing, answered, looked)


@settings(
    deadline=None, max_examples=12, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(texts(most_nodes=2), st.data())
def test_random_labs_agree_with_every_set(text: str, data: st.DataObject) -> None:
    """On random small labs too, whatever fails and whatever is answered."""
    standing = Standing(lab_of(text))
    prior = scene_of(standing)[1]
    programs = len(prior.alone) <= 8
    if not programs and len(standing.parts) > 7:
        return
    services = list(standing.support.services)
    failing = data.draw(st.lists(st.sampled_from(services), unique=True, min_size=1, max_size=2))
    rest = [each for each in services if each not in failing]
    answered = data.draw(st.lists(st.sampled_from(rest), unique=True)) if rest else []
    agrees(standing, failing, answered, programs=programs)


def test_a_cause_has_the_chance_of_its_sets(shelf: Standing) -> None:
    """A cause's chance is that of the sets of parts that it stands for, summed over parts that are alike."""
    found = diagnose(shelf, ["pages", "second"], ["first"], programs=False, most=100_000)
    _, sets = chances(shelf, ["pages", "second"], ["first"])
    relevant = set(found.chance_of)
    single = [cause for cause in found.causes if not cause.shared and len(cause.parts) == 1]
    assert single
    for cause in single:
        group = set(cause.parts[0])
        true = math.fsum(
            chance for parts, chance in sets.items() if (own := set(parts) & relevant) and own <= group
        )
        assert cause.posterior == pytest.approx(true, abs=1e-9)


@pytest.mark.parametrize("chance", [0.3, 1e-6, 1e-12, 1e-19])
def test_small_chances_keep_their_digits(chance: float) -> None:
    """One in a million million million is what it is: odds and shares of an event lose nothing by it."""
    alone = Event(parts=("a",), shared="", chances=(chance,), lost=("a",))
    assert alone.odds == pytest.approx(chance / (1.0 - chance), rel=1e-14)
    assert alone.shares == pytest.approx((1.0,), rel=1e-14)
    assert max(alone.shares) <= 1.0
    both = Event(parts=("a", "b"), shared="", chances=(chance, chance / 2), lost=("a",))
    assert both.shares[0] / both.shares[1] == pytest.approx(2.0, rel=1e-14)
    assert both.odds >= alone.odds * 1.5


def test_the_obvious_cause_comes_first(shelf: Standing) -> None:
    """All that is fed by one strip fails and the rest is answered: it is the strip, or what it feeds in common."""
    found = diagnose(shelf, ["first", "mail", "post"], [], looked=["one: dark", "sw: dark"])
    assert found.causes[0].parts == (("A",),)
    assert found.causes[0].against > 10
    assert {"first", "mail", "post", "one", "sw"} == set(found.causes[0].explains)


def test_single_failures_are_ranked_first(shelf: Standing) -> None:
    """Each single failure that shows, told by all that it does, is the likeliest, alone or among its like."""
    asked = ["first", "second", "post", "far", "pages", "one", "two"]
    lab, _ = scene_of(shelf)
    things = [thing_of(lab, name) for name in asked]
    tried = 0
    for part in shelf.parts:
        view = lab.views([(part,)])[0]
        failing = [name for name, thing in zip(asked, things, strict=True) if not view.back(thing)]
        if not failing:
            continue
        found = diagnose(shelf, failing, [name for name in asked if name not in failing])
        best = lab.views([found.causes[0].lost])[0]
        assert len(found.causes[0].parts) == 1
        assert [best.back(thing) for thing in things] == [view.back(thing) for thing in things]
        tried += 1
    assert tried > 5


def test_what_speaks_against(shelf: Standing) -> None:
    """A cause that would bring down something that is answered says so."""
    found = diagnose(shelf, ["first"], ["second"], programs=False)
    sw = next(cause for cause in found.causes if any("sw" in group for group in cause.parts))
    assert sw.speaks_against == ("second is answered, and would not be",)
    assert sw.chains["first"][-1].says == f"{sw.lost[0]} is lost"


def test_what_was_looked_at_is_told_in_the_words_it_was_said_in(shelf: Standing) -> None:
    """A cable is good or bad, a lamp lit or dark; what speaks against it too."""
    cable = next(part for part in shelf.parts if shelf.support.things[part].word == "cable")
    found = diagnose(shelf, [], ["pages"], looked=[f"{cable}: bad", "sw: on", "A: dark"])
    assert [report.says for report in found.reports[1:]] == [f"{cable} is bad", "sw is on", "A is dark"]
    against = {clause for cause in found.causes for clause in cause.speaks_against}
    assert f"{cable} is bad, and would be good" in against
    assert "A is dark, and would be lit" in against


def test_a_service_can_fail_by_itself(shelf: Standing) -> None:
    """Both copies silent and their machines answering: it is the service, and no part; mail falls with it."""
    found = diagnose(shelf, ["first", "second"], ["one", "two", "pages"])
    assert found.causes[0].parts == (("names",),)
    assert found.causes[0].programs == {"names"}
    assert found.causes[0].out == ()
    assert found.causes[0].brings_down == ("mail",)
    assert found.causes[0].chains["first"][-1].says == "names fails by itself"
    without = diagnose(shelf, ["first", "second"], ["one", "two", "pages"], programs=False)
    assert not any(cause.programs for cause in without.causes)


def test_moments_tell_apart_what_ends_do_not() -> None:
    """Before a hold has run out, what is behind it still stands: a loss there explains nothing yet."""
    text = LAB.replace("needs: [names]", "needs: {to run: [pages for 10 min]}")
    standing = Standing(lab_of(text))
    early = diagnose(standing, ["mail", "pages"], ["first"], since_s=5.0, programs=False)
    late = diagnose(standing, ["mail", "pages"], ["first"], since_s=1200.0, programs=False)
    assert not any(cause.parts == (("two",),) and not cause.errs for cause in early.causes)
    assert any("two" in group for group in late.causes[0].parts)
    assert late.causes[0].explains == ("mail", "pages", "first")


def test_a_hold_longer_than_a_fault_stays_unseen_has_not_run_out() -> None:
    """Who sees a fault within two days need not think of a loss that shows after a week."""
    for hold, shows in (("1 h", True), ("7 days", False)):
        text = LAB.replace("needs: [names]", f"needs: {{to run: [pages for {hold}]}}").replace(
            ", batch: k7", ""
        )
        found = diagnose(Standing(lab_of(text)), ["mail", "pages"], [], most=100)
        alone = next(cause for cause in found.causes if len(cause.parts) == 1 and "two" in cause.parts[0])
        assert ("mail" in alone.explains) is shows


@pytest.mark.parametrize(
    ("failing", "answered", "looked", "says"),
    [
        (["mali"], [], (), "Did you mean 'mail'"),
        ([], [], (), "nothing was said"),
        (["mail"], ["mail"], (), "both"),
        (["mail"], [], ("one",), "does not say what was seen"),
        (["mail"], [], ("onee: dark",), "no part is called 'onee'"),
    ],
)
def test_bad_questions(
    shelf: Standing, failing: list[str], answered: list[str], looked: tuple[str, ...], says: str
) -> None:
    """A name that is not known, nothing said, and a contradiction are told with how to mend them."""
    with pytest.raises(QuestionError, match=says) as caught:
        diagnose(shelf, failing, answered, looked=looked)
    assert "--looked" not in str(caught.value)  # the page, which tells it too, has no options
