import os
import stat

import pytest

from falsework.errors import QuestionError
from falsework.lab.edit import write_safely


@pytest.fixture
def lab(tmp_path):
    """A lab file in a folder of its own."""
    path = tmp_path / "lab.yaml"
    path.write_bytes(b"a: 1\r\n# \xc3\xa9\n")
    return path


OLD = "a: 1\r\n# é\n"


def test_the_text_is_replaced_and_nothing_left_behind(lab):
    """Byte for byte, line ends included, and no other file appears."""
    write_safely(lab, OLD, "a: 2\r\n# é\n")
    assert lab.read_bytes() == b"a: 2\r\n# \xc3\xa9\n"
    assert [path.name for path in lab.parent.iterdir()] == ["lab.yaml"]


def test_the_mode_stays(lab):
    """Who may read and write it is as before."""
    lab.chmod(0o640)
    write_safely(lab, OLD, "a: 2\n")
    assert stat.S_IMODE(lab.stat().st_mode) == 0o640


def test_a_byte_order_mark_stays(lab):
    """Whether or not the caller kept it in the text."""
    lab.write_bytes(b"\xef\xbb\xbfa: 1\n")
    write_safely(lab, "a: 1\n", "a: 2\n")
    write_safely(lab, "\ufeffa: 2\n", "\ufeffa: 3\n")
    assert lab.read_bytes() == b"\xef\xbb\xbfa: 3\n"


def test_a_link_keeps_pointing(lab):
    """The file it points at changes, not the link."""
    link = lab.with_name("link.yaml")
    link.symlink_to("lab.yaml")
    write_safely(link, OLD, "a: 2\n")
    assert link.is_symlink()
    assert lab.read_text() == "a: 2\n"


def test_the_same_text_is_not_written(lab):
    """A file that need not change keeps even its time."""
    before = lab.stat()
    write_safely(lab, OLD, OLD)
    assert (lab.stat().st_ino, lab.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_file_changed_meanwhile_is_refused(lab):
    """Nobody's work is overwritten."""
    with pytest.raises(QuestionError) as caught:
        write_safely(lab, "a: 0\n", "a: 2\n")
    assert str(caught.value) == (
        f"'{lab}' has been changed since it was read. Look at it again and repeat the change."
    )
    assert lab.read_bytes() == OLD.encode()


def test_a_file_changed_while_writing_is_refused(lab, monkeypatch):
    """Not even when somebody saves between our look and our write."""
    sync = os.fsync

    def save_in_between(handle):
        lab.write_text("somebody else's")
        sync(handle)

    monkeypatch.setattr(os, "fsync", save_in_between)
    with pytest.raises(QuestionError) as caught:
        write_safely(lab, OLD, "a: 2\n")
    assert str(caught.value) == (
        f"'{lab}' was changed while the change was written. Look at it again and repeat the change."
    )
    assert lab.read_text() == "somebody else's"
    assert [path.name for path in lab.parent.iterdir()] == ["lab.yaml"]


def test_a_full_disk_leaves_the_old_file(lab, monkeypatch):
    """A failure half way leaves the file as it was, and no half file beside it."""

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(QuestionError) as caught:
        write_safely(lab, OLD, "a: 2\n")
    assert str(caught.value) == (
        f"'{lab}' cannot be written (no space left on device)."
        " It is as it was: mend the reason and repeat the change."
    )
    assert lab.read_bytes() == OLD.encode()
    assert [path.name for path in lab.parent.iterdir()] == ["lab.yaml"]


def test_an_interrupt_leaves_the_old_file(lab, monkeypatch):
    """The same for a key pressed at the wrong moment."""

    def interrupt(handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_safely(lab, OLD, "a: 2\n")
    assert lab.read_bytes() == OLD.encode()
    assert [path.name for path in lab.parent.iterdir()] == ["lab.yaml"]


def test_what_is_no_file_is_refused(tmp_path):
    """A folder, or a file that is not there."""
    with pytest.raises(QuestionError) as caught:
        write_safely(tmp_path, "", "a: 1\n")
    assert str(caught.value) == f"'{tmp_path}' is not a file. Name a lab file."
    with pytest.raises(QuestionError, match=r"cannot be written \(no such file or directory\)"):
        write_safely(tmp_path / "none.yaml", "", "a: 1\n")
