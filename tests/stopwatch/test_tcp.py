import socket

from tests.stopwatch.asking import HOME, asked, closed_port, question, served, told

from falsework.model.asks import Sort
from falsework.record.seen import Told


def test_a_port_that_is_listened_at_is_answered_well():
    """Whoever accepts a connection answers well, and the time it took lies within the time it was waited for."""
    with served(lambda connection: None) as port:
        (seen,) = asked(question(Sort.TCP, port=port))
    assert (seen.told, seen.says) == (Told.YES, "")
    assert 0 <= seen.told_s - seen.asked_s < 5


def test_a_port_that_nobody_listens_at_is_refused():
    """A refusal is an answer, but no good one."""
    assert told(question(Sort.TCP, port=closed_port())) == ("NO", "refused")


def test_a_full_queue_is_silence():
    """A server that takes no more connections is silent, and silence is told when the patience is over, not before."""
    with socket.socket() as listener:
        listener.bind((HOME, 0))
        listener.listen(0)
        address = listener.getsockname()
        waiting = [socket.socket() for _ in range(4)]
        for each in waiting:
            each.setblocking(False)
            each.connect_ex(address)
        (seen,) = asked(question(Sort.TCP, port=address[1], patience_s=0.1))
        for each in waiting:
            each.close()
    assert seen.told is Told.SILENT
    assert seen.told_s - seen.asked_s >= 0.1


def test_version_6_is_asked_as_well():
    """An address of version 6 is asked like any other."""
    with socket.create_server(("::1", 0), family=socket.AF_INET6) as listener:
        assert told(question(Sort.TCP, "::1", listener.getsockname()[1])) == ("YES", "")


def test_what_this_machine_may_not_ask_is_unknown():
    """An address that this machine's own system refuses to ask is no outage of anybody's."""
    answer, says = told(question(Sort.TCP, "255.255.255.255", 9))
    assert (answer, says[:14]) in (("UNKNOWN", "could not ask:"), ("NO", "no way there"))


def test_a_name_is_looked_up_before_it_is_asked():
    """A name stands for its address, and one that has none is unknown, which is no outage either."""
    with served(lambda connection: None) as port:
        seen = asked(
            question(Sort.TCP, "front.rock", port, every_s=0.05),
            question(Sort.TCP, "nowhere.invalid", 1, every_s=0.05),
        )
    assert [(each.told, each.says) for each in seen] == [
        (Told.YES, ""),
        (Told.UNKNOWN, "its name is not found"),
    ]
