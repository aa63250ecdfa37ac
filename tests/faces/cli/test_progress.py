import io
import sys

from falsework.faces.cli import progress
from falsework.faces.cli.progress import Told


class Screen(io.StringIO):
    """A terminal that keeps what it is shown."""

    def isatty(self):
        """It is one."""
        return True


def tell(monkeypatch, screen, seconds):
    """Work that begins at 0 and tells once, after so many seconds."""
    clock = iter([0.0, seconds, seconds])
    monkeypatch.setattr(progress.time, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", screen)
    with Told() as told:
        monkeypatch.undo()
        monkeypatch.setattr(progress.time, "monotonic", lambda: seconds)
        monkeypatch.setattr(sys, "stderr", screen)
        monkeypatch.setenv("TERM", "xterm")
        told("losing every two parts", 3, 4)
    return screen.getvalue()


def test_quick_work_says_nothing(monkeypatch):
    """Within the first second the terminal stays as it is."""
    assert tell(monkeypatch, Screen(), 0.5) == ""


def test_long_work_says_how_far_it_is(monkeypatch):
    """After a second one sees what is done and how far."""
    said = tell(monkeypatch, Screen(), 2.0)
    assert "losing every two parts" in said
    assert "3 of 4" in said


def test_where_nobody_looks_nothing_is_said(monkeypatch):
    """A log or a pipe gets no progress, however long it takes."""
    assert tell(monkeypatch, io.StringIO(), 60.0) == ""
