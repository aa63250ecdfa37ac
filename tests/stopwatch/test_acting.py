import os
import threading

import pytest
from tests.waiting import gone, until

from falsework.errors import QuestionError
from falsework.stopwatch import acting
from falsework.stopwatch.acting import FRESH, LONGEST, Action


def over(action):
    """How it ended, once it has."""
    return until(action.ended)


def there(path):
    """Wait until a file is there."""
    until(path.exists)


def test_what_it_says_and_how_it_ends(tmp_path):
    """Output of both sorts is told once, and the exit status is kept."""
    action = Action.begin("echo out; echo wrong >&2; exit 3", folder=tmp_path)
    ended = over(action)
    assert (ended.status, ended.by, ended.well) == (3, None, False)
    assert action.says() == ("out", "wrong")
    assert action.says() == ()
    assert ended.says == "ended with status 3"


def test_what_it_said_last_is_told_whoever_is_held_up(tmp_path, monkeypatch):
    """What was written before the end is told with the end, also where the thread that reads on has not come to it."""
    monkeypatch.setattr(acting._Heard, "_listen", lambda heard: None)
    action = Action.begin("seq 1 3; printf last", folder=tmp_path)
    over(action)
    assert action.says() == ("1", "2", "3", "last")
    os.close(action._heard._pipe)


def test_it_runs_where_the_lab_file_lies_and_reads_nothing(tmp_path):
    """The folder is the lab's, and a command that waits for input gets its end at once."""
    action = Action.begin("pwd; cat; echo after", folder=tmp_path)
    ended = over(action)
    assert action.says() == (str(tmp_path.resolve()), "after")
    assert ended.well
    assert ended.says == "ended well"


def test_it_is_in_a_session_of_its_own(tmp_path):
    """Ctrl-C at the terminal reaches only the foreground group of the terminal's session, so never the command."""
    action = Action.begin("ps -o sid= -p $$; ps -o pgid= -p $$", folder=tmp_path)
    over(action)
    session, group = (int(each) for each in action.says())
    assert session == group != os.getsid(0)


def test_a_flood_is_cut(tmp_path):
    """Of very many lines the last are told, the rest are counted: no more in one go than people read."""
    action = Action.begin("seq 1 200000", folder=tmp_path)
    over(action)
    told = action.says()
    assert told[0] == f"({200_000 - FRESH:,} lines left out)"
    assert told[1:] == tuple(str(each) for each in range(200_000 - FRESH + 1, 200_001))


def test_a_line_without_end_is_cut(tmp_path):
    """A line that goes on and on is kept by its beginning, and steers no terminal."""
    action = Action.begin(r"printf 'a\033[2Jb'; head -c 3000000 /dev/zero | tr '\0' x", folder=tmp_path)
    over(action)
    (line,) = action.says()
    assert line.startswith("a [2Jbxxx")
    assert len(line) == LONGEST + 1


def test_stopped_with_all_it_began(tmp_path, monkeypatch):
    """A command that ignores the polite signal is ended by the hard one, and its children with it."""
    monkeypatch.setattr("falsework.stopwatch.acting.GRACE_S", 0.1)
    action = Action.begin(
        "trap '' TERM; sleep 600 & echo $! > child; while :; do sleep 0.05; done", folder=tmp_path
    )
    until(lambda: (tmp_path / "child").exists() and (tmp_path / "child").read_text().endswith("\n"))
    action.stop()
    ended = over(action)
    assert ended.by == 9
    assert ended.says == "was ended by signal 9 (SIGKILL)"
    child = int((tmp_path / "child").read_text())
    until(lambda: gone(child))


def test_a_polite_end_keeps_its_status(tmp_path, monkeypatch):
    """Where a command cleans up on the polite signal, its own status is told."""
    monkeypatch.setattr("falsework.stopwatch.acting.GRACE_S", 600.0)
    action = Action.begin(
        "trap 'echo tidy; exit 7' TERM; touch on; while :; do sleep 0.05; done", folder=tmp_path
    )
    there(tmp_path / "on")
    action.stop()
    ended = over(action)
    assert (ended.status, action.says()[-1]) == (7, "tidy")


def test_a_child_in_the_background_holds_nothing_up(tmp_path):
    """A command that leaves something running behind has ended all the same."""
    action = Action.begin(
        "(while [ ! -e go ]; do sleep 0.05; done; touch gone) & echo begun", folder=tmp_path
    )
    ended = over(action)
    assert ended.well
    assert "begun" in action.says()
    action.leave()
    (tmp_path / "go").touch()
    there(tmp_path / "gone")


def test_left_to_itself_it_goes_on(tmp_path):
    """A put-back that is left goes on although nobody reads what it writes."""
    action = Action.begin(
        "while [ ! -e go ]; do echo waiting; sleep 0.02; done; head -c 300000 /dev/zero; touch done",
        folder=tmp_path,
    )
    action.leave()
    (tmp_path / "go").touch()
    there(tmp_path / "done")


def test_what_cannot_be_begun(tmp_path):
    """A folder that is not there is an error of ours, told with the command."""
    with pytest.raises(
        QuestionError, match=r"'true' could not be begun .*; nothing was done. Try it by hand"
    ):
        Action.begin("true", folder=tmp_path / "none")
    with pytest.raises(QuestionError, match="could not be begun") as told:
        Action.begin("tr\0ue \033[31m" + "x" * 1000, folder=tmp_path)
    assert str(told.value).isprintable()
    assert len(str(told.value)) < 2 * LONGEST


def test_what_nobody_could_look_after_is_not_begun(tmp_path, monkeypatch):
    """Where the system permits no further thread, the command has not run when that is told."""

    def refuse(thread):
        raise RuntimeError("can't start new thread")

    ran = []
    monkeypatch.setattr(threading.Thread, "start", refuse)
    monkeypatch.setattr("falsework.stopwatch.acting.subprocess.Popen", lambda *_, **__: ran.append(1))
    with pytest.raises(
        QuestionError, match=r"could not be begun \(can't start new thread\); nothing was done"
    ):
        Action.begin("touch ran", folder=tmp_path)
    assert ran == []
