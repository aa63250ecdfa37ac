"""Does `falsework addresses` say what it gives, write what it should, and nothing else?"""

import json

import dns.zone
import pytest
from tests.address_labs import lab_text
from tests.faces.cli.typed import MENDED, ROOT, typed
from tests.faces.fitting import fits

from falsework.model.build import load

pytestmark = pytest.mark.slow

TEXT = lab_text(
    ["desk-1", "desk-2"],
    {"house": "vlan: 10", "care": "pool for: 20"},
    services=["door: {on: desk-1, floats: 10.20.0.2 in 4 s, over: house}   # known to all"],
)


@pytest.fixture
def file(tmp_path):
    """A lab file of its own."""
    path = tmp_path / "lab.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def answer(*words):
    """The answer in JSON, held against its schema."""
    said = typed("addresses", *words, "--json")
    found = json.loads(said.out)
    fits(found, "addresses")
    assert found["status"] == said.status
    return found


def test_it_says_who_has_which_address(file):
    """The short answer first, what is kept and what not, then each network; nothing is written."""
    said = typed("addresses", str(file))
    assert said.status == 0
    rows = said.out.splitlines()
    assert rows[0] == "x: 9 addresses on 2 networks, nothing lacks one"
    assert rows[1].startswith(
        "Nothing is recorded yet. 8 addresses, 4 subnets and 1 VLAN number are new, and kept only once"
    )
    assert any(
        row.split() == ["door", "10.20.0.2", "-", "door.home.arpa", "said", "at", "the", "service"]
        for row in rows
    )
    assert any("taken" in row and "RFC 8375" in row for row in rows)
    assert file.read_text(encoding="utf-8") == TEXT


def test_it_writes_what_is_new_and_only_that(file):
    """Comments stay; the same again changes nothing; a machine more gets an address and moves nobody."""
    shown = typed("addresses", str(file), "--diff").out
    assert file.read_text(encoding="utf-8") == TEXT
    said = typed("addresses", str(file), "--write")
    assert f"Written: {file}." in said.out
    written = file.read_text(encoding="utf-8")
    assert "# known to all" in written
    assert [row for row in shown.splitlines() if row.startswith("+    desk-1:")]
    before = answer(str(file))
    assert before["kept"].startswith("All of it stands in the lab file")
    again = typed("addresses", str(file), "--write")
    assert "The lab file says all of it already." in again.out
    assert "Nothing is written." in again.out
    assert file.read_text(encoding="utf-8") == written
    more = written.replace("  desk-1: {is", "  abacus: {is: node, ports: 1 x 1 Gb/s}\n  desk-1: {is").replace(
        "    - desk-1 -- sw", "    - abacus -- sw\n    - desk-1 -- sw"
    )
    file.write_text(more, encoding="utf-8")
    after = answer(str(file))
    pairs = {(each["network"], each["thing"], each["address"]) for each in after["addresses"]}
    assert {(each["network"], each["thing"], each["address"]) for each in before["addresses"]} < pairs


def test_a_file_that_changed_meanwhile_is_not_written(file, monkeypatch):
    """What somebody saved after it was read stays."""
    from falsework.faces.cli import addresses as command

    plain = command.filled

    def meanwhile(lab, plan):
        file.write_text(f"{TEXT}# mine\n", encoding="utf-8")
        return plain(lab, plan)

    monkeypatch.setattr(command, "filled", meanwhile)
    said = typed("addresses", str(file), "--write")
    assert said.status == 2
    assert "has been changed since it was read" in said.err
    assert file.read_text(encoding="utf-8") == f"{TEXT}# mine\n"


def test_lists_and_zones_are_written(file, tmp_path):
    """Each where it was asked for; zones keep their serial number until something in them changes."""
    folder, csv, hosts, picture = (tmp_path / name for name in ("zones", "a.csv", "hosts.txt", "a.svg"))
    words = ("--zones", str(folder), "--csv", str(csv), "--hosts", str(hosts), "--picture", str(picture))
    said = typed("addresses", str(file), *words)
    assert f"4 zones are written in {folder}." in said.out
    assert csv.read_bytes().count(b"\r\n") == 10
    assert "door.home.arpa" in hosts.read_text(encoding="utf-8")
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    serials = lambda: {path.name: dns.zone.from_text(path.read_text(encoding="utf-8"), relativize=False).get_soa().serial for path in folder.iterdir()}  # noqa: E731 # fmt: skip
    assert set(serials().values()) == {1}
    said = typed("addresses", str(file), "--zones", str(folder))
    assert f"4 zones in {folder} did not change and keep their serial number." in said.out
    assert set(serials().values()) == {1}
    file.write_text(TEXT.replace("door", "gate"), encoding="utf-8")
    typed("addresses", str(file), "--zones", str(folder))
    changed = serials()
    assert changed["home.arpa.zone"] == 2
    assert sorted(changed.values()) == [1, 1, 2, 2]


def test_a_zone_file_of_somebody_else_stays(file, tmp_path):
    """It is not one of ours, so it is refused, and nothing is written."""
    (tmp_path / "home.arpa.zone").write_text("$ORIGIN home.arpa.\n", encoding="utf-8")
    said = typed("addresses", str(file), "--zones", str(tmp_path))
    assert said.status == 2
    assert "not one of ours" in said.err
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".zone"] == ["home.arpa.zone"]


@pytest.mark.parametrize("words", [(MENDED,), (MENDED, "--diff")])
def test_every_answer_is_as_the_schema_says(words):
    """The observatory: all have addresses, those that were learnt stay, and the difference is told where asked for."""
    found = answer(*words)
    assert found["complete"]
    rows = {(each["network"], each["thing"], each["version"]): each for each in found["addresses"]}
    recorded = load(ROOT / MENDED).recorded
    assert recorded
    for each in recorded:
        row = rows[each.network, each.thing, 4]
        assert (row["address"], row["how"]) == (each.address, "recorded")
    assert (found["difference"] is not None) == ("--diff" in words)


def test_what_can_not_be_done_is_a_status_of_its_own(file):
    """1 where something lacks an address, 2 where nobody asked for any."""
    file.write_text(TEXT.replace("vlan: 10", "subnet: 10.20.0.0/24, fixed: .9-.9"), encoding="utf-8")
    found = answer(str(file))
    assert found["status"] == 1
    assert found["troubles"][0]["things"] == ["desk-2"]
    said = typed("addresses", str(file))
    assert "BROKEN  house has no address left for desk-2" in said.out
    assert typed("addresses", str(ROOT / "examples/kitchen-shelf.yaml")).status == 2
