"""Does everything get an address of its own, in a subnet of its own, and keep it?"""

import ipaddress
from itertools import pairwise

import pytest
from hypothesis import given, settings
from tests.address_labs import address_labs, lab, lab_text

from falsework.analyses.addresses import addresses
from falsework.analyses.addresses.writing import filled
from falsework.engines.addressing.prefixes import usable
from falsework.engines.addressing.spans import inside
from falsework.errors import LabError, QuestionError
from falsework.invent.sized import invent
from falsework.model.build import load

TEST = settings(deadline=None, max_examples=60)


def plan_of(text):
    """The lab and its plan; None where the invented text contradicts itself."""
    try:
        read = lab(text)
    except LabError:
        return None
    return read, addresses(read)


def pairs(plan):
    """Who has which address where."""
    return {(each.network, each.thing, each.address) for each in plan.given}


@given(address_labs())
@TEST
def test_subnets_are_apart_and_addresses_lie_in_them(text):
    """No two subnets share an address; each address lies in its network's, is no end of it, and has one owner."""
    _, plan = plan_of(text) or (None, None)
    if plan is None:
        return
    prefixes = [subnet.prefix for net in plan.nets for subnet in (net.four, net.six) if subnet is not None]
    for at, one in enumerate(prefixes):
        assert not any(one.version == other.version and one.overlaps(other) for other in prefixes[:at])
    nets = {net.name: net for net in plan.nets}
    owners = {}
    for each in plan.given:
        net = nets[each.network]
        prefix = (net.four if each.version == 4 else net.six).prefix
        low, high = usable(prefix)
        assert low <= int(ipaddress.ip_address(each.address)) <= high
        owners.setdefault(each.address, set()).add(each.thing)
    assert all(len(things) == 1 for things in owners.values())


@given(address_labs())
@TEST
def test_what_is_new_lies_in_the_fixed_block_and_blocks_are_apart(text):
    """Nothing new is taken from the pool or what is kept free; no address is in two blocks; the way out is its own."""
    _, plan = plan_of(text) or (None, None)
    if plan is None:
        return
    for net in plan.nets:
        spans = [(block.first, block.last) for block in net.blocks]
        assert all(one[1] < other[0] for one, other in pairwise(spans))
        own = [(b.first, b.last) for b in net.blocks if b.kind in ("fixed", "way out")]
        for each in plan.new:
            if each.network == net.name and each.version == 4:
                assert inside(int(ipaddress.ip_address(each.address)), own)


@given(address_labs())
@TEST
def test_once_written_nothing_is_renumbered(text):
    """The written file gives the same plan with nothing new, and a machine more, or the last one first, moves nobody."""
    read, plan = plan_of(text) or (None, None)
    if plan is None or not plan.complete:
        return
    changes = filled(read, plan)
    assert changes.left == ()
    (after,) = changes.files.values()
    again = addresses(lab(after))
    assert pairs(again) == pairs(plan)
    assert again.new == ()
    assert [(net.vlan, net.four.prefix if net.four else None) for net in again.nets] == [
        (net.vlan, net.four.prefix if net.four else None) for net in plan.nets
    ]
    assert filled(lab(after), again).difference == ""
    head, machines, rest = _around_machines(after)
    for changed in (["  zero: {is: node, ports: 1 x 1 Gb/s}", *machines], machines[::-1]):
        text = "\n".join((*head, *changed, *rest)).replace(
            "  cables:\n", "  cables:\n    - zero -- sw\n" if "zero" in changed[0] else "  cables:\n"
        )
        assert pairs(plan) <= pairs(addresses(lab(text)))


def _around_machines(text):
    """The lines before the nodes, the nodes, and the lines after them."""
    lines = text.split("\n")
    at = [number for number, line in enumerate(lines) if "is: node" in line]
    return lines[: at[0]], lines[at[0] : at[-1] + 1], lines[at[-1] + 1 :]


@given(address_labs())
@TEST
def test_the_two_versions_can_be_told_together(text):
    """Where both are new and the subnet is a /24, the last piece is written with the same digits."""
    _, plan = plan_of(text) or (None, None)
    if plan is None:
        return
    six = {(each.network, each.thing): each.address for each in plan.new if each.version == 6}
    nets = {net.name: net for net in plan.nets}
    for each in plan.new:
        four = nets[each.network].four
        if each.version == 4 and (each.network, each.thing) in six and four.prefix.prefixlen >= 24:
            assert six[each.network, each.thing].rpartition(":")[2] == each.address.rpartition(".")[2]


@given(address_labs())
@TEST
def test_names_are_legal_and_of_one_thing(text):
    """Every name is made of legal labels, and no two things have the same. Source: RFC 1035, 2.3.4 (G13); RFC 1123."""
    _, plan = plan_of(text) or (None, None)
    if plan is None:
        return
    of = {}
    for each in plan.given:
        assert len(each.name) <= 253
        for label in each.name.split("."):
            assert 1 <= len(label) <= 63
            assert label.replace("-", "a").isalnum()
            assert label == label.lower()
            assert label.isascii()
            assert not label.startswith("-")
            assert not label.endswith("-")
        assert of.setdefault(each.name, each.thing) == each.thing


@pytest.mark.parametrize("nodes", [3, 12, 60])
def test_invented_labs_of_any_size_get_all_they_want(nodes, tmp_path):
    """Nothing lacks an address, and what is written is kept."""
    path = tmp_path / "lab.yaml"
    path.write_text(invent(nodes, 3), encoding="utf-8")
    read = load(path)
    plan = addresses(read)
    assert plan.complete
    assert len(plan.given) >= nodes
    (text,) = filled(read, plan).files.values()
    again = addresses(lab(text))
    assert pairs(again) == pairs(plan)
    assert again.new == ()


def test_by_hand():
    """Two machines and a service on a network that is cut: worked out on paper in docs/explanation/addresses.md."""
    read = lab(
        lab_text(
            ["desk-1", "desk-2"],
            {"house": "vlan: 10, pool for: 20", "care": "subnet: 10.20.0.0/26"},
            services=["door: {on: desk-1, floats: 10.20.0.67 in 4 s, over: house}"],
        )
    )
    plan = addresses(read)
    house, care = plan.nets
    # On house: two machines, the door, one that leads out: 4, and 20 on request; twice as many are 48: a /26.
    assert house.four.needs == 48
    assert (str(house.four.prefix), house.four.how) == ("10.20.0.64/26", "kept")
    assert house.way_out == "10.20.0.65"
    assert (care.vlan, care.vlan_new) == (20, True)
    assert str(house.six.prefix) == "fd4a:9c1e:20:10::/64"
    assert str(care.six.prefix) == "fd4a:9c1e:20:20::/64"
    rows = {(each.network, each.thing): each.address for each in plan.given if each.version == 4}
    assert rows["house", "desk-1"] == "10.20.0.66"
    assert rows["house", "desk-2"] == "10.20.0.68"
    assert rows["house", "door"] == "10.20.0.67"
    assert rows["care", "desk-1"] == "10.20.0.2"
    pool = next(block for block in house.blocks if block.kind == "pool")
    assert str(ipaddress.IPv4Address(pool.last)) == "10.20.0.126"
    assert pool.size == 20
    assert str(ipaddress.IPv4Address(pool.first)) == "10.20.0.107"
    assert rows["care", "desk-2"] == "10.20.0.3"
    six = {(each.network, each.thing): each.address for each in plan.given if each.version == 6}
    assert six["house", "desk-1"] == "fd4a:9c1e:20:10::66"
    assert [(each.key, each.low, each.high) for each in plan.taken if each.key == "grows"] == [
        ("grows", "/27 (grows 0 %)", "/25 (grows 300 %)")
    ]


def test_a_network_alone_on_its_switches_needs_no_number():
    """Only networks that share a switch are told apart by VLAN; given numbers are 2 to 4094. Source: IEEE 802.1Q (G09)."""
    assert addresses(lab(lab_text(["a"], {"house": ""}))).nets[0].vlan is None
    many = addresses(lab(lab_text(["a"], {f"n{number}": "room for: 2" for number in range(420)})))
    numbers = [net.vlan for net in many.nets]
    assert len(set(numbers)) == 420
    assert numbers[0] == 10
    assert 1 < min(numbers) <= max(numbers) <= 4094


def test_what_the_lab_does_not_say_is_told():
    """No networks is a question that has no answer; no ranges and no subnet is a trouble with its place."""
    with pytest.raises(QuestionError, match="names no networks"):
        addresses(lab("falsework: 1\nlab: x\nmachines: {a: {is: node}}\n"))
    plan = addresses(lab(lab_text(["a"], {"house": ""}, ranges="")))
    assert not plan.complete
    assert "has no subnet" in plan.troubles[0].says
    assert plan.troubles[0].where is not None


def test_a_fixed_block_that_is_full_is_told():
    """Three machines and two addresses: the third is told, and nobody gets one of the pool."""
    plan = addresses(
        lab(lab_text(["a", "b", "c"], {"house": "subnet: 10.0.0.0/24, fixed: .8-.9, pool: .10-.20"}))
    )
    (trouble,) = plan.troubles
    assert trouble.things == ("c",)
    assert "widen `fixed`" in trouble.mend


def test_a_subnet_of_version_6_that_is_full_is_told():
    """Two addresses and three machines: the third lacks one, as far as version 6 goes."""
    text = lab_text(["a", "b", "c"], {"x": "subnet6: fd00::/126"}, ranges="[10.0.0.0/16]")
    plan = addresses(lab(text.replace("/126", "/127")))
    assert [(each.things, "version 6" in each.says) for each in plan.troubles] == [(("b", "c"), True)]
    assert addresses(lab(text)).complete


def test_networks_with_the_same_machines_are_told_once():
    """However many there are."""
    notes = addresses(lab(lab_text(["a", "b"], {f"n{number}": "" for number in range(9)}))).notes
    assert [note.startswith("n1, n2, n3, n4 and 4 more have the same 2 machines") for note in notes] == [True]


def test_ranges_that_are_full_are_told():
    """Two networks of 100 do not both go into a /25."""
    plan = addresses(
        lab(lab_text(["a"], {"x": "room for: 100", "y": "room for: 100"}, ranges="[10.0.0.0/25]"))
    )
    assert [each.network for each in plan.troubles] == ["y"]
    assert "no room for a /25" in plan.troubles[0].says


def test_a_machine_without_a_cable_is_told():
    """In a lab that describes its cables it is on no network."""
    text = lab_text(["a", "b"], {"house": ""}).replace("    - b -- sw\n", "")
    (trouble,) = addresses(lab(text)).troubles
    assert trouble.things == ("b",)


def test_who_comes_first_keeps_the_name():
    """A name that is a label stays; of two that would get the same, the other gets digits made of itself, and that is told."""
    plan = addresses(lab(lab_text(["twin.a", "twin-a"], {"house": ""})))
    names = {each.thing: each.name for each in plan.given}
    assert names["twin-a"] == "twin-a.home.arpa"
    assert names["twin.a"].startswith("twin-a-")
    assert dict(plan.renamed)["twin.a"] == names["twin.a"].partition(".")[0]


def test_names_end_in_the_domain_for_homes_if_nobody_says():
    """home.arpa, and that is told as taken. Source: RFC 8375, section 3."""
    plan = addresses(lab(lab_text(["a"], {"house": ""})))
    assert plan.domain == "home.arpa"
    assert [each.value for each in plan.taken if each.key == "domain"] == ["home.arpa"]


def test_a_name_with_more_addresses_than_a_message_tells_is_told():
    """Forty copies are reached under one name; thirty records fill a message. Source: RFC 1035, section 2.3.4 (G13)."""
    machines = [f"m-{number}" for number in range(1, 41)]
    services = [f"s: {{on: m-*, reached at: [{', '.join(f'10.0.0.{at}' for at in range(101, 141))}]}}"]
    text = lab_text(machines, {"house": "subnet: 10.0.0.0/24"}, ranges="", services=services)
    (note,) = addresses(lab(text)).notes
    assert note.startswith("s.home.arpa stands for 40 addresses of version 4")


def test_a_local_range_that_looks_chosen_is_told():
    """fd00::/48 is what everybody writes first; drawn numbers are left alone. Source: RFC 4193, section 3.2 (G05)."""
    (note,) = addresses(lab(lab_text(["a"], {"house": ""}, ranges="[fd00::/48]"))).notes
    assert note.startswith("fd00::/48 looks chosen by hand")
    assert "1.8e-12" in note
    assert addresses(lab(lab_text(["a"], {"house": ""}, ranges="[fd4a:9c1e:20::/48]"))).notes == ()
