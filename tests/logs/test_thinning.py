"""Is told what differs from an ordinary time, and little else?"""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.logs import thinning
from falsework.logs.folding import folded
from falsework.logs.line import Line
from falsework.logs.stamps import SECOND
from falsework.logs.thinning import ALL, Thinning, Why

HOUR, DAY = 3_600, 86_400
MINUTES = 60


def line(at_s, text, host="h", severity=6):
    """A line, seconds from the moment."""
    return Line(round(at_s * SECOND), 0, round(at_s * SECOND) + DAY * SECOND, host, "app", severity, text)


def counted(lines, ordinary_s=DAY, before_s=10 * MINUTES, after_s=30 * MINUTES):
    """A day before the window, ten minutes before the moment and half an hour after it, as the command does it."""
    found = Thinning(-(ordinary_s + before_s) * SECOND, -before_s * SECOND, 0, after_s * SECOND)
    for each in sorted(lines):
        found.see(each)
    return found


def told(lines, **more):
    """Why each kind is told, by its words."""
    return {kind.says: each.why for kind, each in counted(lines, **more).differing().items()}


def beat(text, every_s, begin_s, end_s, **more):
    """A line again and again."""
    return [line(begin_s + every_s * n, text, **more) for n in range(int((end_s - begin_s) / every_s))]


USUAL = beat("tick 3", 60, -DAY, 30 * MINUTES)


def test_by_hand():
    """A beat each minute is ordinary; a new word is new; one that comes fifty times as often is more."""
    lines = [
        *USUAL,
        *beat("try 7", 600, -DAY, -600),
        *beat("try 7", 12, 0, 600),
        line(5, "supply lost"),
    ]
    assert told(lines) == {"try #": Why.MORE, "supply lost": Why.NEW}


def test_what_stopped_is_told():
    """A beat that ends with the moment; the host goes on with other lines."""
    lines = [*USUAL, *beat("lease ok", 60, -DAY, 0)]
    assert told(lines) == {"lease ok": Why.STOPPED}


def test_a_host_that_fell_silent_is_told_once():
    """All its lines end: the host is told, not each of its beats."""
    lines = [*USUAL, *beat("one", 60, -DAY, 0, host="k"), *beat("two", 60, -DAY, 0, host="k")]
    assert told(lines) == {ALL: Why.STOPPED}


def test_logs_that_were_gathered_early_tell_of_no_silence():
    """All logs end a minute after the moment: nobody fell silent by that, though beats of a minute are missing."""
    lines = [each for host in "hk" for each in beat("tick 3", 60, -DAY, 61, host=host)]
    lines += beat("tock 3", 60, -DAY, 0)
    assert told(lines) == {}


def test_a_rare_error_is_told_and_a_common_one_is_not():
    """An error that came once on the day before, and one that comes each hour."""
    lines = [
        *USUAL,
        line(-HOUR * 5, "read error on sda", severity=3),
        line(60, "read error on sda", severity=3),
        *beat("mail refused", 1_700, -DAY, 30 * MINUTES, severity=3),
    ]
    assert told(lines) == {"read error on sda": Why.SEVERE}


def test_a_burst_as_large_as_on_an_ordinary_day_is_not_told():
    """Forty lines at once each night: forty at once in the window are as usual, a hundred are not."""
    usual = [*USUAL, *(line(-HOUR * 8 + n / 10, "rotated log 1") for n in range(40))]
    burst = [line(n / 10, "rotated log 1") for n in range(100)]
    assert told([*usual, *burst[:40]]) == {}
    assert told([*usual, *burst]) == {"rotated log #": Why.MORE}


def test_without_an_ordinary_stretch_the_rare_and_the_bad_are_told():
    """A host whose log begins with the window; that nothing was compared is told."""
    found = counted([*USUAL, *beat("tick", 60, 0, 1_800, host="k"), line(9, "odd", host="k")])
    assert not found.comparable("k")
    assert {kind.says: each.why for kind, each in found.differing().items()} == {"odd": Why.UNCOMPARED}


@pytest.mark.slow
def test_false_alarms_are_as_rare_as_stated():
    """Of 60 random ordinary days with 30 kinds each, at most three windows tell a kind for its rate.

    One in a hundred is to be expected at most, so more than three in 60 would come about once in 400 such tests; the
    dice are fixed.
    """
    dice = random.Random(3)
    windows = 0
    for _ in range(60):
        lines = []
        for kind in range(30):
            rate = 10 ** dice.uniform(-4, -2.6)
            at = -float(DAY)
            while (at := at + dice.expovariate(rate)) < 1_800:
                lines.append(line(at, f"kind {chr(97 + kind)}"))
        whys = told(lines).values()
        windows += any(why in (Why.MORE, Why.STOPPED) for why in whys)
    assert windows <= 3


def test_how_many_new_kinds_chance_brings_is_said():
    """By Good's rule: 36 kinds that came once in a day make one in a window of 40 minutes."""
    lines = [
        line(-DAY - 600, "tick"),
        *(line(-DAY / 40 * n - 700, f"once {chr(97 + n)}x") for n in range(26)),
    ]
    assert counted(lines).chance_new() == pytest.approx(27 * 40 / 1_440, rel=1e-3)


@given(
    kinds=st.lists(st.tuples(st.integers(0, 5), st.integers(0, 400), st.integers(0, 60)), max_size=6),
    seed=st.integers(0, 99),
)
@pytest.mark.slow
@settings(max_examples=30, deadline=None)
def test_the_order_of_lines_does_not_matter_much(kinds, seed):
    """A new kind is told, a kind with none in the window and none expected is not, whatever else is there."""
    dice = random.Random(seed)
    lines = list(USUAL)
    for number, (_, before, within) in enumerate(kinds):
        text = f"kind {chr(97 + number)}"
        lines += [line(dice.uniform(-DAY, -601), text) for _ in range(before)]
        lines += [line(dice.uniform(-599, 1_799), text) for _ in range(within)]
    found = told(lines)
    for number, (_, before, within) in enumerate(kinds):
        why = found.get(f"kind {chr(97 + number)}")
        assert (why is Why.NEW) == (before == 0 and within > 0)
        assert why is not Why.MORE or within > before * 40 / 1_440


def test_a_billion_kinds_take_little_memory(monkeypatch):
    """Above a bound kinds are not told apart, which is said, and none of them is called new."""
    monkeypatch.setattr(thinning, "MOST_KINDS", 100)
    words = ("".join(chr(97 + int(digit)) for digit in f"{n:05d}") for n in range(5_000))
    found = counted([*USUAL, *(line(n % 1_000 - 700, word) for n, word in enumerate(words))])
    assert len(found._counts) <= 102
    assert found.full
    assert Why.NEW not in {each.why for each in found.differing().values()}


def test_only_what_differs_is_kept():
    """The lines of the window that are of a kind that is told, each once."""
    lines = sorted([*USUAL, line(5, "supply lost"), line(6, "supply lost")])
    found = counted(lines)
    kept = folded((each for each in lines if each.at_us >= -600 * SECOND), found, found.differing())
    assert [(each.line.text, each.count) for each in kept.entries] == [("supply lost", 2)]
