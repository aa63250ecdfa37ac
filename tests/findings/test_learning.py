"""Is what was learnt written so that the next reading has it, the comments stay, and twice is once?"""

from __future__ import annotations

import datetime
import re

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.observing import observe, outage, probe, run
from tests.strategies import lab_of, texts

from falsework.analyses.learning import learn
from falsework.findings.learning import seen_words, taught, timing_words
from falsework.lab.read import read_texts
from falsework.model.build import build
from falsework.model.simple import Seen
from falsework.model.timed import Timing
from falsework.model.timing import timed_of
from falsework.record.seen import Mark, Marked
from falsework.support.standing import Standing

TEXT = """\
lab: t
outside:
  uplink: {fails: 1 /year}        # under the road
machines:
  n1: {is: node}                  # by the window
  n2..3: node
services:
  mail: {on: [n1, n2], takes over: 40 s, proved: 2026-01-01, timed: {takes over: 33 s}}   # mine
  door:
    on: [n1, n2]
    floats: 10.0.0.9 in 4 s
    # it moves when it likes
  wiki: n1
data:
  letters: {of: mail, in: n1, backed up: uplink}
drills:
  pull n1: n1
  one letter: {tries: restore, of: letters}
"""


def after(lab, changes):
    """The lab with the changes."""
    return build(read_texts({**lab.files, **changes.files}))


def runs():
    """A drill, a restore, and a night of watching."""
    return [
        run(
            ["n1"],
            probe("mail", outage(60.0, 91.0)),
            probe("door", outage(60.0, 65.0)),
            probe("wiki", outage(60.0, 662.0)),
            drill="pull n1",
        ),
        run((), tries="restore", drill="one letter", marks=[Marked(at_s=5.0, mark=Mark.DONE)], number=2),
        run(
            (),
            probe("uplink", outage(1000.0, 2800.0, every_s=1.0), every_s=1.0),
            marks=[],
            until_s=9000.0,
            number=3,
        ),
    ]


def test_all_of_it_is_written_beside_what_the_owner_wrote():
    """Times behind those that are there, days in place of older ones, counts; and every comment stays."""
    lab = lab_of(TEXT)
    changes = taught(lab, learn(Standing(lab), runs()))
    text = changes.files["lab.yaml"]
    assert re.findall("#.*", text) == re.findall("#.*", TEXT)
    now = after(lab, changes)
    mail = now.things["mail"]
    assert [each.on for each in timed_of(mail).takes_over] == ["", "2026-11-26 08:35:12"]
    assert 33 < mail.takes_over < 40
    assert str(mail.proved) == "2026-11-26"
    assert 4.0 < now.things["door"].floats.in_ < 4.9
    assert str(now.things["n1"].proved) == str(now.things["pull n1"].proved) == "2026-11-26"
    assert str(now.things["letters"].backed_up[0].restored) == "2026-11-26"
    assert now.things["uplink"].seen == Seen(failures=1, watched_s=9000.0, until="2026-11-26 10:35:12")
    assert (
        "    timed: {floats: [4.9 s on 2026-11-26 08:35:12]}\n    proved: 2026-11-26\n"
        "    stumbled: 0 of 1 until 2026-11-26 08:35:12\n    # it moves" in text
    )


def test_learning_it_again_changes_nothing():
    """The same record, the file as it is then: nothing is new."""
    lab = lab_of(TEXT)
    now = after(lab, taught(lab, learn(Standing(lab), runs())))
    again = learn(Standing(now), runs())
    assert again.empty
    assert taught(now, again).files == {}


def test_what_belongs_to_an_entry_of_several_is_passed_over():
    """A day that is true of one of three nodes is not written for all, and is no news for ever."""
    lab = lab_of(TEXT.replace("pull n1: n1", "pull n2: n2"))
    seen = [run(["n2"], probe("mail"), probe("door"), probe("wiki"), drill="pull n2")]
    found = learn(Standing(lab), seen)
    assert [each.thing for each in found.proofs] == ["mail", "door", "pull n2"]
    assert (1, "n2", "its entry stands for several things, and not all of them were tried") in found.passed
    changes = taught(lab, found)
    assert changes.left == ()
    assert after(lab, changes).things["n3"].proved is None
    assert learn(Standing(after(lab, changes)), seen).empty


def test_a_restore_of_one_of_several_backups_is_left_to_its_owner():
    """Which of them it was, nobody knows."""
    lab = lab_of(TEXT.replace("backed up: uplink", "backed up: [uplink, n2]"))
    changes = taught(lab, learn(Standing(lab), runs()[1:2]))
    assert changes.left == (("letters", "write `restored: 2026-11-26` by hand"),)


def test_words():
    """A time, as near as a person would say it, and a count, as they stand in the file; the moment can be read again."""
    assert timing_words(Timing(28.34, "2026-11-26 07:35:12")) == "28 s on 2026-11-26 07:35:12"
    assert timing_words(Timing(3.94)) == "3.9 s"
    assert seen_words(Seen(2, 3600.0, "2026-11-26 07:35:12")) == "2 in 1 h until 2026-11-26 07:35:12"
    assert datetime.datetime.fromisoformat(timing_words(Timing(9.0, "2026-11-26")).partition(" on ")[2])


@settings(max_examples=10, deadline=None)
@given(text=texts(), data=st.data())
def test_in_any_lab_the_same_drills_are_learnt_once(text, data):
    """Whatever the lab: what is written can be read, and nothing of it is learnt again."""
    lab = lab_of(text)
    standing = Standing(lab)
    lost = data.draw(st.lists(st.sampled_from(standing.parts), min_size=1, max_size=2, unique=True))
    seen = [observe(standing, [part], number=number + 1) for number, part in enumerate(lost)]
    changes = taught(lab, learn(standing, seen))
    again = learn(Standing(after(lab, changes)), seen)
    assert changes.left == ()
    assert again.empty
