"""Is everything that was taken down there again, and does nothing get lost when it can't be written?"""

import datetime
import math
import os
import resource
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from tests.record.records import recorder

from falsework.errors import QuestionError, RecordError
from falsework.record.keeping import live, observed, record_of, runs
from falsework.record.observed import NEVER
from falsework.record.reading import all_observed
from falsework.record.seen import Gap, Jump, Mark, Marked, Seen, Told, Why

ROOT = Path(__file__).parents[2]


@pytest.fixture
def path(tmp_path):
    """Where a record shall lie."""
    return tmp_path / "rock.record"


def test_a_run_comes_back_as_it_was(path):
    """Who, when, what was seen, done, missed and set: all of it."""
    taker = recorder(
        path,
        "mail",
        "wiki",
        digest="d",
        drill="pull",
        tries="loss",
        lost=("a",),
        out=("b", "c"),
        machine="desk",
    )
    taker.answers([Seen(0, 1.0, 1.01, Told.YES), Seen(1, 1.0, 1.5, Told.NO, "refused")])
    taker.mark(Marked(at_s=1.5, mark=Mark.DONE, says="pulled"))
    taker.answers([Seen(0, 2.0, 3.0, Told.SILENT), Seen(1, 2.0, 2.1, Told.YES, "certificate ends in 3 days")])
    taker.gap(Gap(from_s=2.2, until_s=2.9, why=Why.ASLEEP))
    taker.jump(Jump(at_s=2.9, by_s=-7.5))
    taker.answers([Seen(0, 4.0, 4.01, Told.YES)])
    taker.mark(Marked(at_s=4.5, mark=Mark.PUT_BACK))
    taker.end(5.0)
    seen = observed(path, 1)
    run = seen.run
    assert runs(path) == (run,)
    assert all_observed(path) == (seen,)
    assert (run.number, run.lab, run.digest, run.drill, run.tries) == (1, "rock", "d", "pull", "loss")
    assert (run.lost, run.out, run.machine) == (("a",), ("b", "c"), "desk")
    assert run.began == datetime.datetime.fromtimestamp(1.7e9, datetime.UTC)
    assert (run.done_s, run.put_back_s, run.until_s, run.ended) == (1.5, 4.5, 5.0, True)
    assert run.marks[0].says == "pulled"
    assert run.gaps == (Gap(from_s=2.2, until_s=2.9, why=Why.ASLEEP),)
    assert run.jumps == (Jump(at_s=2.9, by_s=-7.5),)
    mail, wiki = seen.probes
    assert (mail.probe, mail.sees, mail.asks, mail.every_s) == ("mail", "mail", "tcp mail.rock port 25", 1.0)
    assert (mail.asked, mail.yes) == (3, 2)
    (out,) = mail.outages
    assert (out.good_s, out.bad_s, out.last_bad_s, out.good_again_s) == (1.0, 2.0, 2.0, 4.0)
    assert out.told is Told.SILENT
    assert out.unsure
    assert math.isclose(mail.usual_s, 0.01, rel_tol=0.03)
    assert math.isclose(mail.worst_s, 0.01, rel_tol=1e-6)
    assert (wiki.outages[0].says, wiki.warning) == ("refused", "certificate ends in 3 days")


def test_a_run_that_is_being_written_can_be_read(path):
    """Another reader sees each call that has returned, and that the run goes on."""
    taker = recorder(path, "mail", "wiki")
    state = live(path)
    assert not state.ended
    assert [each.told for each in state.probes] == [Told.UNKNOWN, Told.UNKNOWN]
    taker.answers([Seen(0, 1.0, 1.01, Told.YES), Seen(1, 1.0, 1.5, Told.NO, "refused")])
    taker.beat(9.0, 1.7e9 + 9)
    state = live(path)
    assert [(each.told, each.since_s, each.says) for each in state.probes] == [
        (Told.YES, 1.0, ""),
        (Told.NO, 1.0, "refused"),
    ]
    assert state.until_s == 9.0
    assert observed(path, 1).probes[1].outages[0].good_again_s == NEVER
    taker.end()
    assert live(path).ended


def test_runs_are_counted_on(path):
    """Each has its own number and its own answers."""
    for number in (1, 2, 3):
        taker = recorder(path, "mail", drill=f"drill {number}")
        assert taker.number == number
        taker.answers([Seen(0, 1.0, 1.0, Told(number % 2))])
        taker.end()
    assert [(run.number, run.drill) for run in runs(path)] == [(1, "drill 1"), (2, "drill 2"), (3, "drill 3")]
    assert [len(observed(path, number).probes[0].outages) for number in (1, 2, 3)] == [1, 0, 1]
    with pytest.raises(QuestionError, match=r"no run 4\. It has 3 runs, the newest is 3"):
        observed(path, 4)


def test_an_ended_record_is_one_whole_file(path):
    """Copied without the files beside it, nothing is missing, though somebody has it open."""
    taker = recorder(path, "mail")
    taker.answers([Seen(0, 1.0, 1.0, Told.NO)])
    looks_on = sqlite3.connect(path)
    looks_on.execute("SELECT * FROM run").fetchall()
    taker.end()
    other = path.with_name("copy.record")
    other.write_bytes(path.read_bytes())
    assert observed(other, 1) == observed(path, 1)
    looks_on.close()


def test_two_stopwatches_do_not_write_in_one_record(path):
    """The second is told who the first is, and the first goes on."""
    first = recorder(path, "mail")
    with pytest.raises(
        RecordError, match=rf"process {os.getpid()} on \S+ writes run 1 in it since 2023-11-14 22:13:20 UTC"
    ):
        recorder(path, "mail")
    first.answers([Seen(0, 1.0, 1.0, Told.NO)])
    first.end()
    assert recorder(path, "mail").number == 2


def test_a_full_disk_loses_nothing(path):
    """What can't be written is said, kept, and written as soon as there is room; given again, it counts once."""
    taker = recorder(path, "mail")
    taker.answers([Seen(0, 0.0, 0.0, Told.YES)])
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    size = path.with_name(path.name + "-wal").stat().st_size
    at = 1
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 20_000, before[1]))
    refused = []
    try:
        while len(refused) < 3:
            batch = [Seen(0, float(at), at + 0.5, Told(at % 2), "x" * 150)]
            try:
                taker.answers(batch)
            except RecordError as error:
                refused.append((batch, str(error)))
            at += 1
        with pytest.raises(RecordError):
            taker.mark(Marked(at_s=at + 0.6, mark=Mark.DONE))
        assert len(observed(path, 1).probes[0].outages) == (at - 4) // 2
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    for batch, says in refused:  # a caller that tries again
        assert "can't be written just now" in says
        assert "Make room on its disk" in says
        taker.answers(batch)
    taker.end()
    seen = observed(path, 1)
    assert len(seen.probes[0].outages) == at // 2
    assert seen.probes[0].asked == at
    assert [each.mark for each in seen.run.marks] == [Mark.DONE]


def test_the_same_thing_given_again_is_written_once(path):
    """A caller that can't know whether a call came through may simply repeat it."""
    taker = recorder(path, "mail")
    marked = Marked(at_s=1.0, mark=Mark.SAID, says="again")
    limit = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, limit[1]))
    try:
        for _ in range(3):
            with pytest.raises(RecordError):
                taker.mark(marked)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)
    taker.mark(marked)
    taker.end()
    assert observed(path, 1).run.marks == (marked,)


@pytest.mark.slow
def test_killed_at_random_moments_it_loses_nothing(tmp_path):
    """Fifteen writers are killed as they write: what was said to be written is there, and never half a call."""
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import pathlib, sys; from benchmarks.record import kills; "
            "print(kills(pathlib.Path(sys.argv[1]), 15, seed=2)['calls_said_to_be_written'])",
            str(tmp_path),
        ],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert int(done.stdout) > 15


@pytest.mark.parametrize(
    ("lab", "record"),
    [
        ("lab.yaml", "lab.record"),
        ("a.b.yml", "a.b.record"),
        ("folder", "folder.record"),
        ("folder/", "folder.record"),
    ],
)
def test_a_record_lies_beside_its_lab(tmp_path, monkeypatch, lab, record):
    """Beside the file, or beside the folder; also where the folder is the one we are in."""
    (tmp_path / "folder").mkdir()
    monkeypatch.chdir(tmp_path)
    assert record_of(Path(lab)).resolve() == tmp_path / record
    monkeypatch.chdir(tmp_path / "folder")
    assert record_of(Path()).resolve() == tmp_path / "folder.record"
