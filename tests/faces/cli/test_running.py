import json

import pytest

from falsework.errors import LimitError, QuestionError
from falsework.faces.cli import running
from falsework.faces.cli.running import run, write


def test_what_a_command_returns_is_the_status(capsys):
    """Without an error there is nothing to add."""
    assert run(lambda: 1, command="check") == 1
    assert capsys.readouterr() == ("", "")


def test_an_error_of_the_family_is_told_in_words(capsys):
    """What, how to mend it, status 2; nothing on standard output."""

    def work():
        raise LimitError("too big", "Ask for less.")

    assert run(work, command="check") == 2
    assert capsys.readouterr() == ("", "too big. Ask for less.\n")


def test_an_error_is_json_where_json_is_asked_for(capsys):
    """The same two parts as fields."""

    def work():
        raise QuestionError("no", "Ask again.")

    assert run(work, command="why", as_json=True) == 2
    assert json.loads(capsys.readouterr().out)["errors"] == [
        {"what": "no", "mend": "Ask again.", "path": "", "where": None}
    ]


def test_anything_else_is_our_defect(capsys, monkeypatch):
    """One line says so and how to report it; no trace."""
    monkeypatch.delenv("FALSEWORK_DEBUG", raising=False)

    def work():
        raise ZeroDivisionError("by\nnought")

    assert run(work, command="check") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("This is a defect of falsework, not of your lab: ZeroDivisionError: by nought. ")
    assert "FALSEWORK_DEBUG=1" in err
    assert err.count("\n") == 1


def test_the_trace_is_there_for_who_wants_it(capsys, monkeypatch):
    """With FALSEWORK_DEBUG the trace comes before the line."""
    monkeypatch.setenv("FALSEWORK_DEBUG", "1")

    def work():
        raise ZeroDivisionError

    assert run(work, command="check") == 2
    err = capsys.readouterr().err
    assert err.startswith("Traceback")
    assert err.splitlines()[-1].startswith("This is a defect of falsework")


def test_who_stops_it_hears_what_is_kept(capsys, monkeypatch, tmp_path):
    """Ctrl-C is status 130; files written before it are named."""
    monkeypatch.setattr(running, "_kept", [])

    def nothing_yet():
        raise KeyboardInterrupt

    assert run(nothing_yet, command="check") == 130
    assert capsys.readouterr().err == "\nStopped. No file was written or changed.\n"

    def after_a_file():
        write(tmp_path / "a.html", "x", over=True)
        raise KeyboardInterrupt

    assert run(after_a_file, command="check") == 130
    assert str(tmp_path / "a.html") in capsys.readouterr().err


@pytest.mark.parametrize("over", [True, False])
def test_a_new_file_is_written_whole(tmp_path, over):
    """It holds the text, and nothing lies beside it."""
    path = tmp_path / "new"
    write(path, "Åse\n", over=over)
    assert path.read_bytes() == "Åse\n".encode()
    assert list(tmp_path.iterdir()) == [path]


def test_a_failed_write_leaves_the_old_file(tmp_path):
    """What can't be encoded is refused before the old file goes, and nothing lies beside it."""
    path = tmp_path / "old"
    path.write_text("old")
    with pytest.raises(UnicodeEncodeError):
        write(path, "\ud800", over=True)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_where_nothing_may_be_replaced_the_old_file_stays(tmp_path):
    """A link that leads nowhere counts as a file, too."""
    path = tmp_path / "old"
    path.symlink_to(tmp_path / "nowhere")
    with pytest.raises(QuestionError) as caught:
        write(path, "x", over=False)
    assert caught.value.what == f"'{path}' is there already and stays as it is"
    assert list(tmp_path.iterdir()) == [path]
