"""Are zone files what an independent reader of them takes them for?"""

import dns.name
import dns.rdatatype
import dns.reversename
import dns.zone
import pytest
from hypothesis import given, settings
from tests.address_labs import address_labs, lab, lab_text

from falsework.analyses.addresses import addresses
from falsework.analyses.addresses.zones import zones
from falsework.errors import LabError
from falsework.faces.zone import is_ours, next_text, serial_of, zone_text
from falsework.invent.sized import invent

TEST = settings(deadline=None, max_examples=40)
CLASSLESS = lab_text(["a", "b"], {"house": "subnet: 203.0.113.64/26"}, ranges="")


def read(text):
    """The records of a zone file, as the other library reads them: (owner, type, value), and the zone."""
    zone = dns.zone.from_text(text, relativize=False)
    found = set()
    for name, _, data in zone.iterate_rdatas():
        kind = dns.rdatatype.to_text(data.rdtype)
        if kind != "SOA":
            found.add((name.to_text(omit_final_dot=True), kind, data.to_text()))
    return found, zone


def held(made, text):
    """A zone and its text hold the same records, both ways, and the same head."""
    found, zone = read(text)
    assert found == {(each.owner, each.sort, each.value) for each in made.records}
    assert zone.origin.to_text(omit_final_dot=True) == made.origin
    (soa,) = zone.find_rdataset(zone.origin, "SOA")
    assert (soa.mname.to_text(), soa.rname.to_text()) == (made.primary, made.mailbox)
    assert soa.serial == serial_of(text)
    return found


def plan_of(text):
    """The lab and its plan; None where the invented text contradicts itself."""
    try:
        known = lab(text)
    except LabError:
        return None
    return known, addresses(known)


def compared(known, plan):
    """All zones of a plan, held against the plan: every name forward, every address back, nothing more."""
    made = zones(known, plan)
    forward, *reverse = made
    records = held(forward, zone_text(forward, 7))
    said = {(name, kind, value) for name, kind, value in records if kind != "NS"}
    wanted = {
        (each.name, "AAAA" if ":" in address else "A", address)
        for each in plan.called
        for address in each.addresses
        if not each.outside
    }
    assert said == wanted
    back = {}
    for zone in reverse:
        for name, kind, value in held(zone, zone_text(zone, 7)):
            if kind == "PTR":
                assert name not in back
                back[name] = value
    return back, said


@given(address_labs())
@TEST
def test_every_record_is_read_back_both_ways(text):
    """Each name has its addresses, each address its name under in-addr.arpa or ip6.arpa, and that name leads back.

    Source: RFC 1035, sections 3.5 and 5; RFC 3596, section 2.5; read by an independent library.
    """
    found = plan_of(text)
    if found is None:
        return
    back, forward = compared(*found)
    addresses_given = {each.address for each in found[1].given}
    pointers = {
        dns.reversename.from_address(each).to_text(omit_final_dot=True): each for each in addresses_given
    }
    assert set(back) == set(pointers)
    for name, value in back.items():
        address = pointers[name]
        assert (value.rstrip("."), "AAAA" if ":" in address else "A", address) in forward


@pytest.mark.parametrize("nodes", [3, 40])
def test_invented_labs_are_read_back(nodes):
    """The zones of labs of other sizes, too."""
    back, forward = compared(*plan_of(invent(nodes, 1)))
    assert len(back) >= nodes
    assert len(forward) >= nodes


def test_wide_subnets_have_a_zone_for_each_24():
    """A /22 with addresses in one of its four: one zone of three labels before in-addr.arpa."""
    known, plan = plan_of(lab_text(["a"], {"house": "subnet: 10.1.4.0/22"}, ranges=""))
    assert [each.origin for each in zones(known, plan)] == ["home.arpa", "4.1.10.in-addr.arpa"]


def test_part_of_somebody_elses_24_is_delegated():
    """A /26 whose /24 is not the owner's has a zone of its own, and says what the other side must do.

    Source: RFC 2317, section 4.
    """
    known, plan = plan_of(CLASSLESS)
    zone = zones(known, plan)[1]
    assert zone.origin == "64-26.113.0.203.in-addr.arpa"
    found = held(zone, zone_text(zone, 1))
    assert ("66.64-26.113.0.203.in-addr.arpa", "PTR", "a.home.arpa.") in found
    assert "RFC 2317" in zone_text(zone, 1).splitlines()[1]


def test_part_of_an_own_24_is_in_the_zone_of_the_whole():
    """A private /26 is in a plain zone, with a note."""
    known, plan = plan_of(CLASSLESS.replace("203.0.113", "10.0.0"))
    zone = zones(known, plan)[1]
    assert zone.origin == "0.0.10.in-addr.arpa"
    assert "answers for all of it" in zone.notes[0]


def test_two_parts_of_a_24_share_its_zone():
    """Records of both, and one origin each."""
    text = lab_text(["a"], {"x": "subnet: 10.0.0.0/26", "y": "subnet: 10.0.0.64/26"}, ranges="")
    known, plan = plan_of(text)
    assert [each.origin for each in zones(known, plan)] == ["home.arpa", "0.0.10.in-addr.arpa"]
    back, _ = compared(known, plan)
    assert len(back) == 2


def test_who_answers_for_names_is_the_server():
    """The copies of the service that names are looked up from, with addresses in the zone; else a name that says nothing."""
    services = [
        "names: {on: [a, b], reached at: [10.0.0.5, 10.0.0.6]}",
        "files: {on: a, named: files from names}",
    ]
    known, plan = plan_of(
        lab_text(["a", "b"], {"house": "subnet: 10.0.0.0/24"}, ranges="", services=services)
    )
    found = held(zones(known, plan)[0], zone_text(zones(known, plan)[0], 1))
    assert {value for _, kind, value in found if kind == "NS"} == {"names-1.home.arpa.", "names-2.home.arpa."}
    assert ("names-1.home.arpa", "A", "10.0.0.5") in found
    known, plan = plan_of(CLASSLESS)
    assert zones(known, plan)[0].primary == "localhost."


@pytest.mark.parametrize(
    ("named", "full"),
    [
        ("files", "files.rock.home.arpa"),
        ("files.rock", "files.rock.home.arpa"),
        ("Files.Rock.Home.arpa", "files.rock.home.arpa"),
        ("files.lan", "files.lan.rock.home.arpa"),
    ],
)
def test_names_that_clients_look_up_are_in_the_zone(named, full):
    """Whatever part of the domain they say; a service without an address is asked for at its machines."""
    text = lab_text(
        ["a", "b"],
        {"house": "subnet: 10.0.0.0/24"},
        ranges="",
        services=["names: {on: a}", f"files: {{on: b, named: {named} from names}}"],
        more="domain: rock.home.arpa",
    )
    known, plan = plan_of(text)
    assert (full, "A", "10.0.0.3") in held(zones(known, plan)[0], zone_text(zones(known, plan)[0], 1))


def test_names_outside_the_domain_are_left_out_and_told():
    """A whole name, with its last dot, of another domain."""
    text = lab_text(["a"], {"house": "subnet: 10.0.0.0/24"}, ranges="", services=["n: {on: a}", "f: {on: a, named: f.example. from n}"])  # fmt: skip
    known, plan = plan_of(text)
    zone = zones(known, plan)[0]
    assert "f.example lies outside home.arpa" in zone.notes[0]
    assert "f.example" not in {each.owner for each in zone.records}


def test_the_serial_number_moves_only_with_the_zone():
    """1 at first, the same where nothing changed, the next one where something did, and 1 after the last (RFC 1982)."""
    known, plan = plan_of(CLASSLESS)
    zone = zones(known, plan)[0]
    first = next_text(zone, None)
    assert serial_of(first) == 1
    assert next_text(zone, first) == first
    other = next_text(zone, first.replace("203.0.113.66", "203.0.113.99"))
    assert serial_of(other) == 2
    assert serial_of(next_text(zone, zone_text(zone, 2**32 - 1).replace("203.0.113.66", "203.0.113.99"))) == 1
    assert is_ours(first)
    assert not is_ours("$ORIGIN home.arpa.\n")


def test_limits_of_the_name_system_are_kept():
    """Labels of 63 octets and names of 255 on the wire, whatever things are called. Source: RFC 1035, 2.3.4 (G13)."""
    long = "x" * 150
    text = lab_text([long, f"{long}y"], {"n" * 90: "subnet: 10.0.0.0/24", "m": "subnet: 10.0.1.0/24"}, ranges="", more=f"domain: {'d' * 60}.{'e' * 60}")  # fmt: skip
    known, plan = plan_of(text)
    compared(known, plan)
    for each in plan.called:
        name = dns.name.from_text(each.name)
        assert len(name.to_wire()) <= 255
        assert max(len(label) for label in name.labels) <= 63
    assert len({each.name for each in plan.given}) == 4
