from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.verdicts import NEVER, Verdict, lose, losses, single_verdicts, verdict_rows
from falsework.errors import QuestionError
from falsework.support.standing import Standing

SHELF = """
falsework: 1
lab: A shelf
kinds: {disk: {is: drive}}
machines:
  n1..3: {is: node, drives: 1 disk}
  keep: {is: node, drives: 1 disk}
stores:
  shelf: {drives: keep.d1, layout: single}
services:
  alone: {on: n1}
  pair: {on: [n1, n2]}
  three: {on: n1..3}
  votes: {on: n1..3, serves: majority}
  moves: {on: [n1, n2], takes over: 40 s, restarts in: 10 s}
  writes: {on: n3, state in: shelf}
data:
  letters: {of: writes, in: shelf}
"""


def effect(text, lost, service):
    """What losing some parts does to one service."""
    return lose(Standing(lab_of(text)), lost).of(service)


@pytest.mark.parametrize(
    ("lost", "service", "verdict"),
    [
        (["n2"], "alone", "stands"),
        (["n1"], "alone", "falls"),
        (["n1"], "pair", "thin"),
        (["n1"], "three", "stands"),
        (["n1", "n2"], "three", "thin"),
        (["n1"], "votes", "thin"),
        (["n1", "n2"], "votes", "falls"),
        (["n1"], "moves", "blinks"),
        (["n2"], "moves", "thin"),
        (["n1", "n2"], "moves", "falls"),
        (["keep"], "writes", "falls"),
        (["keep.d1"], "writes", "lost"),
        (["n3"], "writes", "falls"),
    ],
)
def test_each_verdict_seen_at_a_glance(lost, service, verdict):
    """Standing, thin, blinking, falling and losing data are told apart on three nodes."""
    assert effect(SHELF, lost, service).verdict.word == verdict


def test_a_service_without_spare_was_never_thin():
    """A service that one part could bring down before the loss as well is no thinner after another."""
    assert effect(SHELF, ["n2"], "alone").verdict is Verdict.STANDS


def test_a_backup_elsewhere_keeps_what_its_source_loses():
    """With a backup on another machine the service falls but its data is not lost; lose both and it is."""
    text = SHELF.replace("s, in: shelf}\n", "s, in: shelf, backed up: [{to: n2, every: 1 day}]}\n")
    assert effect(text, ["keep.d1"], "writes").verdict is Verdict.FALLS
    assert effect(text, ["keep.d1", "n2.d1"], "writes").verdict is Verdict.LOST


POWER = """
falsework: 1
lab: On a battery
outside: {mains: the wall}
power:
  cell: {is: ups, fed by: mains, runs: {100 W: 20 min, 200 W: 8 min}}
  strip: {is: strip, fed by: cell}
machines:
  n1..2: {is: node, fed by: strip, draws: DRAW}
services:
  s: n1
  far: {on: n2, needs: [s for 5 min]}
"""


@pytest.mark.parametrize(
    ("draw", "seconds"), [("50 W", 1200.0), ("75 W", 840.0), ("100 W", 480.0), ("200 W", 240.0)]
)
def test_a_battery_holds_as_long_as_its_curve_says(draw, seconds):
    """After the mains the service falls when the battery is empty: on, between and beyond the points of its curve.

    Between points the curve is a straight line: 150 W is half way, 14 min. Beyond, half the time at twice the load.
    """
    found = effect(POWER.replace("DRAW", draw), ["mains"], "s")
    assert found.verdict is Verdict.FALLS
    assert found.falls_s == pytest.approx(seconds)
    assert effect(POWER.replace("DRAW", draw), ["cell"], "s").falls_s == 0.0


def test_a_hold_delays_a_fall_and_the_first_cause_wins():
    """A client that bears five minutes falls five minutes after what it needs, or with its own power if that is sooner."""
    text = POWER.replace("DRAW", "50 W")
    assert effect(text, ["n1"], "far").falls_s == pytest.approx(300.0)
    assert effect(text, ["mains"], "far").falls_s == pytest.approx(1200.0)
    assert effect(text, ["n2"], "far").falls_s == 0.0


MOVING = """
falsework: 1
lab: Moving
machines: {n1..3: {is: node}}
pools: {herd: {hosts: n1..2, restarts in: 120 s}}
services:
  store: {on: [n1, n2], takes over: 40 s, restarts in: 5 s}
  client: {on: n3, needs: [store for HOLD], restarts in: 10 s}
  inner: {on: herd, placed: n1, restarts in: 30 s, needs: [store]}
"""


@pytest.mark.parametrize(
    ("hold", "verdict", "falls_s"),
    [("60 s", "stands", NEVER), ("40 s", "stands", NEVER), ("20 s", "blinks", 20.0)],
)
def test_a_hold_bridges_a_move_that_is_no_longer(hold, verdict, falls_s):
    """A client that waits as long as its server moves never notices; one that waits less is interrupted and comes back."""
    found = lose(Standing(lab_of(MOVING.replace("HOLD", hold))), ["n1"], thin=False).of("client")
    assert (found.verdict.word, found.falls_s) == (verdict, falls_s)


def test_how_long_a_blink_lasts():
    """A take-over lasts as long as it says; a copy on a pool waits for the move and what it needs, then restarts."""
    loss = lose(Standing(lab_of(MOVING.replace("HOLD", "60 s"))), ["n1"], thin=False)
    assert loss.of("store").blinks_s == pytest.approx(40.0)
    assert loss.of("inner").blinks_s == pytest.approx(40.0 + 120.0 + 30.0)
    assert loss.of("client").blinks_s == 0.0


def test_a_blink_lasts_until_it_serves():
    """What begins at once but needs something to run that is back only later is interrupted until then."""
    text = """
falsework: 1
lab: x
machines: {n1..2: {is: node}}
pools: {herd: {hosts: n*, restarts in: 10 s}}
services:
  s1: {on: n1, restarts in: 0 s, needs: {to run: [s2]}}
  s2: {on: herd, placed: n2, restarts in: 0 s}
"""
    loss = lose(Standing(lab_of(text)), ["n2"], thin=False)
    assert loss.of("s2").blinks_s == pytest.approx(10.0)
    assert loss.of("s1").blinks_s == pytest.approx(10.0)


def test_what_is_down_is_listed_with_its_times():
    """Everything that does not stand is there with when it falls and whether it is back; nothing else is."""
    loss = lose(Standing(lab_of(MOVING.replace("HOLD", "60 s"))), ["n1"], thin=False)
    assert set(loss.down) == {"n1", "store", "store.1", "inner", "inner.1"}
    assert loss.down["n1"].back_s == NEVER
    assert loss.down["store"].back_s == pytest.approx(40.0)
    assert loss.worst is Verdict.BLINKS


def test_losing_nothing_does_nothing():
    """With nothing lost all services stand."""
    assert {each.verdict for each in lose(Standing(lab_of(SHELF)), [], thin=False).effects} == {
        Verdict.STANDS
    }


def test_an_unknown_part_is_named_with_the_nearest():
    """The question is refused, the nearest part named."""
    with pytest.raises(QuestionError, match="n11") as caught:
        lose(Standing(lab_of(SHELF)), ["n11"])
    assert "Did you mean 'n1'?" in str(caught.value)


@given(texts())
@settings(max_examples=30)
def test_thin_is_exactly_what_one_more_part_would_bring_down(text):
    """Thin after a loss: stands, and some other part that alone does not bring it down would now. By definition."""
    standing = Standing(lab_of(text))
    parts = standing.parts
    alone = dict(zip(parts, single_verdicts(standing, parts).T, strict=True))
    found = losses(standing, [(part,) for part in parts], thin=True)
    for part, loss in zip(parts, found, strict=True):
        further = [other for other in parts if other != part]
        then = verdict_rows(standing, standing.service_rows([(part, other) for other in further]))
        for row, effect in enumerate(loss.effects):
            worse = any(
                then[row, column] >= Verdict.FALLS and alone[other][row] < Verdict.FALLS
                for column, other in enumerate(further)
            )
            stands = alone[part][row] == Verdict.STANDS
            assert (effect.verdict is Verdict.THIN) == (stands and worse)
            assert effect.verdict is Verdict.THIN or effect.verdict == alone[part][row]


@given(texts())
@settings(max_examples=30)
def test_one_loss_at_a_time_or_all_in_bulk(text):
    """The table of single losses says of each part what asking for that loss alone says, thin included."""
    standing = Standing(lab_of(text))
    if standing.support.rooms:
        return  # pairs take the careful reading there
    table = singles(standing, all_pairs(standing))
    for column, loss in enumerate(losses(standing, [(part,) for part in table.parts], thin=True)):
        assert [int(each.verdict) for each in loss.effects] == table.verdicts[:, column].tolist(), loss.lost


@given(texts(), st.data())
@settings(max_examples=40)
def test_times_fit_their_verdicts(text, data):
    """What stands never falls; what blinks or falls does so at some moment; what is down longer is down for a reason."""
    standing = Standing(lab_of(text))
    lost = data.draw(st.lists(st.sampled_from(standing.parts), min_size=1, max_size=3, unique=True))
    loss = lose(standing, lost, thin=False)
    for effect in loss.effects:
        if effect.verdict is Verdict.STANDS:
            assert (effect.falls_s, effect.blinks_s) == (NEVER, 0.0)
        elif effect.verdict is Verdict.BLINKS:
            assert effect.falls_s < NEVER
            assert effect.blinks_s < NEVER
        elif not loss.view.up(effect.service):
            assert effect.falls_s < NEVER
    for name, down in loss.down.items():
        assert (down.back_s == NEVER) == (not loss.view.back(name)), name


@given(texts(), st.data())
@settings(max_examples=60)
def test_thin_is_what_losing_every_further_part_says(text, data):
    """A service is thin after a loss just where it stands and some further part, harmless to it alone, ends that."""
    standing = Standing(lab_of(text))
    parts = standing.parts
    lost = data.draw(st.lists(st.sampled_from(parts), max_size=3, unique=True))
    further = [part for part in parts if part not in lost]
    alone = losses(standing, [[part] for part in further])
    both = losses(standing, [[*lost, part] for part in further])
    for effect in lose(standing, lost).effects:
        stands = losses(standing, [lost])[0].of(effect.service).verdict is Verdict.STANDS
        ended = any(
            two.of(effect.service).verdict >= Verdict.FALLS > one.of(effect.service).verdict
            for one, two in zip(alone, both, strict=True)
        )
        assert (effect.verdict is Verdict.THIN) == (stands and ended)
