"""Is what is new written where it belongs, however the owner wrote the rest?"""

from pathlib import Path

from tests.address_labs import lab, lab_text

from falsework.analyses.addresses import addresses
from falsework.analyses.addresses.writing import filled
from falsework.model.build import load

NODES = "machines: {a: {is: node, ports: 1}, sw: {is: switch, ports: 4 x 1 Gb/s}}\n"


def written(text):
    """The text with what is new, and what is left to be done by hand."""
    known = lab(text)
    changes = filled(known, addresses(known))
    return changes.files.get("lab.yaml", text), changes.left


def wire(networks, ranges="[10.20.0.0/16]"):
    """A lab with one machine, and its networks as written."""
    return f"falsework: 1\nlab: x\n{NODES}wire:\n  ranges: {ranges}\n  cables: [a -- sw]\n  networks:\n{networks}"


def test_a_network_in_short_is_written_out():
    """`house: 10.20.1.0/24` keeps its subnet and gets the number that it lacks."""
    text, left = written(wire("    house: 10.20.1.0/24   # mine\n    care: {vlan: 10}\n"))
    assert left == ()
    assert "    house: {subnet: 10.20.1.0/24, vlan: 20}   # mine\n" in text
    assert addresses(lab(text)).new == ()


def test_a_network_of_which_nothing_is_said_is_filled():
    """Empty, or with empty braces."""
    for empty in ("", " {}"):
        text, left = written(wire(f"    house:{empty}\n"))
        assert left == ()
        assert addresses(lab(text)).nets[0].four.how == "said"


def test_networks_that_one_entry_says_are_left_to_their_owner():
    """Each gets its addresses, and what to say of each is told."""
    text, left = written(wire("    lab-1..2: {}\n"))
    assert [of for of, _ in left] == ["lab-1", "lab-2"]
    assert "say `vlan: 10, subnet: 10.20." in left[0][1]
    assert "lab-2:" in text.partition("addresses:")[2]


def test_a_file_that_says_all_of_it_stays():
    """Nothing is new, so nothing changes."""
    text, _ = written(wire("    house: {}\n"))
    assert written(text) == (text, ())


def test_in_a_folder_each_file_gets_what_is_its_own(tmp_path):
    """The subnet goes to the file of the network, the addresses to the one that has the section."""
    (tmp_path / "a.yaml").write_text(wire("    house: {}\n"), encoding="utf-8")
    (tmp_path / "b.yaml").write_text("# kept\naddresses:\n  house:\n    sw: 10.20.0.9\n", encoding="utf-8")
    known = load(tmp_path)
    changes = filled(known, addresses(known))
    assert changes.left == ()
    for name, text in changes.files.items():
        Path(name).write_text(text, encoding="utf-8")
    assert "subnet: 10.20.0." in (tmp_path / "a.yaml").read_text(encoding="utf-8")
    assert (
        (tmp_path / "b.yaml")
        .read_text(encoding="utf-8")
        .startswith("# kept\naddresses:\n  house:\n    sw: 10.20.0.9\n    a: 10.20.0.")
    )
    again = addresses(load(tmp_path))
    assert again.new == ()
    assert {(each.thing, each.address) for each in again.given} >= {("sw", "10.20.0.9")}


def test_a_recorded_address_gets_the_other_version_beside_it():
    """In place, with the remark behind it kept."""
    text = lab_text(["a", "b"], {"house": "subnet: 10.20.1.0/24"}, book="house:\n  a: 10.20.1.77   # learnt")
    said, left = written(text)
    assert left == ()
    assert "    a: [10.20.1.77, fd4a:9c1e:20::77]   # learnt\n" in said


def test_a_name_that_is_none_is_left_out_and_told():
    """It could bring records of its own into a zone, so it is in no list."""
    text = lab_text(
        ["a"],
        {"house": "subnet: 10.0.0.0/24"},
        ranges="",
        services=["n: {on: a}", 'f: {on: a, named: {name: "x\\nevil IN A 10.0.0.9", from: n}}'],
    )
    plan = addresses(lab(text))
    assert not any("evil" in each.name for each in plan.called)
    assert any("is no name that the name system takes" in note for note in plan.notes)


def test_a_machine_less_moves_nobody_and_frees_its_address():
    """Its line goes with it; the next that comes takes the lowest free address, which was its."""
    text, _ = written(lab_text(["a", "b", "c"], {"house": "", "care": ""}))
    before = {
        (each.network, each.thing): each.address for each in addresses(lab(text)).given if each.version == 4
    }
    less = "".join(
        line for line in text.splitlines(keepends=True) if not line.strip().startswith(("b:", "- b --"))
    )
    after = {
        (each.network, each.thing): each.address for each in addresses(lab(less)).given if each.version == 4
    }
    assert after == {key: value for key, value in before.items() if key[1] != "b"}
    more = less.replace("  c: {is", "  d: {is: node, ports: 1 x 1 Gb/s}\n  c: {is").replace(
        "    - c -- sw", "    - d -- sw\n    - c -- sw"
    )
    again = {
        (each.network, each.thing): each.address for each in addresses(lab(more)).given if each.version == 4
    }
    assert again["house", "d"] == before["house", "b"]
    assert after.items() <= again.items()
