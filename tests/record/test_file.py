"""Is a file that is no record of ours refused with words that help, and left as it is?"""

import contextlib
import os
import sqlite3
from pathlib import Path

import pytest
from tests.record.records import recorder

from falsework.errors import RecordError
from falsework.record.file import begun
from falsework.record.keeping import live, observed, runs
from falsework.record.seen import Seen, Told


@pytest.fixture
def path(tmp_path):
    """Where a record shall lie."""
    return tmp_path / "rock.record"


def whole(path):
    """A record with one run."""
    taker = recorder(path, *(f"probe-{number}" for number in range(300)))
    taker.answers([Seen(0, 1.0, 1.0, Told.NO)])
    taker.end()


def foreign(path):
    """A database of somebody else's."""
    file = sqlite3.connect(path)
    file.execute("CREATE TABLE run (number)")
    file.commit()
    file.close()


def later(path):
    """A record of a version to come."""
    whole(path)
    file = sqlite3.connect(path)
    file.execute("PRAGMA user_version = 99")
    file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.close()


def cut(path):
    """A record that was copied in part."""
    whole(path)
    os.truncate(path, path.stat().st_size // 2)


def stub(path):
    """The first few bytes of a record."""
    whole(path)
    os.truncate(path, 30)


def scribbled(path):
    """A record in which a disk has changed a page."""
    whole(path)
    size = path.stat().st_size
    with path.open("r+b") as stream:
        stream.seek(8192)
        stream.write(b"\xff" * min(8192, size - 8192))


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (foreign, "is no record of falsework"),
        (later, "by a later version of falsework (layout 99, this one knows 1)"),
        (cut, "is damaged (it is cut short)"),
        (stub, "is damaged (it is cut short)"),
        (scribbled, "is damaged"),
        (lambda path: path.write_text("hello, I am a letter to my aunt" * 9), "is no record of falsework"),
        (lambda path: path.write_bytes(b""), "is empty"),
        (lambda path: path.mkdir(), "is no file"),
    ],
    ids=["foreign", "later", "cut", "stub", "scribbled", "letter", "empty", "folder"],
)
def test_what_is_no_record_is_refused_and_left_alone(path, make, says):
    """Reading and writing say what it is and what to do, and no byte of it changes."""
    make(path)
    before = path.read_bytes() if path.is_file() else None
    for use in (lambda: runs(path), lambda: recorder(path, "mail")):
        with pytest.raises(RecordError) as told:
            use()
        assert says in str(told.value)
        # First what can be done anywhere, also on the page, which has no options; then what commands can besides.
        first, _, besides = told.value.mend.partition("; ")
        assert first
        assert "--" not in first
        assert besides == "commands take another with --record."
    assert (path.read_bytes() if path.is_file() else None) == before


@pytest.mark.parametrize(
    "words",
    [
        "UPDATE run SET lost = 'no list'",
        "UPDATE run SET began = 1e300",
        "UPDATE run SET ended = 0, process = 'nobody'",
        "UPDATE change SET told = 7",
        "UPDATE probe SET times = 'often'",
        "INSERT INTO mark VALUES (1, 0.0, 'undone', '')",
        "INSERT INTO gap VALUES (1, 0.0, 1.0, 'tired')",
    ],
)
def test_what_nobody_writes_is_damage(path, words):
    """A file that is sound and holds what no recorder writes is told as damaged, and is no defect of the reader."""
    whole(path)
    with contextlib.closing(sqlite3.connect(path)) as file, file:
        file.execute(words)
    with pytest.raises(RecordError, match="is damaged"):
        live(path)


def test_no_record_is_a_record_to_come(path):
    """Who reads is told how to begin one; nothing is made by reading."""
    with pytest.raises(RecordError, match="there is no record"):
        runs(path)
    assert not path.exists()


def test_a_place_that_nobody_can_look_at_is_told(tmp_path, monkeypatch):
    """A name that no disk takes is told to who reads and who writes, and so is a folder that may not be looked into."""
    uses = (runs, lambda path: recorder(path, "mail"))
    for use in uses:
        with pytest.raises(RecordError, match=r"can't be read .*file name too long"):
            use(tmp_path / ("x" * 300))

    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "stat", refuse)
    for use in uses:
        with pytest.raises(RecordError, match=r"can't be read .*permission denied"):
            use(tmp_path / "rock.record")


def test_a_record_needs_a_folder(tmp_path):
    """One that is not there is told, as any that can't be written in."""
    with pytest.raises(RecordError, match="can't be begun"):
        recorder(tmp_path / "nowhere" / "rock.record", "mail")


def test_a_folder_that_may_not_be_written_in_is_told(path, monkeypatch):
    """A recorder says so, and a reader reads all the same, also what is still written ahead."""
    taker = recorder(path, "mail")
    taker.answers([Seen(0, 1.0, 1.0, Told.NO)])
    real = os.access
    monkeypatch.setattr(os, "access", lambda place, mode: mode != os.W_OK and real(place, mode))
    with pytest.raises(RecordError, match="may not be written"):
        recorder(path, "mail")
    names = sorted(each.name for each in path.parent.iterdir())
    assert len(observed(path, 1).probes[0].outages) == 1
    assert sorted(each.name for each in path.parent.iterdir()) == names


def test_beginning_twice_keeps_what_is_there(path):
    """A record is begun once, and leaves nothing beside it."""
    whole(path)
    before = path.read_bytes()
    begun(path)
    assert path.read_bytes() == before
    assert [each.name for each in Path(path.parent).iterdir() if each.name.startswith(".")] == []


def test_the_layout_says_whose_it_is(path):
    """The numbers in the file's head are those that the reader looks for."""
    begun(path)
    file = sqlite3.connect(path)
    assert file.execute("PRAGMA application_id").fetchone() == (0x46574B31,)
    assert file.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    file.close()
