"""Are causes and effects found in lines of two hosts, and only there?"""

import random

import pytest

from falsework.logs.bounds import Tie, ahead
from falsework.logs.line import Line
from falsework.logs.stamps import SECOND
from falsework.logs.ties import Ties


def line(at_s, host, text, by="", by_s=0.0):
    """A line, seconds."""
    return Line(round(at_s * SECOND), 0, 0, host, "app", 6, text, by, round(by_s * SECOND))


def found(*lines, moment_s=0):
    """The ties of these lines, seconds."""
    ties = Ties(round(moment_s * SECOND))
    for each in lines:
        ties.see(each)
    return [(tie.cause, tie.effect, tie.cause_us / SECOND, tie.effect_us / SECOND) for tie in ties.found()]


def test_a_line_that_was_taken_in_ties_two_clocks():
    """Written before it was taken in; of many in ten minutes the quickest is kept."""
    assert found(line(5, "a", "x", "s", 7), line(8, "a", "x", "s", 9), line(9, "a", "x", "s", 12)) == [
        ("a", "s", 8, 9)
    ]


def test_a_request_and_its_answer_tie_both_ways():
    """One sends what the other receives, and the other way round, with the same name in both."""
    assert found(
        line(1.0, "a", "sent request 7f3a91bc to b"),
        line(3.1, "b", "received request 7f3a91bc from a"),
        line(3.2, "b", "sending answer to 7f3a91bc"),
        line(1.4, "a", "got reply 7f3a91bc"),
    ) == [("a", "b", 1.0, 3.1), ("b", "a", 3.2, 1.4)]


@pytest.mark.parametrize(
    "lines",
    [
        (line(1, "a", "sent 7f3a91bc"), line(2, "a", "received 7f3a91bc")),
        (line(1, "a", "sent 12345678"), line(2, "b", "received 12345678")),
        (line(1, "a", "sent 7f3a91bc"), line(2, "b", "saw 7f3a91bc")),
        (line(1, "a", "sent 7f3a91bc"), line(2, "b", "received 7f3a91bd")),
        (
            line(1, "a", "sent 7f3a91bc"),
            line(0, "c", "forwarded 7f3a91bc"),
            line(2, "b", "received 7f3a91bc"),
        ),
        (line(1, "a", "resent 7f3a91bc and received it"), line(2, "b", "received 7f3a91bc, sent on")),
    ],
    ids=[
        "one host",
        "a number may come again",
        "no word of receipt",
        "other names",
        "two senders",
        "both at once",
    ],
)
def test_what_may_be_chance_is_no_tie(lines):
    """Without two hosts, one sender, a word for each end and a name of one time nothing is concluded."""
    assert found(*lines) == []


@pytest.mark.parametrize(
    ("text", "by_s"),
    [
        ("System clock was stepped by -2.5 seconds", -2.5),
        ("Time jumped backwards by 3 s, rotating", -3),
        ("time set; offset +120 ms", 0.12),
        ("Clock change detected", None),
        ("step time server 192.0.2.1 offset -0.5 sec", -0.5),
    ],
)
def test_a_step_of_a_clock_is_heard(text, by_s):
    """In general words, with its size if it is said."""
    ties = Ties(0)
    ties.see(line(5, "a", text))
    (step,) = ties.steps
    assert step.by_us == (None if by_s is None else round(by_s * SECOND))


@pytest.mark.parametrize(
    "text",
    [
        "timeout set to 30 s",
        "last time a password was changed by 5 s",
        "expiry time set by 30 s",
        "clocked in, set by 3 s",
    ],
)
def test_other_talk_of_time_is_no_step(text):
    """Words that a clock's own message would not have: a false step would move lines."""
    ties = Ties(0)
    ties.see(line(5, "a", text))
    assert ties.steps == []


def test_nothing_is_compared_across_a_step():
    """Ties from before the clock was set do not bound it afterwards; those too near to it are left out too."""
    lines = [line(at, "a", "x", "s", at + 1) for at in (100, 1_000, 2_000, 3_000)]
    step = line(2_001, "a", "clock stepped by 5 s")
    assert [tie[2] for tie in found(*lines, step, moment_s=4_000)] == [3_000]
    assert [tie[2] for tie in found(*lines, step, moment_s=50)] == [100, 1_000]


def test_offsets_that_were_put_in_are_found_again():
    """Three hosts, generated messages that take 1 to 80 ms: the offsets put in lie in the bounds, which are narrow."""
    dice = random.Random(7)
    off = {"a": 0.0, "b": 2.75, "c": -61.5}
    slow = {"a": 0.0, "b": 40e-6, "c": -25e-6}
    ties = Ties(0)
    lines = []
    for number in range(300):
        one, other = dice.sample(sorted(off), 2)
        at = dice.uniform(-600, 600)
        later = at + dice.uniform(0.001, 0.08)
        name = f"m{number:05d}xz{dice.getrandbits(24):06x}"
        lines.append(line(at + off[one] + slow[one] * at, one, f"sent {name} to {other}"))
        lines.append(line(later + off[other] + slow[other] * later, other, f"received {name}"))
    dice.shuffle(lines)
    for each in lines:
        ties.see(each)
    for each in ahead(ties.found(), off, "a", 0):
        assert each.low_us <= off[each.clock] * SECOND <= each.high_us
        assert each.within_us < 0.1 * SECOND
        assert each.best_us == pytest.approx(off[each.clock] * SECOND, abs=each.within_us)


def test_memory_is_bounded(monkeypatch):
    """However many names and pairs there are."""
    monkeypatch.setattr("falsework.logs.ties.MOST_NAMES", 50)
    monkeypatch.setattr("falsework.logs.ties.MOST_TIES", 50)
    ties = Ties(0)
    for each in range(500):
        ties.see(line(each, f"h{each}", f"sent abc{each:08d}x", "s", each))
    assert len(ties._names) <= 50
    assert len(ties._kept) <= 50
    assert isinstance(ties.found()[0], Tie)
