"""What would be gone for good: caught, and not cried where it would come back."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.findings.rules.rebuilding import rebuilding
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[2]
LABS = ROOT / "tests" / "labs"
LAB = """
falsework: 1
lab: Where the book is
outside: {far: two shelves on the mainland, envelope: a sealed one}
places: {loft: {is: room}, cellar: {is: room}}
machines: {a: {is: node, in: loft, drives: 2 drive}, b: {is: node, in: cellar}}
stores: {here: {drives: a.d*, layout: LAYOUT}}
services: {files: {on: b, state in: here}, vault: {on: VAULT}}
data: {book: {of: files, in: here, size: 10 GB MORE}, inside: {of: vault, in: vault, backed up: {to: far}}}
keys: {lock: {kept in: [KEPT]}}
"""


def told(more="", *, layout="mirror", kept="envelope", vault="b"):
    """What is told of that lab, as code and sentence."""
    text = LAB.replace("MORE", more).replace("LAYOUT", layout).replace("KEPT", kept).replace("VAULT", vault)
    return [(each.code, each.says) for each in rebuilding(Standing(lab_of(text)))]


@pytest.mark.parametrize(
    ("more", "layout"), [(", may lose: 1 day", "mirror"), (", back within: 4 h", "mirror"), ("", "single")]
)
def test_data_without_a_backup_exist_only_here(more, layout):
    """It is told where the owner says what may be lost, or where one drive takes it."""
    assert told(more, layout=layout) == [
        ("exists only here", "book exists only in here: lost there, it is gone for good")
    ]


@pytest.mark.parametrize("more", ["", ", may lose: 1 day, backed up: {to: far, every: 1 day}"])
def test_what_is_backed_up_or_may_be_lost_is_not_told(more):
    """A mirror that nobody sets an aim for is the owner's choice, and a backup outside is enough."""
    assert told(more) == []


def test_a_key_that_goes_with_what_it_opens_is_told_with_the_smallest_loss():
    """The key lies in a service on the same machine; the book's own place takes both."""
    more = ", backed up: {to: far, needs: lock}"
    assert told(more, kept="here") == [
        ("key lost with its backup", "lose here: book is gone for good though a backup of it survives")
    ]
    assert told(more, kept="a", vault="a") == [
        ("key lost with its backup", "lose loft: book is gone for good though a backup of it survives")
    ]
    assert told(more, kept="b") == [
        (
            "key lost with its backup",
            "lose the whole lab: book is gone for good though a backup of it survives",
        )
    ]


@pytest.mark.parametrize("kept", ["envelope", "b, envelope"])
def test_a_key_on_paper_is_enough(kept):
    """Whatever else holds it."""
    assert told(", backed up: {to: far, needs: lock}", kept=kept) == []


def test_a_key_inside_what_comes_back_without_it_is_enough():
    """The vault is restored from the mainland first, and gives the key."""
    assert told(", backed up: {to: far, needs: lock}", kept="vault") == []


def test_a_place_of_the_finding_is_the_line_that_would_be_changed():
    """The backup that can't be read, with the chain and the keys."""
    text = LAB.replace("MORE", ", backed up: {to: far, needs: lock}").replace("LAYOUT", "mirror")
    (found,) = rebuilding(Standing(lab_of(text.replace("KEPT", "b").replace("VAULT", "b"))))
    assert found.where is not None
    assert found.why == ("far survives that, and can't be read without lock", "lock is kept in b")
    assert "lock" in found.things
    assert found.caution


@pytest.mark.parametrize(
    "path", sorted(LABS.glob("*/false-*/*.yaml")), ids=lambda path: f"{path.parent.name}/{path.stem}"
)
def test_no_false_alarm(path):
    """Nothing is told of the labs that are sound."""
    if path.stem != "expect":
        assert list(rebuilding(Standing(load(path)))) == []


@pytest.mark.parametrize(("name", "count"), [("mended", 0), ("bare", 0), ("draft", 2)])
def test_the_observatory(name, count):
    """The mended one is sound; the draft keeps the key to its backups only in what they back up."""
    found = list(rebuilding(Standing(load(ROOT / "examples" / "observatory" / f"{name}.yaml"))))
    assert [each.code for each in found] == ["key lost with its backup"] * count
