"""Are the changes and sums of a probe those of all its answers, in whatever order they are told?"""

import math
import statistics

from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.record.seen import Seen, Told
from falsework.record.tally import Tally, times_of, usual_s


def kept(seens, patience_s=1.0):
    """The changes that are left on disk, by the moment of asking, and the tally."""
    tally, changes = Tally(patience_s), {}
    for seen in seens:
        if tally.last is None or seen.asked_s >= tally.last.asked_s:
            change = tally.take(seen)
            if change is not None:
                changes[change[0]] = change
        else:
            for gone_s, change in tally.take_late(seen):
                if gone_s is not None:
                    changes.pop(gone_s, None)
                if change is not None:
                    changes[change[0]] = change
    return [changes[at] for at in sorted(changes)], tally


@given(
    st.lists(st.tuples(st.sampled_from(Told), st.floats(0.001, 4, allow_nan=False)), min_size=1, max_size=60),
    st.sampled_from((0.1, 0.5, 1.0)),
)
@settings(max_examples=120)
def test_late_answers_find_their_place(answers, every_s):
    """The changes are those of all answers sorted by the moment of asking, whenever each was told."""
    seens = [
        Seen(0, at * every_s, at * every_s + took_s, told, str(at))
        for at, (told, took_s) in enumerate(answers)
    ]
    found, tally = kept(sorted(seens, key=lambda each: each.told_s))
    expected = [
        (each.asked_s, int(each.told), each.says, None if not at else seens[at - 1].asked_s)
        for at, each in enumerate(seens)
        if not at or seens[at - 1].told != each.told
    ]
    assert [(c[0], c[2], c[3], c[4]) for c in found] == expected
    assert tally.asked == sum(each.told != Told.UNKNOWN for each in seens)
    assert tally.yes == sum(each.told == Told.YES for each in seens)


def test_the_soonest_answer_says_when_it_served():
    """A question that was sent again by its sender is told late: the ones after it had their answers before."""
    seens = [
        Seen(0, 0.0, 0.1, Told.SILENT),
        Seen(0, 2.0, 2.1, Told.YES),
        Seen(0, 2.2, 2.3, Told.YES),
        Seen(0, 1.0, 2.5, Told.YES),
    ]
    found, _ = kept(seens)
    assert [(c[0], c[1]) for c in found] == [(0.0, 0.1), (1.0, 2.1)]


def test_an_answer_that_comes_long_after_is_only_counted():
    """Nobody waited for it, and what was before is not known any more."""
    seens = [Seen(0, float(at), at + 0.1, Told.YES) for at in range(40)]
    found, tally = kept([*seens, Seen(0, 3.5, 40.0, Told.SILENT)])
    assert len(found) == 1
    assert tally.asked == 41


@given(st.lists(st.floats(1e-5, 30), min_size=1, max_size=200))
@settings(max_examples=40)
def test_the_usual_time_is_the_median(times):
    """It is right to half a step, 2.2 %, on the way to the record and back, and lies between the two middle ones."""
    _, tally = kept([Seen(0, float(at), at + took, Told.YES) for at, took in enumerate(times)])
    found = usual_s(times_of(tally.times_text))
    low, high = statistics.median_low(times), statistics.median_high(times)
    # Moments are sums, so a time of 10 microseconds after some minutes has lost a few of its digits.
    assert low / 1.025 <= found <= high * 1.025
    assert math.isclose(tally.worst_s, max(times), rel_tol=1e-6)


def test_the_usual_time_of_nothing_is_unknown():
    """It is not a number."""
    assert math.isnan(usual_s({}))
