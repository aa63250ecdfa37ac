import hashlib
import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
FOLDER = ROOT / "src/falsework/faces/page/static/vendored"
SCRIPTS = ("editor.js", "htmx.min.js")
VERSIONS = (FOLDER / "VERSIONS.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("file", [*SCRIPTS, "LICENCES.txt"])
def test_each_file_is_what_was_noted_when_it_was_made(file):
    """Its hash is the one in VERSIONS.txt: nobody edits these by hand."""
    noted = re.search(rf"^{re.escape(file)}\n(?:  made .*\n)?  sha256  (\w+)$", VERSIONS, re.MULTILINE)
    assert noted is not None
    assert hashlib.sha256((FOLDER / file).read_bytes()).hexdigest() == noted[1]


def test_nothing_lies_there_unnoted():
    """The folder holds what VERSIONS.txt tells of, and itself."""
    assert {path.name for path in FOLDER.iterdir()} == {*SCRIPTS, "LICENCES.txt", "VERSIONS.txt"}


def test_every_package_within_comes_with_its_licence():
    """Each name and version that a script holds heads a licence text."""
    held = re.findall(r"^  holds   (\S+ \S+) ", VERSIONS, re.MULTILINE)
    texts = (FOLDER / "LICENCES.txt").read_text(encoding="utf-8")
    assert len(held) >= len(SCRIPTS)
    assert all(re.search(rf"^{re.escape(name)}$", texts, re.MULTILINE) for name in held)
    assert all(
        words in texts for words in ("Permission is hereby granted", "Permission to use, copy, modify")
    )


@pytest.mark.parametrize("file", SCRIPTS)
def test_no_script_names_an_outside_address(file):
    """The only addresses within are names of mark-up languages, which nothing fetches."""
    text = (FOLDER / file).read_text(encoding="utf-8")
    addresses = set(re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}[^\s\"'`)]*", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert "sourceMappingURL" not in text
    assert not re.search(r"\bimport\s*\(|\bimport\s*[\"']|[}*]\s*from\s*[\"']", text)


def test_the_editor_makes_no_code_from_text():
    """The page's policy forbids it, and the editor never tries."""
    text = (FOLDER / "editor.js").read_text(encoding="utf-8")
    assert not re.search(r"\beval\(|\bFunction\(|\bfetch\(|XMLHttpRequest|WebSocket|EventSource", text)


def test_the_versions_are_those_asked_for_exactly():
    """Every package is asked for by one version, and VERSIONS.txt tells the same."""
    asked = json.loads((ROOT / "scripts/vendor/package.json").read_text(encoding="utf-8"))
    for name, version in asked["dependencies"].items():
        assert re.fullmatch(r"\d+\.\d+\.\d+", version)
        assert f"  holds   {name} {version} (" in VERSIONS


def test_the_lock_knows_hashes_and_no_addresses():
    """Each locked package has a hash, none an address or a path of the machine that locked it."""
    text = (ROOT / "scripts/vendor/package-lock.json").read_text(encoding="utf-8")
    packages = {name: each for name, each in json.loads(text)["packages"].items() if name}
    assert packages
    assert all(each["integrity"].startswith("sha512-") for each in packages.values())
    assert not re.search(r"\"resolved\"|://|file:", text)
