"""Are the blocks that the documents keep the ones that are refused?"""

import ipaddress

import pytest

from falsework.engines.addressing.special import SPECIAL, kept, overlap, own


def of(text):
    """A prefix."""
    return ipaddress.ip_network(text)


@pytest.mark.parametrize(
    ("block", "size"), [("10.0.0.0/8", 16_777_216), ("172.16.0.0/12", 1_048_576), ("192.168.0.0/16", 65_536)]
)
def test_private_blocks_are_anybodys(block, size):
    """The three private blocks, whole and no larger. Source: RFC 1918, section 3 (G01)."""
    assert own(of(block))
    assert of(block).num_addresses == size
    assert not own(of(block).supernet())


def test_local_blocks_have_their_bit_set():
    """fd00::/8 is anybody's; fc00::/8, with the bit clear, is not defined. Source: RFC 4193, section 3.1 (G04)."""
    assert own(of("fd4a:9c1e:20::/48"))
    assert not own(of("fc00:1::/48"))
    assert kept(of("fc00:1::/48"), "never").source == "RFC 4193, section 3.1"
    assert of("fd00::/8").supernet() == of("fc00::/7")


@pytest.mark.parametrize("block", ["192.0.2.0/24", "198.51.100.0/24", "203.0.113.0/24"])
def test_documentation_blocks_are_for_plans_only(block):
    """Hosts would answer there, but they are nobody's to give. Source: RFC 5737, section 3 (G07)."""
    assert kept(of(block), "plan").called == "documentation"
    assert kept(of(block), "never") is None


def test_what_others_keep_is_kept_here():
    """What the language's own library calls loopback, multicast, on a link or reserved is never given.

    Source: another implementation, Python's `ipaddress`.
    """
    for text in (
        "127.3.0.0/16",
        "169.254.9.0/24",
        "224.1.0.0/16",
        "240.0.0.0/8",
        "::1/128",
        "fe80::/64",
        "ff02::/16",
    ):
        known = of(text)
        assert known.is_loopback or known.is_link_local or known.is_multicast or known.is_reserved
        assert kept(known, "never") is not None
    for text in ("8.8.8.0/24", "10.0.0.0/8", "2a00:1450::/32", "fd00:1::/64"):
        assert kept(of(text), "never", "plan") is None


def test_what_is_handed_out_to_nobody_is_kept():
    """Outside 2000::/3 and the local block there is nothing to be had. Source: RFC 4291, section 2.4."""
    assert kept(of("4000::/16"), "never") is not None


def test_a_prefix_around_a_kept_block_is_refused_too():
    """What holds a kept block would give its addresses away."""
    assert kept(of("126.0.0.0/7"), "never").called == "loopback"
    assert kept(of("0.0.0.0/0"), "never") is not None


def test_no_two_kept_blocks_overlap_but_those_that_say_so():
    """Each address is kept for one thing."""
    pairs = [
        (str(one.block), str(other.block))
        for at, one in enumerate(SPECIAL)
        for other in SPECIAL[:at]
        if overlap(one.block, other.block)
    ]
    assert pairs == []
    assert all("RFC" in each.source for each in SPECIAL)
