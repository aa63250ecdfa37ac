"""Do prefixes hold what the documents say?"""

import ipaddress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.addressing.prefixes import (
    GLOBAL_ID_BITS,
    HOST_BITS_6,
    addresses,
    collision,
    hosts,
    length_for,
    local_parts,
    smallest_around,
    usable,
)

TEST = settings(deadline=None, max_examples=60)


@pytest.mark.parametrize(("prefix", "count"), [("10.0.0.0/31", 2), ("10.0.0.0/30", 2), ("10.0.0.0/24", 254)])
def test_hosts_of_a_prefix(prefix, count):
    """A /31 is a link between two, a /30 holds two, a /24 254. Source: RFC 3021; RFC 950 practice (G02)."""
    assert hosts(ipaddress.ip_network(prefix)) == count


def test_addresses_of_a_prefix():
    """A /20 has 4096. Source: RFC 4632 (G03, from memory)."""
    assert addresses(ipaddress.ip_network("10.0.0.0/20")) == 4096


def test_the_pieces_of_a_local_prefix():
    """fd, 40 random bits, 16 bits of subnet, 64 of interface. Source: RFC 4193, section 3 (G04)."""
    drawn, subnet = local_parts(ipaddress.ip_network("fd4a:9c1e:20:10::/64"))
    assert (drawn, subnet) == (0x4A9C1E0020, 0x0010)
    assert 8 + GLOBAL_ID_BITS + 16 + HOST_BITS_6 == 128
    with pytest.raises(ValueError, match="no local prefix"):
        local_parts(ipaddress.ip_network("fc00::/64"))


@pytest.mark.parametrize(("networks", "chance"), [(2, 1.81e-12), (10, 4.54e-11), (100, 4.54e-9)])
def test_the_chance_that_two_drew_the_same(networks, chance):
    """As in the table. Source: RFC 4193, section 3.2.3 (G05, from memory)."""
    assert collision(networks) == pytest.approx(chance, rel=0.005)


@given(st.integers(0, 16_000_000))
@TEST
def test_the_length_is_the_longest_that_holds_so_many(count):
    """So many fit, and half as much would not hold them or is shorter than what is cut."""
    length = length_for(count)
    assert hosts(ipaddress.ip_network(f"0.0.0.0/{length}")) >= count
    assert length == 30 or hosts(ipaddress.ip_network(f"0.0.0.0/{length + 1}")) < count


def test_too_many_are_refused():
    """More than the largest private block holds can't be cut."""
    assert length_for((1 << 24) - 2) == 8
    with pytest.raises(ValueError, match="more than a /8"):
        length_for((1 << 24) - 1)


@given(st.ip_addresses(v=4), st.ip_addresses(v=4))
@TEST
def test_the_smallest_prefix_around_two(one, other):
    """Both lie in it, and not both in half of it."""
    length = smallest_around(int(one), int(other), 4)
    assert other in ipaddress.ip_network((one, length), strict=False)
    if length < 32:
        assert other not in ipaddress.ip_network((one, length + 1), strict=False)


@pytest.mark.parametrize(
    "prefix", ["10.0.0.0/24", "10.0.0.4/30", "10.0.0.4/31", "10.0.0.4/32", "fd00::/126", "fd00::/127"]
)
def test_usable_addresses_are_those_of_another_implementation(prefix):
    """The first and the last host are those that Python's `ipaddress` lists."""
    known = list(ipaddress.ip_network(prefix).hosts())
    assert usable(ipaddress.ip_network(prefix)) == (int(known[0]), int(known[-1]))
