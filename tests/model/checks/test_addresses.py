"""Is every contradiction in ranges, subnets, blocks and recorded addresses told, with its place and a mend?"""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, told

BASE = """\
lab: l
machines:
  desk-1..2: {is: node, ports: 1 x 1 Gb/s}
  sw: {is: switch, ports: 8 x 1 Gb/s}
wire:
  ranges: [10.20.0.0/16, fd4a:9c1e:20::/48]
  domain: rock.home.arpa
  networks:
    house: {vlan: 10, subnet: 10.20.10.0/24, fixed: .2-.49, pool: .100-.199, reserved: .240-.254}
    care: {vlan: 99, subnet: 10.20.99.0/24, over: sw}
services:
  names: {on: [desk-1, desk-2], reached at: [10.20.10.5, 10.20.10.6]}
  door: {on: desk-1, floats: 10.20.10.2 in 4 s}
addresses:
  house: {desk-1: 10.20.10.50, desk-2: 10.20.10.51}
"""


def test_the_lab_itself_is_in_order():
    """Nothing is told where nothing contradicts."""
    assert lab_of(BASE).name == "l"


@pytest.mark.parametrize(
    ("old", "new", "says", "mend"),
    [
        ("10.20.0.0/16, fd", "192.0.2.0/24, fd", "192.0.2.0/24 is not yours to give: 192.0.2.0/24 is kept for documentation (RFC 5737, section 3)", "RFC 1918"),
        ("10.20.0.0/16, fd", "127.0.0.0/16, fd", "is kept for loopback (RFC 1122", "10.0.0.0/8"),
        ("10.20.0.0/16, fd", "100.64.0.0/16, fd", "RFC 6598, section 4", "10.0.0.0/8"),
        ("10.20.0.0/16, fd", "224.0.0.0/8, fd", "is kept for multicast", "10.0.0.0/8"),
        ("10.20.0.0/16, fd", "169.254.0.0/20, fd", "RFC 3927", "10.0.0.0/8"),
        ("fd4a:9c1e:20::/48", "fe80::/48", "kept for one link only", "RFC 4193"),
        ("fd4a:9c1e:20::/48", "fc4a:9c1e:20::/48", "RFC 4193, section 3.1", "fd with ten more digits"),
        ("10.20.0.0/16, fd", "10.20.0.0/16, 10.20.32.0/20, fd", "10.20.32.0/20 overlaps 10.20.0.0/16", "leave one of the two out"),
        ("subnet: 10.20.99.0/24", "subnet: 127.0.0.0/24", "no host can have an address in 127.0.0.0/24", "of your own ranges"),
        ("subnet: 10.20.99.0/24", "subnet: 10.20.99.0/28, room for: 20", "has 14 addresses for hosts, and `room for` says 20", "larger subnet"),
        ("subnet: 10.20.99.0/24", "subnet: 10.20.99.0/28, pool for: 20", "has 14 addresses for hosts, and `pool for` says 20", "larger subnet"),
        ("fixed: .2-.49", "fixed: .2-.100", "10.20.10.100 is in `fixed` and in `pool` of house", "end before each other"),
        ("reserved: .240-.254", "reserved: .199-.254", "10.20.10.199 is in `pool` and in `reserved` of house", "end before each other"),
        ("vlan: 99", "vlan: 10", "VLAN 10 is house on sw already (lab.yaml:9:19)", "another number"),
        ("reached at: [10.20.10.5", "reached at: [10.20.10.255", "10.20.10.255 is an end of 10.20.10.0/24", "between the two ends"),
        ("floats: 10.20.10.2", "floats: 10.20.10.0", "10.20.10.0 is an end of 10.20.10.0/24", "between the two ends"),
        ("desk-2: 10.20.10.51", "desk-2: 10.20.10.50", "10.20.10.50 is already the address of desk-1 (lab.yaml:15:19)", "another address"),
        ("desk-2: 10.20.10.51", "desk-2: 10.20.11.51", "10.20.11.51 lies outside 10.20.10.0/24, the subnet of house", "correct one of the two"),
        ("desk-2: 10.20.10.51", "desk-2: 10.20.10.255", "stands for all of it, so no host can have it", "between the two ends"),
        ("desk-2: 10.20.10.51", "desk-2: 10.20.10.5", "is already an address of names, which does not run on desk-2", "another address"),
        ("desk-2: 10.20.10.51", "desk-9: 10.20.10.51", "there is nothing called 'desk-9'", "take the line out"),
        ("  house: {desk", "  hous: {desk", "there is no network 'hous'", "did you mean 'house'?"),
        ("domain: rock.home.arpa", "domain: rock_.home.arpa", "found 'rock_.home.arpa'", "labels of letters, digits and hyphens"),
        ("domain: rock.home.arpa", f"domain: {'a' * 64}.arpa", "found", "labels of letters"),
        ("domain: rock.home.arpa", f"domain: {'.'.join(['a' * 20] * 7)}", "found", "125 characters at most"),
    ],
)  # fmt: skip
def test_a_contradiction_is_told(old, new, says, mend):
    """Each with file, line and column, what is wrong with the value shown, and how to mend it."""
    assert old in BASE
    said = told(BASE.replace(old, new, 1))
    assert any(says in line and mend.casefold() in line.casefold() for line in said), said
    line = next(number for number, row in enumerate(BASE.splitlines(), 1) if old.split(", fd")[0] in row)
    assert all(row.startswith(f"lab.yaml:{line}:") for row in said), said


@pytest.mark.parametrize("block", ["192.0.2.0/24", "100.64.3.0/24", "198.18.0.0/24"])
def test_a_subnet_that_only_should_not_be_there_is_left_alone(block):
    """Hosts answer in it today, so the lab can be told of as it is."""
    text = BASE.replace("subnet: 10.20.99.0/24", f"subnet: {block}")
    assert lab_of(text).name == "l"


@pytest.mark.parametrize(
    ("thing", "address"), [("desk-1", "10.20.10.5"), ("names", "10.20.10.6"), ("door", "10.20.10.2")]
)
def test_one_address_may_be_said_twice_of_the_same(thing, address):
    """A machine may have the address of the copy that runs on it, and a service its own."""
    text = BASE.replace("desk-1: 10.20.10.50", f"{thing}: {address}")
    assert lab_of(text).recorded[0].address == address


def test_one_number_on_other_switches_is_another_network():
    """The same VLAN on switches that no network shares is no contradiction."""
    text = BASE.replace("  sw: {is", "  sw-2: {is: switch, ports: 8 x 1 Gb/s}\n  sw: {is")
    text = text.replace("house: {vlan: 10,", "house: {vlan: 99, over: sw-2,")
    assert lab_of(text).name == "l"


def test_what_follows_from_another_fault_is_not_told():
    """A machine that could not be read is not missed under `addresses`."""
    said = told(BASE.replace("desk-1..2: {is: node,", "desk-1..2: {is: nod,"))
    assert not any("there is nothing called" in line for line in said)
