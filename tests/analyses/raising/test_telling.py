from dataclasses import replace

from tests.faces.handmade_raising import fragile, plan, schedule, stuck

from falsework.analyses.raising.result import Fragile, Single
from falsework.analyses.raising.telling import chain_s, hands_s, headline, passing, stretch, told


def test_work_and_chain():
    """Hands add up; the longest chain is not shortened by them: all ten steps wait for each other."""
    assert hands_s(plan()) == sum((30, 40, 120, 20, 2, 0, 10, 10, 5, 20)) * 60
    assert chain_s(plan()) == sum((60, 40, 120, 60, 2, 1, 10, 10, 5, 60)) * 60


def test_a_chain_forgets_what_goes_on_beside():
    """Of two steps side by side only the longer counts."""
    one, two, three, *_ = plan().steps
    beside = replace(plan(), steps=(one, replace(two, after=()), replace(three, after=(1, 2))))
    assert chain_s(beside) == (60 + 120) * 60


def test_passing_single_points():
    """What the finished lab hangs on too is not told as passing; what stops more than in the end is, for that more."""
    found = passing(fragile())
    assert [single.part for single in found[3]] == ["laptop", "sw-1"]
    assert found[8] == (
        Single(part="sw-1", services=("names", "installer")),
        Single(part="desk-1", services=("names",)),
    )
    assert found[10] == ()
    assert found[0] == ()


def test_the_fragile_stretch():
    """It begins with the laptop, ends with the second desk, and is as long as the calendar makes it."""
    found = stretch(plan(), fragile())
    assert (found.first, found.last) == (3, 9)
    assert found.seconds == sum((60, 2, 1, 10, 10, 5, 60)) * 60
    assert found.stops[0] in ("laptop", "sw-1")
    assert set(found.stops) == {"laptop", "sw-1", "desk-1"}
    dated = stretch(plan(), fragile(), schedule())
    assert dated.seconds == 2 * 86400 + 10 * 3600 + 28 * 60


def test_two_stretches():
    """Of two fragile stretches the longer in time is told, not the one with more steps."""
    some = [
        Fragile(
            step=number,
            serving=("a",),
            missing=(),
            singles=(Single(part="x", services=("a",)),) if number in (2, 5, 6, 7) else (),
            margin=1 if number in (2, 5, 6, 7) else 2,
        )
        for number in range(11)
    ]
    found = stretch(plan(), some)
    assert (found.first, found.last, found.seconds) == (2, 2, 120 * 60)


def test_none():
    """Where nothing is more fragile than in the end there is no stretch, and that is said."""
    calm = [replace(each, singles=()) for each in fragile()]
    assert stretch(plan(), calm) is None
    assert "at no step is anything more fragile than in the finished lab" in told(plan(), calm)


def test_the_short_answer():
    """Steps, stand-ins, work, and when it is done where there is a calendar."""
    assert headline(plan()) == "10 steps raise the whole lab with 1 stand-in, laptop; 4 h 17 min of work"
    assert headline(plan(), schedule()).endswith("done on Mon 7 Dec 2026 at 21:28")
    assert told(plan())[0] == "no set of stand-ins that you accept costs less than this one, 2 h"
    gap = told(replace(plan(), bound_s=3600.0))[0]
    assert gap == "the stand-ins cost 2 h; that none cost less than 1 h is proven"


def test_where_no_order_does_it():
    """The circle and the stand-ins that would do are told."""
    assert headline(stuck()) == "no order of work raises desk-1, desk-2, names, installer"
    assert told(stuck()) == (
        "each waits for the next: installer -> desk-1 -> installer",
        "one more stand-in would do, for any one of installer, desk-1",
    )
    assert told(replace(stuck(), circle=(), would_do=())) == ("no single stand-in more would do",)
