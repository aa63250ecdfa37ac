from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.rebuild.asking import Asking, losses
from falsework.analyses.rebuild.rebuild import rebuild
from falsework.analyses.rebuild.result import Way
from falsework.model.build import load
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[2] / "labs" / "traps"
EXAMPLES = Path(__file__).parents[3] / "examples"

LAB = """
falsework: 1
lab: Where the book is
outside: {far: two shelves on the mainland, envelope: a sealed one}
machines: {a: {is: node, drives: {d1: {is: drive, size: 1 TB}}}, b: {is: node, drives: {d1: {is: drive, size: 1 TB}}}}
stores: {here: {drives: a.d1, layout: single}}
services: {files: {on: b, state in: here}}
data: {book: {of: files, in: here, size: 10 GB BACKUP}}
keys: {lock: {kept in: WHERE}}
"""


def where_the_book_is(backup="", kept="envelope"):
    """That lab, with this much said of the backup and of the key."""
    return Standing(lab_of(LAB.replace(" BACKUP", backup).replace("WHERE", kept)))


def fate(standing, lost, thing):
    """What becomes of one thing when others are lost."""
    return losses(Asking(standing), lost).of(thing)


def test_data_without_a_backup_exists_only_here():
    """Its drive destroyed, it is gone for good."""
    assert fate(where_the_book_is(), ["a"], "book").way is Way.ONLY_HERE


def test_data_comes_back_from_a_backup_that_was_not_lost():
    """A backup outside brings it back, whether proved or not."""
    standing = where_the_book_is(", backed up: {to: far, every: 1 day}")
    assert fate(standing, ["a"], "book").way is Way.RESTORED


@pytest.mark.parametrize(("kept", "way"), [("envelope", Way.RESTORED), ("a", Way.ONLY_HERE)])
def test_a_backup_is_no_use_without_its_key(kept, way):
    """A key that was lost with the data takes the backup with it."""
    standing = where_the_book_is(", backed up: {to: far, every: 1 day, needs: lock}", kept)
    assert fate(standing, ["a"], "book").way is way


def test_a_machine_is_made_again_from_nothing():
    """What holds no state is put back."""
    assert fate(where_the_book_is(), ["b"], "b").way is Way.MADE


@pytest.mark.parametrize(("file", "lost", "data"), [("base", "nas", "shares"), ("one", "nas", "book")])
def test_a_backup_on_what_it_backs_up_is_none(file, lost, data):
    """The trap of the backup through layers onto its source: lose the box, lose both."""
    standing = Standing(load(TRAPS / "08-backup-on-its-source" / f"{file}.yaml"))
    assert fate(standing, [lost], data).way is Way.ONLY_HERE


def test_before_a_teardown_what_exists_only_here_is_saved():
    """The list has the data without a backup, and with it nothing is gone."""
    found = rebuild(where_the_book_is()).teardown
    assert [each.thing for each in found.saves] == ["book"]
    assert found.saves[0].size == 10e9
    assert found.proven
    assert "book" not in found.gone


def test_what_can_be_read_from_outside_is_not_saved():
    """A backup on the mainland with its key in the envelope is enough."""
    standing = where_the_book_is(", backed up: {to: far, every: 1 day, needs: lock}")
    assert rebuild(standing).teardown.saves == ()


@pytest.mark.parametrize("name", ["mended", "bare"])
def test_every_thing_of_the_observatory_has_a_fate(name):
    """The whole answer comes, in order from worst to best, and everything comes back when what is listed is saved."""
    found = rebuild(Standing(load(EXAMPLES / "observatory" / f"{name}.yaml")))
    ranks = [loss.way.rank for loss in found.losses]
    assert ranks == sorted(ranks, reverse=True)
    assert found.teardown.gone == ()
