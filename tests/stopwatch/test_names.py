import queue
import socket

import pytest

from falsework.stopwatch import names
from falsework.stopwatch.names import Host, Names, by_digits, by_system


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("10.0.0.7", Host(socket.AF_INET, "10.0.0.7")),
        ("fd00:0:0::7", Host(socket.AF_INET6, "fd00::7")),
        ("fe80::1%1", Host(socket.AF_INET6, "fe80::1", 1)),
        ("fe80::1%lo", Host(socket.AF_INET6, "fe80::1", socket.if_nametoindex("lo"))),
        ("front.rock", None),
        ("10.0.0", None),
    ],
)
def test_an_address_is_no_name(text, wanted):
    """Digits are taken as they are, in their one way of writing, with the interface they are good on."""
    assert by_digits(text) == wanted


def test_an_interface_that_is_not_there_is_told():
    """An address that is good on one wire only needs that wire."""
    with pytest.raises(OSError, match="no interface"):
        by_digits("fe80::1%nowhere")


def test_sockets_are_given_what_they_want():
    """Version 4 is host and port, version 6 has flow and scope besides."""
    assert Host(socket.AF_INET, "10.0.0.7").at(25) == ("10.0.0.7", 25)
    assert Host(socket.AF_INET6, "fe80::1", 3).at(25) == ("fe80::1", 25, 0, 3)


def test_the_system_knows_this_machine():
    """The name that every machine has for itself is looked up without asking anybody."""
    assert by_system("localhost").digits in ("127.0.0.1", "::1")


def test_a_name_is_looked_up_again_and_what_was_found_stays(monkeypatch):
    """A new address is taken; if none is found any more the last one is asked on, and the trouble is told."""
    monkeypatch.setattr(names, "AGAIN_S", 0.0)
    monkeypatch.setattr(names, "SOON_S", 0.0)
    answers = queue.SimpleQueue()
    done = queue.SimpleQueue()

    def look_up(name):
        answer = answers.get()  # the last look waits for ever, in a thread that no exit waits for
        if isinstance(answer, OSError):
            raise answer
        return answer

    class Told(Names):
        """Says when it has learnt something."""

        def __setattr__(self, name, value):
            super().__setattr__(name, value)
            if name == "version" and value:
                done.put(value)

    def next_look(answer):
        answers.put(answer)
        while done.empty():
            known.go_on()
        done.get()

    first, second = Host(socket.AF_INET, "10.0.0.1"), Host(socket.AF_INET, "10.0.0.2")
    known = Told(["front.rock"], look_up)
    known.begin()
    next_look(first)
    assert (known.found, known.failed) == ({"front.rock": first}, {})
    next_look(second)
    assert known.found == {"front.rock": second}
    next_look(OSError(-2, "Name or service not known"))
    assert (known.found, known.failed) == (
        {"front.rock": second},
        {"front.rock": "Name or service not known"},
    )
    next_look(first)
    assert (known.found, known.failed) == ({"front.rock": first}, {})
