"""Are prefixes cut without overlap and without waste?"""

import ipaddress

from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.addressing.cutting import Wanted, cut
from falsework.engines.addressing.spans import count, highest_run, inside, numbers, without

TEST = settings(deadline=None, max_examples=80)
RANGE = ipaddress.ip_network("10.0.0.0/24")


def cuts(lengths, ranges=(RANGE,), taken=()):
    """The prefixes of these lengths, in their order."""
    wanted = [Wanted(name=str(at), length=length) for at, length in enumerate(lengths)]
    found = cut(ranges, taken, wanted, 4)
    return [found[each.name] for each in wanted]


@given(st.lists(st.integers(24, 32), max_size=12), st.lists(st.integers(0, 63), max_size=4, unique=True))
@TEST
def test_cuts_are_apart_and_in_the_range(lengths, used):
    """Each has the length that was wanted, lies in the range, and shares nothing with others or what is taken."""
    taken = [ipaddress.ip_network((int(RANGE[0]) + 4 * each, 30)) for each in used]
    found = [each for each in cuts(lengths, taken=taken) if each is not None]
    for at, each in enumerate(found):
        assert each.subnet_of(RANGE)
        assert not any(each.overlaps(other) for other in (*found[:at], *taken))
    for length, each in zip(lengths, cuts(lengths, taken=taken), strict=True):
        assert each is None or each.prefixlen == length


@given(st.lists(st.integers(25, 32), max_size=40))
@TEST
def test_all_are_cut_as_long_as_their_sizes_fit(lengths):
    """Nothing is lost between them: they find room exactly as long as their sizes add up to no more than the range."""
    fits = sum(1 << (32 - length) for length in lengths) <= RANGE.num_addresses
    assert (None not in cuts(lengths)) == fits


def test_the_largest_lie_first():
    """By hand: a /26, a /25 and a /27 of a /24 lie as /25, /26, /27."""
    assert [str(each) for each in cuts([26, 25, 27])] == ["10.0.0.128/26", "10.0.0.0/25", "10.0.0.192/27"]


def test_the_smallest_hole_is_used_first():
    """A /26 goes into the hole of its size and leaves the larger one whole."""
    taken = [ipaddress.ip_network("10.0.0.128/26")]
    assert str(cuts([26], taken=taken)[0]) == "10.0.0.192/26"


def test_what_holds_addresses_lies_around_them():
    """The block around them, larger where they lie apart; none where something else is there."""
    first, second, third = int(RANGE[70]), int(RANGE[130]), int(RANGE[200])
    wanted = [Wanted(name="a", length=27, holds=(first,)), Wanted(name="b", length=28, holds=(second, third))]
    found = cut([RANGE], [], wanted, 4)
    assert {name: str(each) for name, each in found.items()} == {"a": "10.0.0.64/27", "b": "10.0.0.128/25"}
    assert cut([RANGE], [ipaddress.ip_network("10.0.0.68/30")], wanted, 4)["a"] is None


def test_a_place_that_is_liked_is_taken_if_it_is_free():
    """The second that likes the same place goes elsewhere."""
    ranges = [ipaddress.ip_network("fd00:0:0::/48")]
    spot = int(ipaddress.ip_address("fd00:0:0:10::"))
    found = cut(ranges, [], [Wanted(name=name, length=64, likes=spot) for name in "ab"], 6)
    assert str(found["a"]) == "fd00:0:0:10::/64"
    assert str(found["b"]) == "fd00:0:0:11::/64"  # the smallest block that is left


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), max_size=8))
@TEST
def test_what_is_left_of_a_span_is_what_is_in_no_hole(holes):
    """Number by number."""
    holes = [(min(pair), max(pair)) for pair in holes]
    left = without([(5, 50)], holes)
    wanted = [each for each in range(5, 51) if not inside(each, holes)]
    assert list(numbers(left)) == wanted
    assert count(left) == len(wanted)
    run = highest_run(left, 3)
    runs = [each for each in wanted if {each + 1, each + 2} <= set(wanted)]
    assert run == ((runs[-1], runs[-1] + 2) if runs else None)
