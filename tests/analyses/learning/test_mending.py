"""Are rebuilds and repairs learnt where a probe can tell them, and asked for where only their owner can?"""

from __future__ import annotations

import datetime
import math

import pytest
from tests.observing import BEGAN, outage, probe, run
from tests.strategies import lab_of

from falsework.analyses.learning import learn, said
from falsework.errors import QuestionError
from falsework.record.seen import Gap, Mark, Marked, Why
from falsework.support.standing import Standing

TEXT = """
lab: t
kinds: {disk: {is: drive, size: 4 TB, speed: 1.28 Gb/s}}
machines: {n1: {is: node, drives: 5 disk}, n2: {is: node, drives: 2 disk}}
stores:
  keep: {drives: n1.d1..5, layout: parity, spares: 1}
  pair: {drives: n2.d1..2, layout: mirror}
services: {mail: {on: [n1, n2], takes over: 40 s}}
probes:
  keep is whole: {asks: command ./whole keep, whole: keep}
  pair is whole: {asks: command ./whole pair, whole: pair}
  node: {asks: ping 10.0.0.1, sees: n1}
"""


@pytest.fixture(scope="module")
def standing():
    """The lab of this file."""
    return Standing(lab_of(TEXT))


def watched(name, from_s, until_s, *, sees="", every_s=10.0, **more):
    """A night in which one probe was not answered for a while."""
    seen = probe(sees, outage(from_s, until_s, every_s=every_s), name=name, every_s=every_s)
    return run((), seen, **{"marks": [], "until_s": 90_000.0, **more})


def began(after_s):
    """The moment in the first run, as the lab file has it."""
    return (BEGAN + datetime.timedelta(hours=1, seconds=after_s)).strftime("%Y-%m-%d %H:%M:%S")


def test_a_store_with_a_spare_is_rebuilt_as_long_as_it_is_not_whole(standing):
    """The rebuild begins at once; 4 TB at half of 160 MB/s were worked out, and 9 h were seen."""
    found = learn(standing, [watched("keep is whole", 1000.0, 33_400.0)])
    (update,) = found.updates
    assert (update.thing, update.key, update.source, update.runs) == (
        "keep",
        "rebuilds in",
        "worked out",
        (1,),
    )
    assert [each.on for each in update.new] == [began(1005.0)]
    took_s = update.new[0].took_s
    assert took_s == pytest.approx(32_400.0, abs=10.0)
    assert update.after == pytest.approx((50_000.0**0.1 * took_s) ** (1 / 1.1))
    assert found.asks == ()


def test_a_store_without_a_spare_waits_for_a_drive_too(standing):
    """So its owner is asked, and what they tell is learnt and not asked for again."""
    seen = watched("pair is whole", 1000.0, 33_400.0)
    found = learn(standing, [seen])
    (ask,) = found.asks
    assert found.updates == ()
    assert (ask.thing, ask.key, ask.run) == ("pair", "rebuilds in", 1)
    assert ask.at_most_s == pytest.approx(32_410.0, abs=10.0)
    told = said(standing.lab, f"pair: rebuilds in 5 h on {ask.on}")
    answered = learn(standing, [seen], [told])
    assert answered.asks == ()
    assert [each.new[0].took_s for each in answered.updates] == [18_000.0]
    with pytest.raises(
        QuestionError, match=r"pair rebuilds in 12 h is told of .*, and run 1 saw all of it over"
    ):
        learn(standing, [seen], [said(standing.lab, f"pair: rebuilds in 12 h on {ask.on}")])


def test_what_stands_in_the_file_is_neither_asked_nor_learnt_again():
    """Twice is once here too."""
    on = began(1005.0)
    text = TEXT.replace("spares: 1", f"spares: 1, timed: {{rebuilds in: [9 h on {on}]}}")
    text = text.replace("layout: mirror", f"layout: mirror, timed: {{rebuilds in: [5 h on {on}]}}")
    runs = [watched("keep is whole", 1000.0, 33_400.0), watched("pair is whole", 1000.0, 33_400.0)]
    found = learn(Standing(lab_of(text)), runs)
    assert found.empty
    assert found.asks == ()


def test_a_drive_that_a_drill_put_back_may_only_be_brought_up_to_date(standing):
    """What ends after the put-back is asked for, and not taken for a rebuild; what ends before it is one."""
    marks = [Marked(at_s=60.0, mark=Mark.DONE), Marked(at_s=20_000.0, mark=Mark.PUT_BACK)]
    after = watched("keep is whole", 60.0, 20_300.0, marks=marks)
    found = learn(standing, [after])
    assert [each.thing for each in found.asks] == ["keep"]
    assert not [each for each in found.updates if each.thing == "keep"]
    before = watched("keep is whole", 60.0, 19_000.0, marks=marks)
    assert [each.thing for each in learn(standing, [before]).updates] == ["keep"]


@pytest.mark.parametrize(
    "seen",
    [
        watched("keep is whole", 1000.0, math.inf),
        watched("keep is whole", 1000.0, 1002.0, every_s=1.0),
        watched("keep is whole", 1000.0, 1100.0, every_s=30.0),
        run(
            (),
            probe("", outage(1000.0, 9000.0, every_s=10.0, unsure=True), name="keep is whole", every_s=10.0),
            marks=[],
            until_s=9e4,
            gaps=[Gap(from_s=900.0, until_s=990.0, why=Why.ASLEEP)],
        ),
    ],
    ids=["it lasts", "a flicker", "asked too seldom", "a gap at its end"],
)
def test_what_was_not_seen_whole_teaches_no_rebuild(standing, seen):
    """Neither a time nor a question."""
    found = learn(standing, [seen])
    assert found.updates == ()
    assert found.asks == ()


def test_what_the_owner_mends_is_asked_for(standing):
    """A machine was out for five hours: noticing and coming are in that, so that it is no repair time."""
    found = learn(standing, [watched("node", 1000.0, 19_000.0, sees="n1")])
    assert found.updates == ()
    (ask,) = found.asks
    assert (ask.thing, ask.key, ask.on) == ("n1", "mends in", began(1005.0))
    told = said(standing.lab, f"n1: mends in 90 min on {ask.on}")
    (update,) = learn(standing, [watched("node", 1000.0, 19_000.0, sees="n1")], [told]).updates
    assert (update.key, update.guessed, update.new[0].took_s) == ("mends in", 0.1, 5400.0)
    middle = math.sqrt(update.after.low * update.after.high)
    assert middle == pytest.approx((math.sqrt(4 * 72) ** 0.1 * 1.5) ** (1 / 1.1) * 3600)
