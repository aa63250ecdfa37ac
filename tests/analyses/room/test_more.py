"""Is the number of copies that could be added what trying every way of adding them gives?"""

from __future__ import annotations

from itertools import combinations_with_replacement

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.judge import homeless, lawful
from tests.rooms import choosy_rooms
from tests.strategies import lab_of

from falsework.analyses.room import room_left
from falsework.analyses.room.more import MOST_MORE, Adding, _Counting, count_more
from falsework.support.standing import Standing

MOST = 3


def truly(room, adding, losses):
    """The most copies that can be added, up to MOST, every way of placing them tried and judged."""
    counting = _Counting(room, adding, losses, frozenset())
    for count in range(MOST + 1):
        ways = combinations_with_replacement(range(len(room.hosts)), count)
        if not any(keeps(counting.with_(hosts), len(room.copies), losses) for hosts in ways):
            return count - 1
    return MOST


def keeps(room, n_old, losses):
    """Whether the new copies are lawful where they are, and nobody firm is homeless after any loss."""
    where = dict(enumerate(room.host_of))
    if not lawful(room, where, set(range(n_old, len(room.copies)))):
        return False
    return all(all(room.sheds[n] for n in homeless(room, lost)) for lost in losses)


@given(choosy_rooms(3, 3), st.data())
@settings(max_examples=50)
def test_the_count_is_what_every_way_of_adding_gives(room, data):
    """In a small room the count is exact; its hosts are one way."""
    takes = (float(data.draw(st.integers(0, 2))), float(data.draw(st.integers(1, 3))), 0.0, 0.0)
    like = data.draw(st.integers(-1, len(room.copies) - 1))
    adding = Adding(takes=room.takes[like], like=like) if like >= 0 else Adding(takes=takes)
    losses = [frozenset([host]) for host in range(len(room.hosts))]
    found = count_more(room, adding, losses)
    true = truly(room, adding, losses)
    assert min(found.least, MOST) == max(true, 0)
    assert found.most is None or found.most >= found.least
    if true < MOST:
        assert found.most == max(true, 0)
    if true >= 0:
        whole = _Counting(room, adding, losses, frozenset()).with_(found.hosts[:MOST])
        assert keeps(whole, len(room.copies), losses)


def more(text, **asked):
    """How many more, by service or size."""
    found = room_left(Standing(lab_of(f"falsework: 1\nlab: x\n{text}")), **asked)
    return {each.of: (each.least, each.most) for each in found.more}


def test_by_hand():
    """Three hosts of 10 GiB, one copy of 2 on each: with one gone two of 10 hold all, so seven more of 2 fit.

    Ten of 2 GiB in all fill two hosts; three are there.
    """
    text = """
machines: {h1..3: {is: node, memory: 10 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {copies: 3, on: p, apart: not, placed: [h1, h2, h3], takes: 2 GiB}}
"""
    assert more(text) == {"s": (7, 7)}
    assert more(text, add=("2 GiB",)) == {"2 GiB": (7, 7), "s": (7, 7)}
    assert more(text, add=("6 GiB",))["6 GiB"] == (2, 2)


def test_apart_bounds_the_count():
    """Kept apart by node, three copies need three hosts, and with one of four gone a fourth copy has none."""
    text = """
machines: {h1..4: {is: node, memory: 100 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {copies: 2, on: p, takes: 2 GiB}}
"""
    assert more(text) == {"s": (1, 1)}


def test_nothing_fits_where_something_is_broken_already():
    """A pool that fails an aim as it is takes nothing more, not even what would fit today."""
    text = """
machines: {h1..2: {is: node, memory: 10 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, placed: h1, takes: 9 GiB}, t: {on: p, placed: h2, takes: 2 GiB}}
"""
    assert more(text) == {"s": (0, 0), "t": (0, 0)}


def test_what_may_be_left_out_needs_no_room_after_a_loss():
    """A copy that may be left out fits wherever there is room today."""
    text = """
machines: {h1..2: {is: node, memory: 10 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, placed: h1, apart: not, takes: 5 GiB, sheds: SHEDS}}
"""
    assert more(text.replace("SHEDS", "yes")) == {"s": (3, 3)}
    assert more(text.replace("SHEDS", "no")) == {"s": (1, 1)}


def test_a_great_many_is_not_counted_to_its_end():
    """Beyond a bound nobody asks how many more."""
    text = """
machines: {h1..2: {is: node, memory: 1000 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, apart: not, takes: 1 GiB}}
"""
    assert more(text) == {"s": (MOST_MORE, None)}
