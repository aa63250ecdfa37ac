"""The owner's ranges and the addresses that things keep are read with their places."""

import pytest
from tests.model.texts import lab_of, told

LAB = """\
lab: l
wire:
  ranges: [10.20.0.0/16, fd4a:9c1e:20::/48]
  domain: rock.home.arpa
  networks:
    house: {subnet: 10.20.10.0/24, subnet6: fd4a:9c1e:20:10::/64}
machines:
  desk-1..2: {is: node}
addresses:
  house: {desk-1: [10.20.10.50, FD4A:9C1E:20:10:0::50], desk-2: 10.20.10.51}
"""


def test_ranges_and_domain_are_kept():
    """Both versions, in the order written."""
    lab = lab_of(LAB)
    assert [each.subnet for each in lab.ranges] == ["10.20.0.0/16", "fd4a:9c1e:20::/48"]
    assert lab.domain == "rock.home.arpa"


def test_recorded_addresses_are_canonical_and_know_their_place():
    """One or several for each thing; each knows its line."""
    recorded = lab_of(LAB).recorded
    assert [(each.network, each.thing, each.address) for each in recorded] == [
        ("house", "desk-1", "10.20.10.50"),
        ("house", "desk-1", "fd4a:9c1e:20:10::50"),
        ("house", "desk-2", "10.20.10.51"),
    ]
    assert {each.where.line for each in recorded} == {10}


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[10.20.0.0/16, ", "[10.20.1.0/16, ", "10.20.1.0/16 has host bits set"),
        ("10.20.10.51}", "10.20.10.351}", "Write an address such as 10.20.10.50."),
        ("house: {desk-1: [", "house: [{desk-1: [", "Write by network the addresses of things"),
        ("ranges:", "range:", "Did you mean 'ranges'?"),
    ],
)
def test_what_is_no_address_is_refused(old, new, message):
    """Host bits, an octet too large, a wrong shape, a misspelt key: told with the place."""
    text = LAB.replace(old, new)
    if "[{" in new:
        text = text.replace("desk-2: 10.20.10.51}", "desk-2: 10.20.10.51}]")
    (said,) = told(text)
    assert message in said
    assert said.startswith("lab.yaml:")
