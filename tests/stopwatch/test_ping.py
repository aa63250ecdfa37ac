import pytest
from tests.stopwatch.asking import HOME, WHERE, Memory, asked, question, told

from falsework.errors import Fault
from falsework.model.asks import Sort
from falsework.stopwatch import ping
from falsework.stopwatch.desk import CannotAsk
from falsework.stopwatch.loop import Watch


def may_ping():
    """Whether this user may."""
    try:
        ping._opened(ping.socket.AF_INET)[0].close()
    except CannotAsk:
        return False
    return True


only_if_permitted = pytest.mark.skipif(not may_ping(), reason="this user may not ping")


@only_if_permitted
@pytest.mark.parametrize("host", [HOME, "::1"])
def test_this_machine_answers(host):
    """An echo request of either version is answered by the machine itself."""
    assert told(question(Sort.PING, host)) == ("YES", "")


@pytest.mark.slow
@only_if_permitted
def test_many_in_flight_are_told_apart():
    """Each echo goes to the question that it answers, and none is lost."""
    many = [question(Sort.PING, f"127.0.0.{number}", name=str(number)) for number in range(1, 201)]
    assert {seen.told.name for seen in asked(*many)} == {"YES"}


@only_if_permitted
def test_what_is_no_reply_to_the_request_is_passed_over(monkeypatch):
    """Other echoes, such as the request itself, which this machine hears too, are no answers."""
    monkeypatch.setattr(ping, "_only_replies", lambda *_: None)
    monkeypatch.setitem(ping._REPLY, ping.socket.AF_INET, 99)
    assert told(question(Sort.PING, patience_s=0.1)) == ("SILENT", "")


def test_who_may_not_ping_is_told_how_to_permit_it(monkeypatch):
    """Without permission nothing is known, and a fault names the place and the way out."""

    def refuse(*_):
        raise PermissionError

    monkeypatch.setattr(ping.socket, "socket", refuse)
    watch = Watch([question(Sort.PING)], Memory(lambda got: False))
    monkeypatch.undo()
    assert watch.live().faults == (
        Fault(
            WHERE,
            "this user may not ping",
            "Permit it for a group (sysctl net.ipv4.ping_group_range, for both versions), "
            "or ask a TCP port of it instead, such as: tcp HOST port 22.",
            "probes.front.asks",
        ),
    )


def test_the_sum_is_that_of_the_standard():
    """RFC 1071, section 3: the bytes 00 01 f2 03 f4 f5 f6 f7 sum up to ddf2, of which the complement is sent."""
    assert ping._sum(bytes.fromhex("0001f203f4f5f6f7")) == 0xFFFF ^ 0xDDF2
