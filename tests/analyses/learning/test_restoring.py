"""Is it learnt how long bringing data back takes, where all of it was brought back?"""

from __future__ import annotations

import pytest
from tests.observing import run
from tests.strategies import lab_of

from falsework.analyses.learning import learn
from falsework.findings.learning import taught
from falsework.lab.read import read_texts
from falsework.model.build import build
from falsework.record.seen import Mark, Marked
from falsework.support.copying import Copier
from falsework.support.standing import Standing

TEXT = """
lab: t
machines: {n1: node, n2: node, n3: node}
services: {mail: {on: [n1, n2], takes over: 40 s}, wiki: n1}
data:
  letters: {of: mail, in: n1, size: 90 GB, backed up: n2}
  pages: {of: wiki, in: n1, size: 90 GB, backed up: [n2, n3]}
drills:
  bring letters back: {tries: restore, of: letters}
  bring pages back: {tries: restore, of: pages}
  bring all back: {tries: restore, of: [letters, pages]}
"""


@pytest.fixture(scope="module")
def standing():
    """The lab of this file."""
    return Standing(lab_of(TEXT))


def brought(drill, took_s, *, begun=True):
    """A drill that brought data back in so long."""
    marks = [Marked(at_s=5.0, mark=Mark.SAID, says="begun: by hand")] if begun else []
    return run(
        (),
        drill=drill,
        tries="restore",
        marks=[*marks, Marked(at_s=5.0 + took_s, mark=Mark.DONE)],
        until_s=9e3,
    )


def test_from_the_mark_that_it_was_begun_until_it_was_done(standing):
    """12 min were worked out of 90 GB and 1 Gb/s, and 20 min were seen."""
    found = learn(standing, [brought("bring letters back", 1200.0)])
    (update,) = found.updates
    assert (update.thing, update.key, update.before, update.source) == (
        "letters",
        "restores in",
        pytest.approx(720.0),
        "worked out",
    )
    assert [(each.took_s, each.on) for each in update.new] == [(1200.0, "2026-11-26 08:35:12")]
    assert update.after == pytest.approx((720.0**0.1 * 1200.0) ** (1 / 1.1))


def test_the_next_answer_goes_by_it():
    """What a restore is foretold to take is the figure that was told, once it is written; again, nothing is new."""
    lab = lab_of(TEXT)
    seen = brought("bring letters back", 1200.0)
    learnt = learn(Standing(lab), [seen])
    now = build(read_texts({**lab.files, **taught(lab, learnt).files}))
    copying = Copier(now).restoring(now.things["letters"], ["n2"], ["n1"])
    assert copying.seconds == pytest.approx(learnt.updates[0].after)
    assert copying.known
    assert not Copier(lab).restoring(lab.things["letters"], ["n2"], ["n1"]).known
    assert learn(Standing(now), [seen]).empty


def test_a_drill_of_the_list_counts_too(standing):
    """One that nobody wrote, by the name that `falsework drills` gives it."""
    found = learn(standing, [brought("restore letters from n2", 1200.0)])
    assert [each.thing for each in found.updates] == ["letters"]
    assert [(each.thing, each.key) for each in found.proofs] == [("letters", "restored")]


@pytest.mark.parametrize(
    ("seen", "why"),
    [
        (
            brought("bring letters back", 20.0),
            "it was back so soon that it can hardly have been all of it; tell it with --took if it was",
        ),
        (brought("bring letters back", 1200.0, begun=False), "nobody marked when bringing it back began"),
        (
            brought("bring all back", 1200.0),
            "other data were brought back with it, so that its own time can't be told",
        ),
    ],
)
def test_what_may_be_something_else_teaches_no_time(standing, seen, why):
    """And it is said why; that it worked is proved all the same."""
    found = learn(standing, [seen])
    assert found.updates == ()
    assert (1, "letters", why) in found.passed
    assert "letters" in {each.thing for each in found.proofs}


def test_data_with_several_backups(standing):
    """Which of them was brought back is not known."""
    found = learn(standing, [brought("bring pages back", 1200.0)])
    assert found.updates == ()
    assert (
        1,
        "pages",
        "it has several backups, and which one takes how long can't be said of it yet",
    ) in found.passed
