import errno
import itertools

import pytest
from tests.stopwatch.asking import WHERE, Memory, closed_port, question, served, watched

from falsework.errors import Fault
from falsework.model.asks import Sort
from falsework.record.seen import Mark, Marked, Told, Why
from falsework.stopwatch import loop
from falsework.stopwatch.clocks import CLOCKS, Clocks
from falsework.stopwatch.loop import Watch


class Moved:
    """The machine's clocks, moved once by a test."""

    def __init__(self, *, asleep_s=0.0, wall_s=0.0):
        self._asleep_s, self._wall_s = asleep_s, wall_s
        self.moved = False
        self.clocks = Clocks(
            boot=lambda: CLOCKS.boot() + (asleep_s if self.moved else 0.0),
            wall=lambda: CLOCKS.wall() + (asleep_s + wall_s if self.moved else 0.0),
        )


def deafly(connection):
    """A server that hears and never answers."""
    connection.recv(65_536)
    connection.recv(1)


def moved_after(questions, moved, *, enough):
    """What is seen when the clocks are moved after the first answers, until there is enough afterwards."""

    def look(got):
        if len(got.seen) >= 3:
            moved.moved = True
        return enough(got)

    memory = Memory(look)
    memory.watch = Watch(questions, memory, clocks=moved.clocks)
    memory.watch.run(1e6)
    return memory


def test_sleep_is_a_gap_and_no_outage():
    """What was in flight as the machine slept is unknown; before and after it all is well; what was due is let go."""
    moved = Moved(asleep_s=3600.0)
    with served(lambda connection: None) as port:
        memory = moved_after(
            [question(Sort.TCP, port=port, every_s=0.05, patience_s=1.0)],
            moved,
            enough=lambda got: bool(got.gaps) and got.seen[-1].asked_s > 3600.0,
        )
    (gap,) = (gap for gap in memory.gaps if gap.why is Why.ASLEEP)
    assert gap.from_s < 60.0 < 3600.0 < gap.until_s
    assert {seen.told for seen in memory.seen} <= {Told.YES, Told.UNKNOWN}
    assert not [
        seen
        for seen in memory.seen
        if gap.from_s < seen.asked_s < gap.until_s - 0.001 and seen.told is Told.YES
    ]
    assert len(memory.seen) < 1000


@pytest.mark.slow
def test_a_question_in_flight_through_a_gap_is_unknown_and_never_silent():
    """Its answer may have come and gone while nobody listened."""
    moved = Moved(asleep_s=3600.0)
    with served(deafly) as port:
        slow = question(Sort.HTTP, port=port, about="/", every_s=500.0, patience_s=100.0)
        quick = question(Sort.TCP, port=closed_port(), every_s=0.05)
        memory = moved_after(
            [slow, quick], moved, enough=lambda got: bool(got.gaps) and got.seen[-1].asked_s > 3600.0
        )
    first = next(seen for seen in memory.seen if seen.probe == 0)
    assert (first.told, first.says) == (Told.UNKNOWN, "the stopwatch was asleep")
    assert first.asked_s < 60.0 < first.told_s


def test_a_clock_on_the_wall_that_is_set_changes_nothing():
    """It is noted, and neither a gap nor an answer comes of it."""
    moved = Moved(wall_s=-86_400.0)
    with served(lambda connection: None) as port:
        memory = moved_after(
            [question(Sort.TCP, port=port, every_s=0.05)],
            moved,
            enough=lambda got: bool(got.jumps) and len(got.seen) > 6,
        )
    (jump,) = memory.jumps
    assert round(jump.by_s) == -86_400
    assert not [gap for gap in memory.gaps if gap.why is Why.ASLEEP]
    assert {seen.told for seen in memory.seen} <= {Told.YES, Told.UNKNOWN}
    assert max(seen.told_s for seen in memory.seen) < 3600.0


@pytest.mark.slow
def test_each_question_is_put_as_often_as_said_whatever_the_others_do():
    """A silent one does not hold up another: its questions overlap, each waits for as long as it is patient."""

    def overlap(got):
        deaf_ones = sorted((each for each in got.seen if each.probe == 1), key=lambda seen: seen.asked_s)
        return any(
            after.asked_s < before.told_s and before.told is after.told is Told.SILENT
            for before, after in itertools.pairwise(deaf_ones)
        )

    with served(lambda connection: None) as port, served(deafly) as deaf:
        memory = watched(
            [
                question(Sort.TCP, port=port, every_s=0.05),
                question(Sort.HTTP, port=deaf, about="/", every_s=0.05, patience_s=0.5),
            ],
            overlap,
        )
    assert overlap(memory)
    assert {seen.told for seen in memory.seen if seen.probe == 1} <= {Told.SILENT, Told.UNKNOWN}


def test_answers_come_in_the_order_in_which_they_were_told():
    """Whoever takes down needs to sort nothing by the time of the answer."""
    memory = watched(
        [question(Sort.TCP, port=closed_port(), every_s=0.02, name=str(number)) for number in range(10)],
        lambda got: len(got.seen) >= 100,
    )
    told_s = [seen.told_s for seen in memory.seen]
    assert told_s == sorted(told_s)
    assert all(seen.asked_s <= seen.told_s for seen in memory.seen)


def test_a_mark_is_taken_down_and_beats_go_on():
    """A mark is there as soon as it is said to be, and without any answer the run is seen to go on."""
    memory = Memory(lambda got: len(got.beats) >= 2 and len(got.marks) == 1)
    memory.watch = Watch([], memory)
    mark = Marked(at_s=0.5, mark=Mark.DONE, says="plug out")
    assert not memory.watch.mark(mark)
    memory.watch.run(30.0)
    assert memory.marks == [mark]


def test_a_name_that_is_not_found_is_a_fault_with_its_place():
    """The run goes on without it, and the fault says where it is written."""
    asked = question(Sort.TCP, "nowhere.invalid", 25, every_s=0.05)
    memory = watched(
        [asked], lambda got: got.seen[-1:] != [] and got.seen[-1].says == "its name is not found"
    )
    assert memory.watch is not None
    assert memory.watch.live().faults == (
        Fault(
            WHERE,
            "the name nowhere.invalid is not found: no such name",
            "Write its address, or mend how this machine looks names up; it is tried again every few seconds.",
            "probes.front.asks",
        ),
    )
    assert {seen.told for seen in memory.seen} == {Told.UNKNOWN}


def test_an_answer_that_breaks_us_ends_no_watch(monkeypatch):
    """A defect over one answer makes that one unknown and is told; all others are asked on."""
    from falsework.stopwatch.tcp import Knock

    def broken(self, desk, mask):
        raise RuntimeError("a defect")

    monkeypatch.setattr(Knock, "ready", broken)
    memory = watched(
        [question(Sort.TCP, port=closed_port(), every_s=0.05)] * 2,
        lambda got: len({s.probe for s in got.seen}) == 2,
    )
    assert {seen.told for seen in memory.seen} == {Told.UNKNOWN}
    assert memory.watch is not None
    assert "RuntimeError: a defect" in memory.watch.live().faults[0].what


def test_a_question_that_breaks_us_ends_no_watch(monkeypatch):
    """A defect as one question is put makes that one unknown and is told; all others are asked on."""
    from falsework.stopwatch.ping import Ping

    def broken(*_):
        raise ValueError("a defect")

    monkeypatch.setattr(Ping, "__init__", lambda self, echoes: None)
    monkeypatch.setattr(Ping, "ask", broken)
    monkeypatch.setattr(Ping, "close", lambda self, desk: None)
    memory = watched(
        [question(Sort.PING, every_s=0.05), question(Sort.TCP, port=closed_port(), every_s=0.05)],
        lambda got: sum(s.probe == 1 and s.told is Told.NO for s in got.seen) >= 2,
    )
    assert {seen.told for seen in memory.seen if seen.probe == 0} == {Told.UNKNOWN}
    assert memory.watch is not None
    assert "ValueError: a defect" in memory.watch.live().faults[0].what


def test_too_few_files_are_unknown_and_no_outage(monkeypatch):
    """A machine that has no more files to give has asked nobody."""
    from falsework.stopwatch.tcp import Tcp

    def refuse(*_):
        raise OSError(errno.EMFILE, "too many")

    monkeypatch.setattr(Tcp, "ask", refuse)
    memory = watched([question(Sort.TCP, port=1)], lambda got: bool(got.seen))
    assert (memory.seen[0].told, memory.seen[0].says) == (Told.UNKNOWN, "could not ask: Too many open files")


def test_a_watch_for_a_while_ends_by_itself():
    """The run is as long as was asked for, and says how well it kept its time."""
    with served(lambda connection: None) as port:
        for until_s in (0.3, 3.0, 30.0):  # who is held up through all of it asks nothing
            memory = Memory(lambda got: False)
            went = Watch([question(Sort.TCP, port=port, every_s=0.05)], memory).run(until_s)
            assert went.asked == len(memory.seen)
            if went.asked:
                break
    assert went.asked >= 1
    assert 0.0 <= went.late_50_s <= went.late_99_s <= went.worst_s


def test_more_questions_than_files_are_a_fault(monkeypatch):
    """What the system permits is compared with what may be in flight when nobody answers, before anything is asked."""
    monkeypatch.setattr(loop.resource, "getrlimit", lambda _: (1_000, 1_000))
    many = [
        question(Sort.TCP, port=1, every_s=0.1, patience_s=1.0, name=str(number)) for number in range(100)
    ]
    (fault,) = Watch(many, Memory(lambda got: False)).live().faults
    assert "1,000 questions may be in flight at once when nobody answers" in fault.what
    assert "permits this process 1,000 open files" in fault.what
    assert Watch(many[:90], Memory(lambda got: False)).live().faults == ()
