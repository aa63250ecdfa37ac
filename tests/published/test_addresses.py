from __future__ import annotations

import ipaddress

import pytest
from tests.strategies import lab_of

from falsework.errors import LabError
from falsework.model.parts import Network
from falsework.model.rules import address_range


def network(**keys):
    """The one network of a lab, with these keys."""
    said = ", ".join(f"{name}: {value}" for name, value in keys.items())
    text = (
        f"falsework: 1\nlab: x\nmachines: {{sw: {{is: switch}}}}\nwire: {{networks: {{house: {{{said}}}}}}}\n"
    )
    return lab_of(text).of(Network)[0]


@pytest.mark.parametrize(
    ("block", "size"), [("10.0.0.0/8", 16_777_216), ("172.16.0.0/12", 1_048_576), ("192.168.0.0/16", 65_536)]
)
def test_private_blocks_are_subnets(block, size):
    """The private blocks are taken whole, and no larger than they are. Source: RFC 1918, section 3."""
    known = ipaddress.ip_network(network(subnet=block).subnet)
    assert known.num_addresses == size
    assert known.is_private


@pytest.mark.parametrize(
    ("subnet", "first", "last", "count"),
    [
        ("10.0.0.0/24", ".1", ".254", 254),
        ("10.0.0.0/30", ".1", ".2", 2),
        ("10.0.0.0/31", ".0", ".1", 2),
    ],
)
def test_usable_hosts_are_a_range_of_their_subnet(subnet, first, last, count):
    """A /24 has 254 usable addresses, a /30 two, and a /31 two on a link between two.

    Source: RFC 950 practice; RFC 3021 for /31.
    """
    low, high = address_range(f"{first}-{last}", network(subnet=subnet, pool=f"{first}-{last}").subnet)
    assert int(high) - int(low) + 1 == count
    assert count == len(list(ipaddress.ip_network(subnet).hosts()))


def test_a_prefix_holds_two_to_what_is_left_of_it():
    """A /20 holds 4096 addresses, all of them in range and not one more. Source: RFC 4632, from memory."""
    low, high = address_range("10.1.0.0-10.1.15.255", "10.1.0.0/20")
    assert int(high) - int(low) + 1 == 4096
    with pytest.raises(ValueError, match="lies outside"):
        address_range("10.1.0.0-10.1.16.0", "10.1.0.0/20")


def test_host_bits_in_a_subnet_are_refused():
    """A subnet is a prefix: bits beyond it are zero. Source: RFC 4632, from memory."""
    with pytest.raises(LabError, match="host bits"):
        network(subnet="10.1.0.5/24")


def test_local_addresses_of_version_6_are_subnets():
    """A /64 of fd00::/8 is taken as a subnet of version 6, and not as one of version 4. Source: RFC 4193, section 3."""
    known = ipaddress.ip_network(network(subnet6="fd12:3456:789a:10::/64").subnet6)
    assert known.subnet_of(ipaddress.ip_network("fc00::/7"))
    assert known.num_addresses == 2**64
    with pytest.raises(LabError):
        network(subnet="fd12:3456:789a:10::/64")


@pytest.mark.parametrize("block", ["192.0.2.0/24", "198.51.100.0/24", "203.0.113.0/24"])
def test_documentation_blocks_are_taken_as_they_are(block):
    """Blocks kept for documentation are good enough for a plan. Source: RFC 5737 (the second and third from memory)."""
    assert network(subnet=block).subnet == block


@pytest.mark.parametrize(("vlan", "taken"), [(0, False), (1, True), (4094, True), (4095, False)])
def test_vlan_numbers_end_where_the_standard_ends_them(vlan, taken):
    """Of the twelve bits 0 and 4095 are reserved. Source: IEEE 802.1Q, from memory."""
    if taken:
        assert network(vlan=vlan).vlan == vlan
    else:
        with pytest.raises(LabError, match=r"4,?094"):
            network(vlan=vlan)
