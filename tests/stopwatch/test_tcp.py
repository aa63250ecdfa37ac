import socket

import pytest
from tests.stopwatch.asking import HOME, Memory, asked, closed_port, question, served, told

from falsework.model.asks import Sort
from falsework.record.seen import Told
from falsework.stopwatch.loop import Watch
from falsework.stopwatch.tcp import is_with_itself


def test_a_port_that_is_listened_at_is_answered_well():
    """Whoever accepts a connection answers well, and the time it took lies within the time it was waited for."""
    with served(lambda connection: None) as port:
        (seen,) = asked(question(Sort.TCP, port=port))
    assert (seen.told, seen.says) == (Told.YES, "")
    assert 0 <= seen.told_s - seen.asked_s <= 20


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


def test_a_connection_that_met_itself_is_refused():
    """Asked on this machine, a port where nobody listens may be the asking end's own: that is nobody's answer."""
    with socket.socket() as alone, socket.create_server((HOME, 0)) as listener, socket.socket() as other:
        alone.bind((HOME, 0))
        alone.connect(alone.getsockname())
        other.connect(listener.getsockname())
        assert is_with_itself(alone, alone.getsockname())
        assert not is_with_itself(other, listener.getsockname())


def test_what_a_connection_can_not_tell_is_not_expected_of_it():
    """Words that nobody would look at are a fault, and not passed over."""
    watch = Watch([question(Sort.PING, expects="220")], Memory(lambda got: False))
    (fault,) = watch.live().faults
    assert fault.what == "nothing but an echo can be expected of ping, and it expects '220'"
    watch = Watch([question(Sort.TLS, port=993, expects="words")], Memory(lambda got: False))
    (fault,) = watch.live().faults
    assert fault.what == "nothing but a certificate can be expected of tls, and it expects 'words'"
    watch = Watch([question(Sort.HTTPS, port=443, about="/", expects="sha256 12")], Memory(lambda got: False))
    (fault,) = watch.live().faults
    assert fault.what == "'sha256 12' is no sum of a certificate"


@pytest.mark.parametrize(
    ("greeting", "wanted"),
    [
        (b"220 Mail.rock READY\r\n", ("YES", "")),
        (b"421 too busy\r\n", ("NO", "the words are not in it")),
        (b"", ("NO", "closed without a word")),
        (b"a" * 100_000, ("NO", "the words are not in it")),
    ],
    ids=["good", "bad", "none", "endless"],
)
def test_a_greeting_is_heard_if_words_are_expected(greeting, wanted):
    """A system opens connections for a server that hangs too; only the server itself says its words."""
    with served(lambda connection: connection.sendall(greeting)) as port:
        assert told(question(Sort.TCP, port=port, expects="mail.rock ready")) == wanted


def test_a_server_that_hangs_does_not_greet():
    """The connection stands, and the words do not come."""
    with socket.create_server((HOME, 0)) as hung:
        port = hung.getsockname()[1]
        assert told(question(Sort.TCP, port=port)) == ("YES", "")
        asked = question(Sort.TCP, port=port, expects="ready", patience_s=0.1)
        assert told(asked) == ("SILENT", "connected, then nothing")
