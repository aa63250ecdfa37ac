import threading
from collections import deque

import pytest
from tests.waiting import LONGEST_S

from falsework.record.seen import Mark, Marked, Seen, Told
from falsework.stopwatch import keeper
from falsework.stopwatch.keeper import Keeper


class Stubborn:
    """Takes nothing down until it is told to."""

    def __init__(self):
        self.full = True
        self.tried = threading.Event()
        self.seen = []
        self.marks = []
        self.given = []

    def answers(self, batch):
        """Take them, or not."""
        self.given.append(batch)
        self.tried.set()
        if self.full:
            raise OSError(28, "No space left on device")
        self.seen.extend(batch)

    def beat(self, at_s, wall_s):
        """Nothing to keep."""

    def mark(self, marked):
        """Take it, or not."""
        self.tried.set()
        if self.full:
            raise OSError(28, "No space left on device")
        self.marks.append(marked)


@pytest.fixture
def soon(monkeypatch):
    """Tries again at once."""
    monkeypatch.setattr(keeper, "_AGAIN_S", 0.01)


def seen(at):
    """The answer of one moment."""
    return Seen(0, float(at), float(at), Told(at % 2))


def begun(into, told):
    """A keeper that runs."""
    made = Keeper(into, told, now=lambda: 0.0, wall=lambda: 0.0, taken=lambda batch: None)
    made.begin()
    return made


def test_what_a_full_disk_does_not_take_is_kept_until_it_does(soon):
    """While nothing is taken a fault says so; afterwards all of it is there, in order, and the fault is gone."""
    into, told = Stubborn(), deque([seen(0)])
    made = begun(into, told)
    assert into.tried.wait(LONGEST_S)
    told.extend(seen(at) for at in range(1, 50))
    done = made.note(Marked(at_s=1.0, mark=Mark.DONE))
    into.tried.clear()
    assert into.tried.wait(LONGEST_S)
    (fault,) = made.faults
    assert "No space left on device" in fault.what
    assert not done.is_set()
    into.full = False
    made.end()
    assert into.seen == [seen(at) for at in range(50)]
    assert done.is_set()
    assert made.faults == ()


def test_what_was_refused_is_given_again_as_it_was(soon):
    """Whoever takes down knows a batch again: the same list, and nothing added to it."""
    into, told = Stubborn(), deque([seen(0)])
    made = begun(into, told)
    assert into.tried.wait(LONGEST_S)
    told.append(seen(1))
    into.tried.clear()
    assert into.tried.wait(LONGEST_S)
    into.full = False
    made.end()
    assert all(batch is into.given[0] for batch in into.given[:-1])
    assert into.seen == [seen(0), seen(1)]


def test_what_is_too_much_for_memory_loses_repetitions_first(soon, monkeypatch):
    """A record that takes nothing for hours costs bounded memory, and what was lost is counted and said."""
    monkeypatch.setattr(keeper, "MOST", 100)
    into, told = Stubborn(), deque([seen(0)])
    made = begun(into, told)
    assert into.tried.wait(LONGEST_S)
    same = [Seen(0, float(at), float(at), Told.YES) for at in range(2, 500)]
    told.extend(same)
    into.tried.clear()
    assert into.tried.wait(LONGEST_S)
    while told:
        into.tried.clear()
        assert into.tried.wait(LONGEST_S)
    into.full = False
    made.end()
    assert into.seen == [seen(0), same[0], same[-1]]
    (fault,) = made.faults
    assert "496 answers could not be kept" in fault.what


def test_an_end_without_room_does_not_last_for_ever(soon, monkeypatch):
    """Who can't write the last of it gives up after a few seconds, here after none."""
    monkeypatch.setattr(keeper, "_LAST_S", -1.0)
    into = Stubborn()
    made = begun(into, deque([seen(0)]))
    made.end()
    assert into.seen == []
    assert made.faults
