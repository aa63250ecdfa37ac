from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.sofar import Coming

NAMES = st.lists(st.sampled_from("abcdef"), max_size=6)


@given(NAMES, st.lists(NAMES, max_size=4), st.sets(st.sampled_from("abcdefg")))
def test_it_is_a_set_like_any_other(start, later, other):
    """At every moment the same members, comparisons, unions and hash as a plain set; and it never changes."""
    coming, plain = Coming(start), set(start)
    seen = [(coming.so_far(), frozenset(plain))]
    for names in later:
        coming.come(names)
        plain.update(names)
        seen.append((coming.so_far(), frozenset(plain)))
    for found, wanted in seen:
        assert found == wanted
        assert wanted == found
        assert len(found) == len(wanted)
        assert hash(found) == hash(wanted)
        assert set(found) == wanted
        assert [name in found for name in "abcdefg"] == [name in wanted for name in "abcdefg"]
        assert (found | other, found & other, found - other) == (
            wanted | other,
            wanted & other,
            wanted - other,
        )
        assert (other - found, frozenset(other).union(found)) == (other - wanted, other | wanted)
        assert (found <= other, found >= other) == (wanted <= other, wanted >= other)
    assert all(one[0] <= two[0] for one, two in pairwise(seen))


def test_they_come_in_their_order():
    """Iteration is by coming, not by name."""
    coming = Coming("cab")
    coming.come("dab")
    assert "".join(coming.so_far()) == "cabd"
    assert 3 not in coming.so_far()


def test_what_came_since_is_the_difference():
    """Two moments of one story differ by what came between; other sets are taken away one by one."""
    coming = Coming(["a"])
    first = coming.so_far()
    coming.come(["b", "c"])
    then = coming.so_far()
    assert then - first == {"b", "c"}
    assert first - then == set()
    assert then - {"b"} == {"a", "c"}
    assert then - Coming(["c"]).so_far() == {"a", "b"}
