"""Who asks to stop is noted, and nothing is cut in two."""

import os
import signal

import pytest

from falsework.faces.cli import stopwatch_stops
from falsework.faces.cli.stopwatch_stops import Stops


@pytest.fixture(autouse=True)
def usual():
    """Signals as a terminal leaves them, whoever began the tests."""
    before = {
        each: signal.signal(each, signal.SIG_DFL) for each in (signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT)
    }
    before[signal.SIGINT] = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    for each, handler in before.items():
        signal.signal(each, handler)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT])
def test_a_signal_is_noted_and_raises_nothing(number):
    """It is pending until it is taken, and wakes who waits."""
    with Stops() as stops:
        assert not stops.pending
        os.kill(os.getpid(), number)
        assert stops.wait(60.0) == []
        assert stops.pending
        assert stops.asked is number
        stops.take()
        assert not stops.pending
        assert not stops.again


def test_once_more_counts_only_after_a_moment(monkeypatch):
    """A key that is held down is one press; later it is another, but a terminal that is lost never is."""
    monkeypatch.setattr(stopwatch_stops, "APART_S", 600.0)
    with Stops() as stops:
        for _ in range(3):
            os.kill(os.getpid(), signal.SIGINT)
        stops.take()
        os.kill(os.getpid(), signal.SIGINT)
        assert not stops.again
        monkeypatch.setattr(stopwatch_stops, "APART_S", 0.0)
        os.kill(os.getpid(), signal.SIGHUP)
        assert not stops.again
        os.kill(os.getpid(), signal.SIGINT)
        assert stops.again
        assert stops.pending


def test_what_is_ignored_stays_ignored():
    """What was begun to outlive its terminal is not stopped by losing it; afterwards all is as before."""
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with Stops() as stops:
            os.kill(os.getpid(), signal.SIGHUP)
            assert not stops.pending
            assert signal.getsignal(signal.SIGTTOU) is signal.SIG_IGN
        assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGHUP, before)
