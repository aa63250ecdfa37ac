import math

from hypothesis import given
from hypothesis import strategies as st

from falsework.stopwatch.lateness import Lateness


@given(st.lists(st.floats(0.0, 1.9), min_size=1, max_size=200), st.sampled_from([0.5, 0.9, 0.99, 1.0]))
def test_a_share_of_all_is_no_later_than_told(late_s, share):
    """Against sorting them all: the same, to the tenth of a millisecond that they are counted in."""
    lateness = Lateness()
    for each in late_s:
        lateness.count(each)
    exact = sorted(late_s)[math.ceil(share * len(late_s)) - 1]
    assert exact - 1e-9 <= lateness.share_s(share) <= exact + 0.000_1 + 1e-9
    went = lateness.watched()
    assert (went.asked, went.worst_s) == (len(late_s), max(late_s))


def test_what_is_later_than_it_counts_is_the_worst():
    """Above two seconds only the worst is known exactly."""
    lateness = Lateness()
    for each in (0.001, 5.0, 7.0):
        lateness.count(each)
    assert lateness.share_s(0.99) == 7.0
