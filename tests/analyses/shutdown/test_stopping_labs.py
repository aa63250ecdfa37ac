from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from tests.faces.cli.typed import typed

from falsework.study import study
from falsework.units import Dimension, parse

FOLDER = Path(__file__).parents[2] / "labs" / "stopping"
ENTRIES = [
    pytest.param(path.parent, entry, id=f"{path.parent.name}/{entry['file']}")
    for path in sorted(FOLDER.glob("*/expect.yaml"))
    for entry in yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
]


def seconds(text):
    """A time, perhaps below zero."""
    return -parse(text[1:], Dimension.TIME) if text.startswith("-") else parse(text, Dimension.TIME)


def test_every_trap_has_three_variants_and_a_false_alarm():
    """Three that must be caught and one that must be left in peace."""
    for folder in FOLDER.iterdir():
        files = {path.stem for path in folder.glob("*.yaml")} - {"expect"}
        assert files == {"one", "two", "three", "false"}
        assert {entry.values[1]["file"] for entry in ENTRIES if entry.values[0] == folder} == files


@pytest.mark.parametrize(("folder", "entry"), ENTRIES)
def test_the_command_says_what_the_lab_promises(folder, entry):
    """Exit status, what is cut hard at either load, by how much, and who is not told."""
    said = typed("shutdown", str(folder / f"{entry['file']}.yaml"), "--json")
    answer = json.loads(said.out)
    (found,) = answer["batteries"]
    assert said.status == answer["status"] == int(entry["status"])
    told = {"cut hard": "cut_hard", "as it falls": "cut_falling", "unreached": "unreached", "slow": "slow"}
    for word, key in told.items():
        if word in entry:
            assert [name for name in found[key] if "." not in name] == entry[word], word
    if "spare" in entry:
        assert found["spare_s"] == pytest.approx(seconds(entry["spare"]))
    if "signal at most" in entry:
        assert found["latest_signal_s"] == pytest.approx(seconds(entry["signal at most"]))
    if "stays off" in entry:
        windows = {
            each["name"]: [each["stays_off"]["from_s"], each["stays_off"]["to_s"]]
            for each in answer["machines"]
            if each["stays_off"]
        }
        assert windows.keys() == entry["stays off"].keys()
        for name, (begin, end) in entry["stays off"].items():
            assert windows[name] == pytest.approx([seconds(begin), seconds(end)])


@pytest.mark.parametrize(("folder", "entry"), [each for each in ENTRIES if "finding" in each.values[1]])
def test_a_check_tells_of_it_once_for_a_battery(folder, entry):
    """And not at all where every return of the power wakes everything."""
    found = study(folder / f"{entry['file']}.yaml").findings
    assert [each.code for each in found if each.code == "off until a hand comes"] == entry["finding"]
