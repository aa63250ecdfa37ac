import pytest

from falsework.record.seen import Gap, Why
from falsework.stopwatch.clocks import Clocks
from falsework.stopwatch.gaps import BOUND_S, Awake


class Hands:
    """Clocks that a test moves by hand."""

    def __init__(self):
        self.boot = 1000.0
        self.awake = 500.0
        self.wall = 1.8e9
        self.worked = 3.0

    @property
    def clocks(self):
        """As a stopwatch reads them."""
        return Clocks(
            boot=lambda: self.boot,
            awake=lambda: self.awake,
            wall=lambda: self.wall,
            worked=lambda: self.worked,
        )

    def pass_by(self, seconds, *, asleep=0.0, worked=0.0):
        """Let time go by."""
        self.boot += seconds
        self.wall += seconds
        self.awake += seconds - asleep
        self.worked += worked


@pytest.mark.parametrize(
    ("passed", "waits_s", "why"),
    [
        ({"seconds": 0.1}, 0.1, None),
        ({"seconds": 0.1 + BOUND_S - 0.01}, 0.1, None),
        ({"seconds": 2.0}, 2.0, None),
        ({"seconds": 2.0}, 0.1, Why.STOPPED),
        ({"seconds": 2.0, "worked": 0.5}, 0.1, Why.STOPPED),
        ({"seconds": 2.0, "worked": 1.5}, 0.1, Why.BUSY),
        ({"seconds": 0.25, "asleep": 0.25}, 0.1, Why.ASLEEP),
        ({"seconds": 3600.0, "asleep": 3599.0, "worked": 0.5}, 0.1, Why.ASLEEP),
    ],
)
def test_a_halt_is_told_by_what_the_clocks_disagree_on(passed, waits_s, why):
    """Sleep stops one clock and not the other; a process that is stopped does not work; waiting is no halt."""
    hands = Hands()
    awake = Awake(hands.clocks, zero_s=990.0)
    hands.pass_by(**passed)
    gap = awake.look(waits_s)
    assert gap == (why and Gap(from_s=10.0, until_s=10.0 + passed["seconds"], why=why))
    hands.pass_by(0.1)
    assert awake.look(0.1) is None


def test_the_clock_on_the_wall_may_be_set():
    """Forwards and backwards it is noted once, and is no gap; sleep and gentle drawing are no jump."""
    hands = Hands()
    awake = Awake(hands.clocks, zero_s=1000.0)
    hands.pass_by(1.0)
    hands.wall -= 3600.0
    jump = awake.jump()
    assert jump is not None
    assert (jump.at_s, round(jump.by_s, 6)) == (1.0, -3600.0)
    assert (awake.look(1.0), awake.jump()) == (None, None)
    hands.wall += 5.0
    assert round(awake.jump().by_s, 6) == 5.0
    hands.pass_by(3600.0, asleep=3600.0)
    assert awake.jump() is None
    for _ in range(100):
        hands.pass_by(1.0)
        hands.wall += 0.01
        assert awake.jump() is None


def test_a_halt_between_two_readings_is_no_jump():
    """The clocks are read one after the other: who is halted between them must not take that for a jump."""
    hands = Hands()
    awake = Awake(hands.clocks, zero_s=1000.0)

    def halted():
        hands.pass_by(5.0)
        return hands.wall

    late = Awake(
        Clocks(boot=lambda: hands.boot, awake=hands.clocks.awake, wall=halted, worked=hands.clocks.worked), 0
    )
    assert late.jump() is None
    assert awake.jump() is None
