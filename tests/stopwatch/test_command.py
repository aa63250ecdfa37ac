import errno
import signal
import subprocess

import pytest
from tests.stopwatch.asking import Memory, question, told, watched
from tests.waiting import LONGEST_S, gone, until

from falsework.model.asks import Sort
from falsework.stopwatch import command as command_module
from falsework.stopwatch.loop import Watch


def command(text, **more):
    """A question that is a command."""
    return question(Sort.COMMAND, "", about=text, **more)


@pytest.mark.parametrize(
    ("text", "expects", "wanted"),
    [
        ("true", "", ("YES", "")),
        ("false", "", ("NO", "exit status 1")),
        ("false", "status 1", ("YES", "")),
        ("echo all is well", "is well", ("YES", "")),
        ("echo 'not so'", "is well", ("NO", "the words are not in it: not so")),
        ("echo oh no >&2; exit 3", "", ("NO", "exit status 3: oh no")),
        ("kill -9 $$", "", ("NO", "ended by signal 9")),
        ("sleep 600", "", ("SILENT", "it still ran")),
        ("yes", "", ("NO", "more output than 64 KiB")),
        ("sleep 600 & exit 0", "", ("YES", "")),
    ],
)
def test_a_command_is_judged_by_how_it_ends(text, expects, wanted, tmp_path):
    """Status and words decide; what hangs or floods is ended."""
    patient = {"patience_s": 0.3} if wanted[0] == "SILENT" else {}
    assert told(command(text, expects=expects, **patient), tmp_path) == wanted


def test_words_are_handed_on_as_they_are(tmp_path):
    """Without signs that mean something to a shell, none reads the words; the folder is the lab's."""
    script = tmp_path / "look"
    script.write_text('#!/bin/sh\npwd > seen\nprintf "%s|" "$@" >> seen\n')
    script.chmod(0o755)
    assert told(command("./look 'a b' c"), tmp_path) == ("YES", "")
    assert (tmp_path / "seen").read_text() == f"{tmp_path}\na b|c|"


def test_a_command_that_is_not_there_is_a_fault(tmp_path):
    """It is told at the start, with the place in the lab file, and nothing is run."""
    watch = Watch([command("./gone now")], Memory(lambda got: False), folder=tmp_path)
    (fault,) = watch.live().faults
    assert str(fault) == (
        f"lab.yaml:7:3 (probes.front.asks): there is no command ./gone to run in {tmp_path}. "
        "Write its path, or how it lies from the lab file, and make it executable (chmod +x)."
    )


def test_a_command_whose_end_nobody_could_see_does_not_go_on(tmp_path, monkeypatch):
    """Where the system gives no file to watch it by, nothing is known of the answer, and nothing is left running."""
    begun = []
    begin = subprocess.Popen

    def popen(*words, **more):
        begun.append(begin(*words, **more))
        return begun[-1]

    def refuse(process):
        raise OSError(errno.EMFILE, "too many")

    monkeypatch.setattr(command_module.subprocess, "Popen", popen)
    monkeypatch.setattr(command_module.os, "pidfd_open", refuse)
    assert told(command("sleep 600"), tmp_path) == ("UNKNOWN", "could not ask: Too many open files")
    assert {each.wait(LONGEST_S) for each in begun} == {-signal.SIGKILL}


@pytest.mark.slow
def test_a_command_that_still_runs_is_not_run_again(tmp_path):
    """However often it is due, there is one at a time, and all it began ends with it."""
    text = "echo $$ >> pids; sleep 600"
    memory = watched(
        [command(text, every_s=0.05, patience_s=0.3)], lambda got: len(got.seen) >= 2, folder=tmp_path
    )
    pids = [int(line) for line in (tmp_path / "pids").read_text().split()]
    first, second = memory.seen[:2]
    assert second.asked_s >= first.told_s
    assert len(pids) <= len(memory.seen) + 1
    for pid in pids:
        until(lambda pid=pid: gone(pid))
