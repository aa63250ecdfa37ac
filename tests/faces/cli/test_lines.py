import io
import os
import subprocess
import sys

import pytest
from tests.faces.cli.typed import DRAFT, ROOT

from falsework.faces.cli.lines import Line, folded, labelled, put, put_text


class Screen(io.StringIO):
    """A terminal of a colour kind that keeps what it is shown."""

    encoding = "utf-8"

    def isatty(self):
        """It is one."""
        return True


def test_what_is_folded_hangs_under_the_text():
    """Rows after the first stand under the text, not under the label, and none is wider than the terminal."""
    line = labelled("why", "one two three four five six seven eight", indent=2, width=6)
    rows = [label + text for label, text in folded(line, 30)]
    assert rows == ["  why   one two three four", "        five six seven eight"]


def test_without_a_width_a_line_stays_one():
    """For a file or a pipe nothing is folded, so that it can be searched."""
    assert list(folded(Line("word " * 200), None)) == [("", "word " * 200)]


def test_long_words_are_kept_whole():
    """A place in a file is never broken, since an editor must find it."""
    place = "a-folder/with-a-long-name/lab.yaml:12:34"
    assert place in [text for _, text in folded(Line(f"see {place} now"), 30)]


def test_what_a_lab_says_does_not_steer_the_terminal():
    """Control characters become blanks."""
    out = io.StringIO()
    put([Line("a\x1b[31mb\rc\x07")], out)
    assert out.getvalue() == "a [31mb c\n"


@pytest.mark.parametrize(("variable", "coloured"), [("", True), ("NO_COLOR", False)])
def test_colour_is_for_terminals_that_want_it(monkeypatch, variable, coloured):
    """A terminal gets colour unless NO_COLOR is set, and the words are the same."""
    for name in ("NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "60")
    if variable:
        monkeypatch.setenv(variable, "1")
    screen = Screen()
    put([labelled("BROKEN", "it falls", style="broken")], screen)
    assert ("\x1b[" in screen.getvalue()) is coloured
    for word in ("BROKEN", "it falls"):
        assert word in screen.getvalue()


def test_letters_that_cannot_be_shown_are_written_another_way():
    """A stream that knows only ASCII gets ASCII, and no error."""
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="ascii")
    put_text("2 × 3 – Åse’s\n", out)
    assert raw.getvalue() == b"2 x 3 - \\xc5se's\n"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes as this system has them")
@pytest.mark.slow
def test_a_reader_that_goes_away_is_no_error():
    """When the other end of the pipe closes early nothing is said, and the status is still the answer."""
    with subprocess.Popen(
        [sys.executable, "-m", "falsework", "check", str(ROOT / DRAFT), "--all"],
        cwd=ROOT / "src",
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as running:
        running.stdout.close()
        said = running.stderr.read()
    assert (said, running.returncode) == (b"", 1)
