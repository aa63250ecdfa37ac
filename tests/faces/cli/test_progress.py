import io
import sys

import pytest

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


def test_an_interrupt_is_not_hidden_by_a_display_that_fails(monkeypatch):
    """Ctrl-C while the display is half set up stays Ctrl-C, and the cursor comes back."""
    screen = Screen()
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(progress, "QUIET_S", 0.0)

    def fails(*_):
        raise IndexError

    monkeypatch.setattr("rich.progress.Progress.start", lambda _: None)
    monkeypatch.setattr("rich.progress.Progress.stop", fails)

    def stopped():
        with Told() as told:
            told("losing every two parts", 0, 4)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped()
    assert screen.getvalue().endswith("\x1b[?25h")
