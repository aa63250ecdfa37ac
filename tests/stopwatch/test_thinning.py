from hypothesis import given
from hypothesis import strategies as st

from falsework.record.seen import Seen, Told
from falsework.stopwatch.thinning import thinned

ANSWERS = st.lists(
    st.tuples(st.integers(0, 2), st.sampled_from(list(Told)), st.sampled_from(["", "refused"])), max_size=60
)


def changes(answers):
    """For each probe every change: what was told last before it, and first after it."""
    last = {}
    found = []
    for seen in answers:
        before = last.get(seen.probe)
        if before is None or (before.told, before.says) != (seen.told, seen.says):
            found.append((before, seen))
        last[seen.probe] = seen
    return found, last


@given(ANSWERS)
def test_no_change_is_lost(drawn):
    """Each change keeps the answer before it and the one after it, and each probe its first and last."""
    answers = [Seen(probe, float(at), at + 0.5, told, says) for at, (probe, told, says) in enumerate(drawn)]
    left = thinned(answers, most=1000)
    assert changes(left) == changes(answers)
    assert left == sorted(left, key=lambda seen: seen.asked_s)


def test_rows_of_the_same_become_two():
    """A thousand good answers are the first and the last of them."""
    answers = [Seen(0, float(at), at + 0.5, Told.YES) for at in range(1000)]
    assert thinned(answers, most=10) == [answers[0], answers[-1]]


def test_if_even_changes_are_too_many_the_oldest_go():
    """What is left is the latest of it."""
    answers = [Seen(0, float(at), at + 0.5, Told(at % 2)) for at in range(100)]
    assert thinned(answers, most=10) == answers[-10:]
