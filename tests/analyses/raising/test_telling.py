from dataclasses import replace

from tests.faces.handmade_raising import fragile, plan, schedule, stuck

from falsework.analyses.raising.result import Fragile, Single
from falsework.analyses.raising.telling import (
    chain_s,
    hands_s,
    hanging,
    headline,
    lasting,
    passing,
    stretch,
    told,
)


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


def test_how_long_each_moment_lasts():
    """Without a calendar a moment lasts as long as the next step takes; with one, until its end; the last for nothing."""
    plain = lasting(plan())
    assert (plain[0], plain[3], plain[10]) == (3600.0, 3600.0, 0.0)
    dated = lasting(plan(), schedule())
    assert (dated[0], dated[3], dated[10]) == (3600.0, (2 * 24 + 9) * 3600.0, 0.0)


def test_what_hangs_on_a_part():
    """The switch stops both until the end, the laptop until it hands over, the desk after that."""
    found = {each.part: each for each in hanging(plan(), fragile())}
    assert found["sw-1"].steps == (3, 4, 5, 6, 7, 8, 9)
    assert found["laptop"].steps == (3, 4, 5, 6, 7)
    assert found["laptop"].services == ("names", "installer")
    assert found["desk-1"].services == ("names",)
    assert found["sw-1"].seconds == sum((60, 2, 1, 10, 10, 5, 60)) * 60
    assert [each.part for each in hanging(plan(), fragile())] == ["sw-1", "laptop", "desk-1"]


def test_long_work_is_told_in_hours():
    """Nobody works the clock round: 49 hours of work are not two days."""
    step = replace(plan().steps[0], hands_s=49 * 3600.0)
    assert "; 49 h of work" in headline(replace(plan(), steps=(step,)))
