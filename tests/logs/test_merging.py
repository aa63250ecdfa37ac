"""Is what is merged in order, whatever had to go to disk?"""

from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.logs.line import Line
from falsework.logs.merging import merged


def made(times):
    """Lines of a few files with these times, a file after the other; (time, file) as given."""
    places = {}
    found = []
    for at, file in sorted(times, key=lambda each: each[1]):
        places[file] = places.get(file, -1) + 1
        found.append(Line(at, file, places[file], "h", "a", 6, "x" * (at % 50)))
    return found


@given(
    times=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 5)), max_size=200),
    most=st.sampled_from([0, 400, 3_000, 1 << 20]),
)
@settings(max_examples=60, deadline=None)
def test_it_is_what_sorting_all_would_give(times, most):
    """Against Python's own stable sort by time alone: all lines, once, in the order of files and of lines in them."""
    lines = made(times)
    assert list(merged(lines, most_held=most)) == sorted(lines, key=lambda line: line.at_us)


def test_what_is_given_up_leaves_nothing_open():
    """Runs on disk are closed when the iteration is."""
    lines = merged((Line(9 - each % 10, 0, each, "h", "a", 6, "x") for each in range(100)), most_held=1)
    assert next(lines).at_us == 0
    lines.close()
