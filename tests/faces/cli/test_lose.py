import json
import xml.etree.ElementTree as ET

import pytest
from tests.faces.cli.typed import MENDED, SHELF, typed

pytestmark = pytest.mark.slow

STORE = """\
falsework: 1
lab: Box
machines:
  a: {is: node, drives: 2 disk}
  b: {is: node}
kinds:
  disk: {is: drive, size: 1 TB}
stores:
  tank: {drives: a.d*, layout: mirror, through: a}
services:
  files: {on: a, state in: tank}
  mail: [a, b]
"""


def test_nothing_falls_is_status_0_and_something_is_1():
    """The exit status answers `may I pull this?`."""
    assert typed("lose", SHELF, "desk-1").status == 0
    assert typed("lose", SHELF, "hub").status == 1
    assert typed("lose", SHELF, "desk-1", "desk-2").status == 1


def test_every_service_is_told_once_worst_first():
    """Verdicts come from worst to best, and every service has one."""
    said = typed("lose", MENDED, "A", "sw-2")
    answer = json.loads(typed("lose", MENDED, "A", "sw-2", "--json").out)
    order = ["lost", "falls", "blinks", "thin", "stands"]
    words = [line.split()[0] for line in said.out.splitlines()[2:] if line.split("  ")[0] in order]
    assert words == sorted(words, key=order.index)
    hurt = [each["id"] for each in answer["services"] if each["verdict"] in order[:3]]
    assert len(hurt) == sum(word in order[:3] for word in words) > 0


def test_what_is_lost_is_called_by_what_it_is():
    """The headline says strip, node or switch, so that it can be read aloud."""
    assert typed("lose", SHELF, "hub").out.startswith("lose switch hub: names falls at once, 2 more fall\n")
    assert typed("lose", SHELF, "strip", "desk-1").out.startswith("lose strip and node desk-1: ")


def test_a_store_stands_for_all_its_drives(tmp_path):
    """To lose a store is to lose every drive of it."""
    path = tmp_path / "lab.yaml"
    path.write_text(STORE)
    whole = json.loads(typed("lose", str(path), "tank", "--json").out)
    drives = json.loads(typed("lose", str(path), "a.d1", "a.d2", "--json").out)
    assert whole == drives
    assert whole["lost"] == ["a.d1", "a.d2"]
    assert {each["id"]: each["verdict"] for each in whole["services"]} == {"files": "falls", "mail": "stands"}


def test_what_is_down_already_does_not_fall_again(tmp_path):
    """A service that was down before is told apart and does not make the status 1."""
    path = tmp_path / "lab.yaml"
    path.write_text(STORE)
    said = typed("lose", str(path), "b", "--out", "a.d1", "--out", "a.d2")
    assert said.status == 0
    assert "down    files: already, without this loss\n" in said.out
    assert "(with a.d1, a.d2 out)" in said.out


def test_what_one_more_loss_would_do_is_told():
    """After one desktop, each of the others has become a single point of files."""
    answer = json.loads(typed("lose", SHELF, "desk-1", "--json").out)
    points = {each["service"]: each["single_points"] for each in answer["margin"]}
    assert {"desk-2", "desk-3"} <= set(points["files"])
    assert "hub" not in points["files"]


def test_a_picture_is_written(tmp_path):
    """The drawing is one SVG that any reader takes."""
    path = tmp_path / "lost.svg"
    said = typed("lose", SHELF, "hub", "--picture", str(path))
    assert said.out.endswith(f"The picture is in {path}.\n")
    assert ET.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"
