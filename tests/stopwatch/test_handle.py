import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from tests.stopwatch.asking import question, served
from tests.waiting import until

import falsework
from falsework.errors import RecordError
from falsework.model.asks import Sort
from falsework.record.keeping import NewRun, observed, runs
from falsework.record.seen import Mark, Marked, Told, Why
from falsework.stopwatch.handle import Stopwatch

pytestmark = pytest.mark.slow  # whole commands

PACKAGE = str(Path(falsework.__file__).parent.parent)


@pytest.fixture
def record(tmp_path):
    """Where a record may be."""
    return tmp_path / "lab.record"


def test_it_runs_beside_and_its_record_is_whole(record):
    """Begun, marked, looked at and ended: the record has all of it, and its times are those of every process."""
    with served(lambda connection: None) as port:
        asks = [question(Sort.TCP, port=port, every_s=0.05)]
        with Stopwatch.begin(asks, record, NewRun(lab="rock")) as stopwatch:
            until(lambda: stopwatch.live().probes[0].told is Told.YES)
            marked = Marked(at_s=stopwatch.now_s(), mark=Mark.DONE, says="plug out")
            until(
                lambda: stopwatch.mark(marked)
            )  # a machine that is held up may be too late to say that it is kept
            live = stopwatch.live()
            assert 0.0 < live.at_s <= stopwatch.now_s()
            assert not live.ended
        went = stopwatch.end()
    assert went is not None
    assert went.asked >= 1
    assert stopwatch.live().ended
    seen = observed(record, stopwatch.number)
    assert (seen.run.ended, seen.run.lab, set(seen.run.marks)) == (True, "rock", {marked})
    assert 1 <= seen.probes[0].yes == seen.probes[0].asked <= went.asked


def test_halted_it_tells_of_a_gap_and_of_no_outage(record):
    """Stopped for a while and set going again, it knows that it was not there, and nobody else is blamed."""
    with served(lambda connection: None) as port:
        asks = [question(Sort.TCP, port=port, every_s=0.05, patience_s=0.2)]
        with Stopwatch.begin(asks, record, NewRun(lab="rock")) as stopwatch:
            until(lambda: stopwatch.live().probes[0].told is Told.YES)
            os.kill(stopwatch.process, signal.SIGSTOP)
            # Each look waits for half a second once it is halted.
            until(lambda: any("does not answer" in fault.what for fault in stopwatch.live().faults))
            os.kill(stopwatch.process, signal.SIGCONT)
            since_s = stopwatch.now_s()
            until(lambda: stopwatch.live().probes[0].asked_s > since_s)
    seen = observed(record, 1)
    assert seen.probes[0].outages == ()
    assert any(gap.why is Why.STOPPED and gap.until_s - gap.from_s > 0.4 for gap in seen.run.gaps)


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_asked_to_end_it_closes_its_record(record, number):
    """Ended from outside, the run came to its own end."""
    stopwatch = Stopwatch.begin([], record, NewRun(lab="rock"))
    os.kill(stopwatch.process, number)
    until(lambda: stopwatch.live().ended)
    assert stopwatch.end() is not None
    assert runs(record)[0].ended


@pytest.mark.slow
def test_killed_it_says_so_and_what_was_taken_down_stays(record):
    """Without a last word the run is not ended, and whoever asks is told."""
    stopwatch = Stopwatch.begin([], record, NewRun(lab="rock"))
    until(lambda: stopwatch.mark(Marked(at_s=0.1, mark=Mark.SAID, says="here")))
    os.kill(stopwatch.process, signal.SIGKILL)
    until(lambda: stopwatch.live().ended)
    assert "killed" in stopwatch.live().faults[-1].what
    assert not stopwatch.mark(Marked(at_s=0.2, mark=Mark.SAID, says="gone"))
    assert stopwatch.end() is None
    (run,) = runs(record)
    assert (run.ended, {mark.says for mark in run.marks}) == (False, {"here"})


@pytest.mark.slow
def test_it_outlives_whoever_began_it_only_to_close_its_record(record):
    """When the one that began it is killed, it ends the run and itself."""
    code = (
        "import os, sys, signal; from pathlib import Path; from falsework.record.keeping import NewRun;"
        "from falsework.stopwatch.handle import Stopwatch;"
        "Stopwatch.begin([], Path(sys.argv[1]), NewRun(lab='rock')); os.kill(os.getpid(), signal.SIGKILL)"
    )
    subprocess.run(
        [sys.executable, "-c", code, str(record)], env={**os.environ, "PYTHONPATH": PACKAGE}, check=False
    )
    until(lambda: [run.ended for run in runs(record)] == [True])


@pytest.mark.slow
def test_a_second_one_on_the_same_record_is_refused(record):
    """Two of them would blame each other's gaps on the lab: the second says so and the first goes on."""
    with Stopwatch.begin([], record, NewRun(lab="rock")) as first:
        with pytest.raises(RecordError, match="in use"):
            Stopwatch.begin([], record, NewRun(lab="rock"))
        until(lambda: first.mark(Marked(at_s=0.1, mark=Mark.SAID)))
    assert len(runs(record)) == 1


def test_a_record_that_can_not_be_there_is_refused(tmp_path):
    """A folder that is not there holds no record."""
    with pytest.raises(RecordError):
        Stopwatch.begin([], tmp_path / "no" / "lab.record", NewRun(lab="rock"))
