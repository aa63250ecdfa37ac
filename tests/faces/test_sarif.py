import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from falsework.faces.sarif import rule_id, sarif, uri
from falsework.findings.finding import CODES, Level
from falsework.study import Study, study
from falsework.where import Where

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]


@cache
def draft() -> Study:
    """The first draft of the observatory, which breaks most aims."""
    return study(ROOT / "examples" / "observatory" / "draft.yaml")


@cache
def run():
    """The one run of its log."""
    (only,) = sarif(draft())["runs"]
    return only


def test_the_log_names_its_version_and_schema():
    """Section 3.13: a log says version 2.1.0, and its schema is an absolute URI."""
    log = sarif(draft())
    assert set(log) == {"$schema", "version", "runs"}
    assert log["version"] == "2.1.0"
    assert log["$schema"].startswith("https://")


def test_every_code_is_a_rule_once():
    """Section 3.49: rules have unique ids, and each says in a sentence what it is."""
    rules = run()["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == [rule_id(code) for code in CODES]
    assert len({rule["id"] for rule in rules}) == len({rule["name"] for rule in rules}) == len(CODES)
    for rule in rules:
        assert re.fullmatch(r"[a-z0-9-]+", rule["id"])
        assert re.fullmatch(r"[A-Z][A-Za-z0-9]+", rule["name"])
        assert re.fullmatch(r"[A-Z0-9].*\.", rule["shortDescription"]["text"])
        assert rule["defaultConfiguration"]["level"] in ("error", "note")


def test_every_finding_is_a_result_of_its_rule():
    """Section 3.27: id and index agree, broken is an error and a remark is a note, in the order of the findings."""
    rules = run()["tool"]["driver"]["rules"]
    results = run()["results"]
    assert len(results) == len(draft().findings) > 0
    for finding, result in zip(draft().findings, results, strict=True):
        assert result["ruleId"] == rule_id(finding.code) == rules[result["ruleIndex"]]["id"]
        assert result["level"] == ("error" if finding.level is Level.BROKEN else "note")
        text = result["message"]["text"]
        assert finding.says[1:] in text
        assert finding.mend in text
        assert text.endswith(".")


def test_every_result_has_a_place_that_can_be_opened():
    """Sections 3.28 to 3.30: a relative or file URI, and lines and columns counted from 1."""
    assert run()["columnKind"] == "unicodeCodePoints"
    for result in run()["results"]:
        (location,) = result["locations"]
        physical = location["physicalLocation"]
        assert physical["artifactLocation"]["uri"].endswith("examples/observatory/draft.yaml")
        assert physical["region"]["startLine"] >= 1
        assert physical["region"]["startColumn"] >= 1


def test_fingerprints_tell_results_apart():
    """Section 3.27.17: no two results of a run share a fingerprint."""
    prints = [result["partialFingerprints"]["falsework/v1"] for result in run()["results"]]
    assert len(set(prints)) == len(prints)


def test_fingerprints_stay_when_lines_move(tmp_path):
    """A comment above everything moves each place and no fingerprint."""
    path = ROOT / "examples" / "kitchen-shelf.yaml"
    moved = tmp_path / "lab.yaml"
    moved.write_text("# one line more\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    here, there = (sarif(study(each))["runs"][0]["results"] for each in (path, moved))
    assert [each["partialFingerprints"] for each in here] == [each["partialFingerprints"] for each in there]
    lines = [
        each["locations"][0]["physicalLocation"]["region"]["startLine"]
        for results in (here, there)
        for each in results
    ]
    half = len(lines) // 2
    assert [line + 1 for line in lines[:half]] == lines[half:]


def test_a_finding_without_a_place_points_at_the_lab():
    """Review tools want a place, so the lab's own stands in."""
    first = replace(draft().findings[0], where=None)
    only = sarif(replace(draft(), findings=(first,)))["runs"][0]["results"][0]
    region = only["locations"][0]["physicalLocation"]["region"]
    assert region["startLine"] == draft().lab.where.line


@pytest.mark.parametrize(
    ("file", "said"),
    [
        ("lab.yaml", "lab.yaml"),
        ("my labs/a#b.yaml", "my%20labs/a%23b.yaml"),
        ("/elsewhere/lab.yaml", "file:///elsewhere/lab.yaml"),
    ],
)
def test_a_file_is_named_as_a_uri(file, said):
    """Relative where it was named so, with what a URI can't hold written in its way."""
    assert uri(file) == said


def test_a_file_below_the_folder_of_work_is_relative(tmp_path, monkeypatch):
    """An absolute name below the folder of work is told from there, as review tools want it."""
    monkeypatch.chdir(tmp_path)
    assert uri(str(tmp_path / "labs" / "lab.yaml")) == "labs/lab.yaml"
    assert uri(Where("lab.yaml", 1, 1).file) == "lab.yaml"
